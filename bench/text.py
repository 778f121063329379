"""How fast words become findings: words a second of ``extract`` and of ``correct`` + ``extract``.

``python bench/text.py [--words N] [--profile]`` repeats the narrations of ``tests/narrations`` to
N, 10 N and 100 N words (N is 1,500), once as separate narrations and once as a single long one,
and prints words a second beside those of a bare spaCy tokenizer with a ``PhraseMatcher`` over
every wording of the lexicon, on the same text in the same run. A run whose time would pass
``--limit`` seconds by the run before is left out. Wanted on one core: ``extract`` 20,000 words a
second, both 5,000, the same at any length. ``--profile`` also prints where the time goes.
"""

from __future__ import annotations

import argparse
import cProfile
import io
import json
import pstats
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import spacy
from plessor.lexicon import load
from plessor.lexicon.cues import read_cues, read_markers
from plessor.pipeline.correct import correct
from plessor.pipeline.extract import extract
from plessor.pipeline.transcript import from_text
from spacy.matcher import PhraseMatcher

FOLDER = Path(__file__).resolve().parents[1] / "tests/narrations"
WANTED = {"extract": 20_000, "correct + extract": 5_000}
Work = Callable[[str], object]


def bare() -> Work:
    """A blank English tokenizer and a matcher of the same wordings, nothing else."""
    nlp = spacy.blank("en")
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    matcher.add("term", [nlp.make_doc(w) for t in load().terms for w in t.spoken])
    rules = (*read_cues(), *read_markers().values())
    matcher.add("rule", [nlp.make_doc(" ".join(f)) for r in rules for f in r.forms()])
    return lambda text: matcher(nlp.make_doc(text))


def both(text: str) -> object:
    """A written narration to its findings, as ``plessor read`` does it."""
    return extract(correct(from_text(text)).transcript)


def repeated(texts: Sequence[str], words: int) -> list[str]:
    """Narrations of about ``words`` words in all, over and over."""
    out: list[str] = []
    count = 0
    while count < words:
        text = texts[len(out) % len(texts)]
        out.append(text)
        count += len(text.split())
    return out


def seconds(work: Work, texts: Iterable[str]) -> float:
    """The time that ``work`` takes over all ``texts``."""
    start = time.perf_counter()
    for text in texts:
        work(text)
    return time.perf_counter() - start


def profiled(work: Work, texts: Iterable[str], lines: int = 15) -> str:
    """The ``lines`` functions that take most time themselves."""
    profile = cProfile.Profile()
    profile.enable()
    for text in texts:
        work(text)
    profile.disable()
    out = io.StringIO()
    pstats.Stats(profile, stream=out).strip_dirs().sort_stats("tottime").print_stats(lines)
    return out.getvalue()


def main() -> int:
    """Measure and print; 1 when a target is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--words", type=int, default=1_500, metavar="N")
    parser.add_argument("--limit", type=float, default=60.0, metavar="SECONDS")
    parser.add_argument("--profile", action="store_true")
    chosen = parser.parse_args()
    raw = (json.loads(p.read_text(encoding="utf-8")) for p in sorted(FOLDER.glob("*.json")))
    texts = [narration["text"] for narration in raw]
    works: dict[str, Work] = {
        "bare spaCy": bare(),
        "extract": lambda text: extract(from_text(text)),
        "correct + extract": both,
    }
    for work in works.values():
        seconds(work, texts[:5])  # the lexicon is read and the matchers are built once

    print(
        f"{'':18} {'':10} {'words':>8} {'seconds':>8} {'words/s':>8} {'of bare':>8} {'growth':>7}"
    )
    missed = False
    before: dict[tuple[str, str], tuple[int, float]] = {}
    for times in (1, 10, 100):
        many = repeated(texts, chosen.words * times)
        words = sum(len(t.split()) for t in many)
        for shape, said in (("separate", many), ("one long", [" ".join(many)])):
            rate_bare = 0.0
            for name, work in works.items():
                label = f"{name:18} {shape:10} {words:8,}"
                old = before.get((name, shape))
                if old is None and times > 1:
                    continue
                if old is not None and old[1] * (words / old[0]) > chosen.limit:
                    print(f"{label}   left out: the tenth of it took {old[1]:.1f} s")
                    missed = True
                    before.pop((name, shape))
                    continue
                spent = seconds(work, said)
                rate = words / spent
                rate_bare = rate if name == "bare spaCy" else rate_bare
                growth = f"{spent / old[1] / (words / old[0]):6.2f}×" if old else ""
                print(f"{label} {spent:8.2f} {rate:8,.0f} {rate / rate_bare:7.2f}× {growth:>7}")
                missed |= rate < WANTED.get(name, 0)
                before[name, shape] = (words, spent)
    print("of bare: speed against the bare matcher; growth: time a word against the row before.")
    if chosen.profile:
        for name in WANTED:
            many = repeated(texts, 10 * chosen.words)
            print(f"\n{name}, {10 * chosen.words:,} words as separate narrations")
            print(profiled(works[name], many))
    return int(missed)


if __name__ == "__main__":
    raise SystemExit(main())
