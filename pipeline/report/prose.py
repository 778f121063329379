"""Findings as sentences, region by region, the left against the right.

The regions are places of the tree of places; a finding belongs to the first that holds its
place, and to the body as a whole when none does. A sentence tells what was recorded on both
sides, and says “nothing recorded” of a side that has no finding: never that it was normal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ...lexicon.places import load_places
from ..record import Finding
from .findings import by_group, marks, said

#: The regions of a letter, from the head down, with their places.
REGIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Head and neck", ("face", "tongue", "neck")),
    ("Arms", ("upper_limb",)),
    ("Trunk", ("trunk", "perianal")),
    ("Legs", ("lower_limb",)),
    ("Gait, station and the body as a whole", ("",)),
)
#: How the place is said of what has neither left nor right.
_WHERE = {"none": "", "midline": " in the midline", "unstated": ", side not stated"}


def by_region(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """The findings of each region in their order; regions without findings are left out."""
    sorted_out: dict[str, list[Finding]] = {title: [] for title, _ in REGIONS}
    for finding in findings:
        sorted_out[_region(finding)].append(finding)
    return {title: found for title, found in sorted_out.items() if found}


def sentences(findings: Iterable[Finding]) -> Iterator[str]:
    """One sentence for each group of modalities, in the order of an examination."""
    for title, rows in by_group(findings):
        clauses = "; ".join(_clause(label, found) for label, found in rows.items())
        yield f"{title[:1].upper()}{title[1:]}: {clauses}."


def _region(finding: Finding) -> str:
    code = finding.modality if finding.segment == "none" else finding.segment
    chain = load_places().chain(code)
    return next(t for t, places in REGIONS if any(p in chain or not p for p in places))


def _clause(label: str, findings: Sequence[Finding]) -> str:
    sides = {
        side: [_told(f) for f in findings if f.side == side]
        for side in dict.fromkeys(f.side for f in findings)
    }
    left, right = sides.pop("left", []), sides.pop("right", [])
    parts = []
    if left and left == right:
        parts.append(f"{' and '.join(left)} on both sides")
    elif left or right:
        both = (("left", left), ("right", right))
        told = [f"{' and '.join(found)} on the {side}" for side, found in both if found]
        parts.append(" and ".join(told))
        if not (left and right):
            lacking = "right" if left else "left"
            parts.append(f"nothing recorded on the {lacking}")
    parts.extend(f"{' and '.join(found)}{_WHERE[side]}" for side, found in sides.items())
    return f"{label} {', '.join(parts)}"


def _told(finding: Finding) -> str:
    besides = marks(finding, times=False)
    return said(finding) + (f" ({', '.join(besides)})" if besides else "")
