"""How findings and lists are put into words. Left and right are treated alike: exchanging
them in the findings exchanges them in the words and changes nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ...lexicon.labels import name, place_name
from ..record import Finding

_ON_SIDE = {
    "left": "on the left",
    "right": "on the right",
    "midline": "",
    "none": "",
    "unstated": "(side not stated)",
}


def described(findings: Sequence[Finding], indices: Iterable[int]) -> str:
    """The findings in the order spoken: "knee jerk increased on both sides; gait ataxic"."""
    sides: dict[tuple[str, str], list[str]] = {}
    for index in indices:
        finding = findings[index]
        said = finding.grade if finding.grade is not None else finding.status
        kind = "grade" if finding.grade is not None else "status"
        what = place_name(finding.modality, finding.segment)
        places = sides.setdefault((what, name(kind, said)), [])
        if finding.side not in places:
            places.append(finding.side)
    alike: dict[tuple[str, str], list[str]] = {}
    for (what, said), places in sides.items():
        alike.setdefault((said, on_sides(places)), []).append(what)
    return "; ".join(
        " ".join(part for part in (listed(whats), said, where) if part)
        for (said, where), whats in alike.items()
    )


def on_sides(sides: Sequence[str]) -> str:
    """ "on the left", "on both sides", or "" where sides do not apply."""
    if {"left", "right"} <= set(sides):
        sides = ["both", *(s for s in sides if s not in ("left", "right"))]
    words = ("on both sides" if s == "both" else _ON_SIDE[s] for s in sides)
    return ", ".join(w for w in words if w)


def listed(items: Iterable[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    *most, last = list(items) or [""]
    return f"{', '.join(most)} and {last}" if most else last
