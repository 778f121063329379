"""How well the trade's words are heard, voice by voice, and what each step adds.

    python bench/hearing.py SAID --audio FOLDER [--model NAME]   hear, correct and score
    python bench/hearing.py SAID --bare BARE.jsonl [--biased BIASED.jsonl]   score what was heard

SAID is a folder of what was said: NAME.txt, or NAME.json with ``id`` and ``text``. Recordings
are called NAME.VOICE.EXT; a line of a jsonl holds ``narration`` (that file name) and ``words``
(text, start s, end s, probability), and where the recogniser was asked about other wordings
``weighed`` (first word, last word, wording, nats). Rows are voices. Columns, for the bare
recogniser, with correction, with the measured hotwords, with both, and with the wordings weighed
against the sound too, which is what the program does:

- WER: word error rate (jiwer) after case, punctuation and digits are folded;
- recall: of the terms said, those of which every word is aligned and equal;
- false: terms in the text, none of whose words was said there, per 1,000 words said.

Terms are the lexicon's forms, or a file of one a line (``--terms``).
"""

from __future__ import annotations

import argparse
import json
import re
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import jiwer
from plessor.lexicon import load
from plessor.pipeline.correct import correct, doubts
from plessor.pipeline.transcript import Transcript, Weighed, Wording, from_heard

NUMBERS = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
]
AUDIO = {".opus", ".ogg", ".wav", ".flac", ".mp3", ".m4a"}


def folded(text: str) -> list[str]:
    """The words of ``text`` as they are compared: lower case, digits as words, no marks."""
    text = text.lower().replace("–", "-").replace("’", "'")
    text = re.sub(r"\b([ctls])[- ]?(\d{1,2})\b", r"\1 \2", text)
    text = re.sub(r"(\d)\s*/\s*(\d)", r"\1 out of \2", text)
    text = re.sub(r"(\d)\s*\+", r"\1 plus ", text)
    text = re.sub(r"(\d)-(?=\D|$)", r"\1 minus ", text)
    text = re.sub(r"\d+", lambda m: f" {NUMBERS[int(m[0])] if int(m[0]) <= 12 else m[0]} ", text)
    return re.sub(r"[^a-z0-9' ]+", " ", text).replace("'s ", "s ").split()


@dataclass(frozen=True)
class Terms:
    """Terms as folded words, the longest first for each first word."""

    by_first: dict[str, list[tuple[str, ...]]]

    @classmethod
    def of(cls, phrases: Iterable[str]) -> Terms:
        """The terms of ``phrases``."""
        by_first: dict[str, list[tuple[str, ...]]] = defaultdict(list)
        unique = {tuple(folded(p)) for p in phrases} - {()}
        for term in sorted(unique, key=len, reverse=True):
            by_first[term[0]].append(term)
        return cls(dict(by_first))

    def spans(self, words: Sequence[str]) -> Iterator[tuple[int, int]]:
        """Where terms stand in ``words``, the longest at each place, not overlapping."""
        i = 0
        while i < len(words):
            found = next(
                (t for t in self.by_first.get(words[i], ()) if tuple(words[i : i + len(t)]) == t),
                None,
            )
            if found:
                yield i, i + len(found)
            i += len(found) if found else 1


def tally(said: Sequence[str], heard: Sequence[str], terms: Terms) -> Counter[str]:
    """Words, errors, terms said, terms right and false terms of one narration."""
    out = jiwer.process_words(" ".join(said), " ".join(heard) or "-")
    right, there = [False] * len(said), [False] * max(1, len(heard))
    for chunk in out.alignments[0]:
        if chunk.type == "equal":
            for k in range(chunk.ref_end_idx - chunk.ref_start_idx):
                right[chunk.ref_start_idx + k] = there[chunk.hyp_start_idx + k] = True
    spans = list(terms.spans(said))
    return Counter(
        words=len(said),
        errors=out.substitutions + out.deletions + out.insertions,
        terms=len(spans),
        right=sum(all(right[a:b]) for a, b in spans),
        false=sum(not any(there[a:b]) for a, b in terms.spans(heard)),
    )


def said_in(folder: Path) -> dict[str, str]:
    """What was said, by name."""
    found: dict[str, str] = {}
    for path in sorted(folder.iterdir()):
        if path.suffix == ".txt":
            found[path.stem] = path.read_text(encoding="utf-8")
        elif path.suffix == ".json":
            one = json.loads(path.read_text(encoding="utf-8"))
            found[one["id"]] = one["text"]
    return found


def read_heard(path: Path) -> dict[str, Transcript]:
    """Transcripts of a jsonl, by file name."""
    found = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        one = json.loads(line)
        words = [(w[0].strip(), w[1], w[2], w[3]) for w in one["words"]]
        weighed = tuple(Weighed(Wording(a, b, t), n) for a, b, t, n in one.get("weighed", ()))
        transcript = from_heard(words)
        found[Path(one["narration"]).name] = replace(
            transcript, weighed=weighed if "weighed" in one else None
        )
    return found


def hear(
    folder: Path, model: str | None, hotwords: tuple[str, ...] | None
) -> dict[str, Transcript]:
    """Transcripts of the recordings of a folder; ``hotwords`` None takes the measured list."""
    from plessor.pipeline.audio import load_audio
    from plessor.pipeline.transcribe import TranscribeOptions, load_recogniser, transcribe

    recogniser = load_recogniser(model) if model else load_recogniser()
    options = TranscribeOptions(hotwords=hotwords)
    asked = doubts() if hotwords is None else None
    return {
        path.name: transcribe(load_audio(path), recogniser, options=options, doubts=asked)
        for path in sorted(folder.iterdir())
        if path.suffix.lower() in AUDIO
    }


def corrected(transcript: Transcript) -> str:
    """The text after correction."""
    return correct(transcript).transcript.corrected


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("said", type=Path)
    parser.add_argument("--audio", type=Path, help="recordings to hear")
    parser.add_argument("--bare", type=Path, help="what the bare recogniser heard")
    parser.add_argument("--biased", type=Path, help="what it heard with hotwords")
    parser.add_argument("--model")
    parser.add_argument("--terms", type=Path)
    args = parser.parse_args()
    if not args.audio and not args.bare:
        parser.error("give --audio or --bare")
    phrases = (
        args.terms.read_text(encoding="utf-8").splitlines()
        if args.terms
        else [spoken for term in load().terms for spoken in term.spoken]
    )
    terms, said = Terms.of(phrases), said_in(args.said)
    heard = {"bare": read_heard(args.bare) if args.bare else hear(args.audio, args.model, ())}
    if args.biased or args.audio:
        heard["+ biasing"] = (
            read_heard(args.biased) if args.biased else hear(args.audio, args.model, None)
        )
    columns: dict[str, tuple[dict[str, Transcript], Callable[[Transcript], str]]] = {}
    for name, transcripts in heard.items():
        columns[name] = transcripts, lambda t: t.corrected
        both = "+ both" if name == "+ biasing" else "+ correction"
        columns[both] = transcripts, lambda t: corrected(replace(t, weighed=None))
        if any(t.weighed is not None for t in transcripts.values()):
            columns["+ asked"] = transcripts, corrected
    counts: dict[str, dict[str, Counter[str]]] = defaultdict(lambda: defaultdict(Counter))
    for column, (transcripts, text_of) in columns.items():
        begun, words = time.perf_counter(), 0
        for file, transcript in transcripts.items():
            name, _, rest = file.partition(".")
            if name not in said:
                continue
            voice = rest.rpartition(".")[0] or "-"
            result = tally(folded(said[name]), folded(text_of(transcript)), terms)
            words += len(transcript.words)
            for row in (voice, "all"):
                counts[row][column].update(result)
        spent = time.perf_counter() - begun
        print(f"{column}: {words} words in {spent:.1f} s, scoring included")
    print(f"{'voice':>18}" + "".join(f" | {c:^25}" for c in columns))
    print(f"{'':>18}" + " |   WER    recall   false  " * len(columns))
    for voice in sorted(counts):
        cells = ""
        for column in columns:
            k = counts[voice][column]
            wer, recall = k["errors"] / max(1, k["words"]), k["right"] / max(1, k["terms"])
            false = 1000 * k["false"] / max(1, k["words"])
            cells += f" | {wer:7.4f} {recall:8.4f} {false:7.2f} "
        print(f"{voice:>18}{cells}")


if __name__ == "__main__":
    main()
