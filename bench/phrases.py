"""Counts how the trade's words follow one another, for ``pipeline/correct/context.py``.

Reads ``bench/said.txt`` (invented narrations) and random sentences of ``bench/grammar.py``,
puts every word in its class (``lexicon/data/sounds/classes.csv``; a word without one is its
own class) and writes ``lexicon/data/sounds/phrases.txt``: runs of one to three classes with
their counts, ``members.txt``: how often each word was its class,
and how often in sentences of the grammar alone, and ``joined.txt``: runs of two
or three words common enough to be looked for as one.

    python bench/phrases.py
"""

from __future__ import annotations

import collections
import pathlib
import random
import re

from grammar import sentence  # same folder
from plessor.lexicon.files import read_rows
from plessor.pipeline.correct.units import NUMBERS, SIDES, tokens_of

HERE = pathlib.Path(__file__).resolve().parent
OUT = HERE.parent / "lexicon/data/sounds"
SENTENCES = 6000
#: Words that only the closed lists of ``homophones.csv`` may bring in.
GUARDED = NUMBERS | SIDES | {"c", "t", "l", "s"}


def told(skip: int | None = None) -> list[list[str]]:
    """The sentences of the invented narrations, as tokens; ``skip`` leaves out every third line."""
    lines = (HERE / "said.txt").read_text().splitlines()
    texts = [
        s
        for i, line in enumerate(lines)
        if skip is None or i % 3 != skip
        for s in re.split(r"[.?]", line)
    ]
    return [tokens for text in texts if (tokens := tokens_of(text))]


def formulas() -> list[list[str]]:
    """Sentences of the grammar, as tokens."""
    rnd = random.Random(7)
    return [tokens_of(sentence(rnd)) for _ in range(SENTENCES)]


Runs = collections.Counter[tuple[str, ...]]


def counts(sentences: list[list[str]]) -> tuple[Runs, collections.Counter[tuple[str, str]]]:
    """Runs of one to three classes, and the members of each class."""
    classes = {row["word"]: row["class"] for _, row in read_rows("sounds/classes.csv")}
    runs: Runs = collections.Counter()
    members: collections.Counter[tuple[str, str]] = collections.Counter()
    for tokens in sentences:
        kinds = [classes.get(t, t) for t in tokens]
        members.update(zip(kinds, tokens, strict=True))
        padded = ["<s>", "<s>", *kinds]
        for i in range(2, len(padded)):
            for size in (1, 2, 3):
                runs[tuple(padded[i - size + 1 : i + 1])] += 1
    kept = {k: n for k, n in runs.items() if n > 1 or len(k) < 3}
    return collections.Counter(kept), members


def main() -> None:
    """Write the tables."""
    ruled = formulas()
    sentences = told() * 3 + ruled
    runs, members = counts(sentences)
    formal = collections.Counter(t for tokens in ruled for t in tokens)
    joined: Runs = collections.Counter()
    for tokens in sentences:
        for size in (2, 3):
            for i in range(len(tokens) - size + 1):
                if GUARDED.isdisjoint(run := tuple(tokens[i : i + size])):
                    joined[run] += 1
    (OUT / "phrases.txt").write_text(
        "".join(f"{' '.join(k)}\t{n}\n" for k, n in sorted(runs.items()))
    )
    (OUT / "members.txt").write_text(
        "".join(f"{c} {w}\t{n}\t{formal[w]}\n" for (c, w), n in sorted(members.items()))
    )
    common = sorted(" ".join(k) for k, n in joined.items() if n >= (4 if len(k) == 2 else 12))
    (OUT / "joined.txt").write_text("".join(f"{run}\n" for run in common))
    print(len(common), "common runs;", len(runs), "runs", len(members), "words")


if __name__ == "__main__":
    main()
