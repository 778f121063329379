"""How well findings survive the loss of the marks, by the way they are lost.

The narrations of ``tests/narrations`` (and of other folders named on the command line) are read as
written, and with their marks lost in the ways recognisers lose them; printed is the F1 of their
findings (all five codes) and false findings in a thousand words of teaching. The weights of
``lexicon/data/marks`` were fitted on ``tests/narrations`` among others, so that only other folders
show what to expect of new talk.

    python bench/marks.py [FOLDER ...]
"""

from __future__ import annotations

import json
import random
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from plessor.pipeline.extract import extract
from plessor.pipeline.transcript import from_text

FOLDER = Path(__file__).resolve().parents[1] / "tests/narrations"
Coded = tuple[str, str, str, str | None, str]
_STOP, _MARK = re.compile(r"[.:;](?=\s)"), re.compile(r"[.,:;?!](?=\s|$)")


def lose(text: str, way: str, rnd: random.Random) -> str:
    """A narration with its marks lost in a way; ``WAYS`` says how."""
    return WAYS[way][1](text.replace("\n", " "), rnd)


#: What is lost, and how.
WAYS: Mapping[str, tuple[str, Callable[[str, random.Random], str]]] = {
    "none": ("nothing", lambda t, r: t),
    "colons": (
        "colons become commas, stops or nothing",
        lambda t, r: re.sub(r"[:;](?=\s)", lambda _: r.choice(",. ").strip(), t),
    ),
    "half": (
        "every other stop becomes a comma",
        lambda t, r: _STOP.sub(lambda _: r.choice(",."), t),
    ),
    "stops": ("all stops become commas", lambda t, r: _STOP.sub(",", t)),
    "most": (
        "marks become commas or nothing",
        lambda t, r: _MARK.sub(lambda _: r.choice([",", ",", ""]), t),
    ),
    "all": ("no mark, no capital", lambda t, r: _MARK.sub("", t).lower()),
}


def found(text: str) -> set[Coded]:
    """The findings of a narration in their five codes."""
    return {
        (f.modality, f.segment, f.side, f.grade, f.status)
        for f in extract(from_text(text)).findings
    }


def wanted(rows: Sequence[Coded]) -> set[Coded]:
    """The findings that a narration should give; "both" is two."""
    return {
        (modality, segment, one, grade, status)
        for modality, segment, side, grade, status in rows
        for one in (("left", "right") if side == "both" else (side,))
    }


def main() -> None:
    """Print a row for each way in which marks are lost."""
    folders = [Path(a) for a in sys.argv[1:]] or [FOLDER]
    cases = [json.loads(p.read_text()) for f in folders for p in sorted(f.glob("*.json"))]
    print(f"{len(cases)} narrations")
    print(f"{'lost':8}{'F1':>6}{'precision':>11}{'recall':>8}{'teaching':>10}")
    for way, (meaning, _) in WAYS.items():
        rnd = random.Random(3)
        right = extra = missed = false = words = 0
        for case in cases:
            have, want = found(lose(case["text"], way, rnd)), wanted(case["findings"])
            right += len(have & want)
            extra += len(have - want)
            missed += len(want - have)
            if case["kind"] == "teaching":
                false += len(have - want)
                words += len(case["text"].split())
        precision, recall = right / max(1, right + extra), right / max(1, right + missed)
        f1 = 2 * right / max(1, 2 * right + extra + missed)
        print(
            f"{way:8}{f1:6.3f}{precision:11.3f}{recall:8.3f}"
            f"{1000 * false / max(1, words):10.1f}  {meaning}"
        )


if __name__ == "__main__":
    main()
