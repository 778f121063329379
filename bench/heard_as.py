"""Collects what recognisers were seen to make of the trade's terms.

    python bench/heard_as.py HEARD.jsonl … [--write]

Lines of HEARD.jsonl are invented narrations that were spoken and recognised (``said``,
``words``, ``voice``). What was heard is aligned with what was said; a stretch that stands for
a term of the lexicon in at least two different sentences is kept, with the number of sentences
and the voices, in ``lexicon/data/sounds/heard_as.csv``. Left out are stretches that bring in
or lose a number, a side, a denial or an opposite, and words of the trade themselves.
"""

from __future__ import annotations

import argparse
import csv
import json
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import jiwer
from hearing import folded  # same folder
from plessor.lexicon import load
from plessor.pipeline.correct.context import ordinary
from plessor.pipeline.correct.targets import hearing, opposites
from plessor.pipeline.correct.units import tokens_of
from plessor.pipeline.correct.words import denies, guarded

ORDINARY = 7e-4
OUT = Path(__file__).resolve().parent.parent / "lexicon/data/sounds/heard_as.csv"


def differences(said: list[str], heard: list[str]) -> Iterator[tuple[int, int, int, int]]:
    """Runs in which the two differ: first and last place in ``said``, then in ``heard``."""
    run: list[int] | None = None
    for chunk in jiwer.process_words(" ".join(said), " ".join(heard) or "-").alignments[0]:
        if chunk.type == "equal":
            if run:
                yield run[0], run[1], run[2], run[3]
            run = None
        elif run:
            run[1], run[3] = chunk.ref_end_idx, chunk.hyp_end_idx
        else:
            run = [chunk.ref_start_idx, chunk.ref_end_idx, chunk.hyp_start_idx, chunk.hyp_end_idx]
    if run:
        yield run[0], run[1], run[2], run[3]


def main() -> None:
    """Print or write the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("heard", nargs="+", type=Path)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    known = hearing(load().terms)
    sentences: dict[tuple[str, str], set[str]] = defaultdict(set)
    voices: dict[tuple[str, str], set[str]] = defaultdict(set)
    for path in args.heard:
        for line in path.read_text(encoding="utf-8").splitlines():
            one = json.loads(line)
            said = folded(one["said"])
            heard = folded(" ".join(w[0].strip() for w in one["words"]))
            for a, b, c, d in differences(said, heard):
                was, became = " ".join(said[a:b]), " ".join(heard[c:d])
                if 1 <= b - a <= 3 and 1 <= d - c <= 4 and usable(became, was, known):
                    around = " ".join(said[max(0, a - 3) : b + 3])
                    sentences[became, was].add(re.sub(r"\s+", " ", around))
                    voices[became, was].add(one["voice"].partition(":")[0])
    rows = [
        (heard, said, len(where), " ".join(sorted(voices[heard, said])))
        for (heard, said), where in sorted(sentences.items())
        if len(where) >= 2
    ]
    print(f"{len(rows)} mishearings in two or more sentences")
    if args.write:
        with OUT.open("w", encoding="utf-8", newline="") as out:
            table = csv.writer(out, lineterminator="\n")
            table.writerow(("heard", "said", "sentences", "voices"))
            table.writerows(rows)
    else:
        for row in rows:
            print(*row, sep=",")


def usable(heard: str, said: str, known: object) -> bool:
    """Whether a mishearing may be kept; the commonest words of English may not."""
    one, other = tokens_of(heard), tokens_of(said)
    words = known.trade_words  # type: ignore[attr-defined]
    return (
        not any(guarded(t) for t in (*one, *other))
        and sum(map(denies, one)) == sum(map(denies, other))
        and not any(t in opposites().get(u, ()) for t in one for u in other)
        and not any(t in words for t in one)
        and not all(ordinary(t) > ORDINARY for t in one)
        and all(t in words for t in other)
    )


if __name__ == "__main__":
    main()
