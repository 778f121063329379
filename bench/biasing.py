"""Chooses the hotwords of a model by measurement, and compares ways of showing them.

    python bench/biasing.py [--model NAME] [--every N] [--lengths 0,24,48] [--write LENGTH]

Speaks the invented narrations of ``said.txt`` with natural and robotic voices (``voices.py``),
hears them without any bias, and ranks the words of the terms that were missed by how often they
were. Then hears them again with the first so many, as hotwords and as a prompt, and prints term
recall, word errors and false terms of each. ``--write`` keeps the list of one length as the
model's (``lexicon/data/hotwords``). Words that are ordinary English are not shown: they are
heard without help.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from hearing import Terms, folded, tally
from plessor.lexicon import load
from plessor.pipeline.audio import Sound
from plessor.pipeline.transcribe import TranscribeOptions, load_recogniser, transcribe
from voices import voices
from wordfreq import zipf_frequency

HERE = Path(__file__).resolve().parent
FOLDER = HERE.parent / "lexicon/data/hotwords"
SPEAKERS = ("heart", "joe", "espeak-en-us", "flite-rms")
#: A word as frequent as this (Zipf) is ordinary English.
ORDINARY = 4.2
#: Sound just like an ordinary word (gate): correction decides by the words around them.
SOUND_ALIKE = frozenset(["gait"])
Spoken = tuple[str, Sound]


def spoken(every: int) -> list[Spoken]:
    """Each narration by two of the voices, in turn."""
    speak = voices()
    names = [n for n in SPEAKERS if n in speak]
    found: list[Spoken] = []
    lines = [x for x in (HERE / "said.txt").read_text(encoding="utf-8").splitlines() if x.strip()]
    for i, line in enumerate(lines[::every]):
        for name in (names[i % len(names)], names[(i + 1) % len(names)]):
            samples = speak[name](line)
            found.append((line, Sound(samples, len(samples) / 16_000, "0" * 64, f"{i}.{name}")))
    return found


def score(items: Sequence[Spoken], terms: Terms, model: str, **options: object) -> Counter[str]:
    """Words, errors, terms, terms right and false terms of all items; and ``lost:TERM``."""
    recogniser = load_recogniser(model)
    total: Counter[str] = Counter()
    for said, sound in items:
        heard = transcribe(sound, recogniser, options=TranscribeOptions(**options))  # type: ignore[arg-type]
        a, b = folded(said), folded(heard.heard)
        total += tally(a, b, terms)
        there = set(b)
        total.update(
            f"lost:{' '.join(a[i:j])}" for i, j in terms.spans(a) if not set(a[i:j]) <= there
        )
    return total


def line(title: str, c: Counter[str]) -> str:
    """One row of the table."""
    return (
        f"{title:24s} recall {c['right'] / max(1, c['terms']):.3f}   "
        f"WER {c['errors'] / max(1, c['words']):.3f}   "
        f"false terms /1000 words {1000 * c['false'] / max(1, c['words']):.2f}"
    )


def ranked(total: Counter[str]) -> list[str]:
    """The words of the terms that were missed, the most often missed first."""
    words: Counter[str] = Counter()
    for name, count in total.items():
        if name.startswith("lost:"):
            words.update(dict.fromkeys(re.findall(r"[a-z]{4,}", name[5:]), count))
    return [
        w
        for w, _ in words.most_common()
        if zipf_frequency(w, "en") < ORDINARY and w not in SOUND_ALIKE
    ]


def main() -> None:
    """Measure, print, and write when asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--model", default="default")
    parser.add_argument("--every", type=int, default=2)
    parser.add_argument("--lengths", default="0,24,48")
    parser.add_argument("--write", type=int)
    args = parser.parse_args()
    phrases = [s for t in load().terms if t.kind != "grade" for s in t.spoken]
    terms, items = Terms.of(phrases), spoken(args.every)
    bare = score(items, terms, args.model, hotwords=())
    print(line("neither", bare))
    order = ranked(bare)
    table = {"0": line("neither", bare)}
    for length in (int(n) for n in args.lengths.split(",") if int(n)):
        words = tuple(order[:length])
        prompt = ", ".join(words)
        for title, options in (
            (f"{length} hotwords", {"hotwords": words}),
            (f"prompt of {length}", {"hotwords": (), "initial_prompt": prompt}),
            (f"both of {length}", {"hotwords": words, "initial_prompt": prompt}),
        ):
            row = line(title, score(items, terms, args.model, **options))
            table[title] = row
            print(row, flush=True)
    if args.write:
        name = load_recogniser(args.model).name
        made = {
            "model": name,
            "made_by": f"bench/biasing.py --every {args.every} --write {args.write}",
            "made_on": dt.date.today().isoformat(),
            "words": order[: args.write],
            "measured": [*table.values()],
        }
        FOLDER.mkdir(exist_ok=True)
        (FOLDER / f"{name}.json").write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")
        print(f"Written to {name}.json.")


if __name__ == "__main__":
    main()
