"""How findings and lists are put into words. Left and right are treated alike: exchanging
them in the findings exchanges them in the words and changes nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ...lexicon import load
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
    """The findings in the order spoken: "knee jerk increased on both sides; gait ataxic".

    What has one grade on the same sides is told together: "power 4 in elbow flexion and grip
    on the right".
    """
    sides: dict[tuple[str, str, str], list[str]] = {}
    for index in indices:
        finding = findings[index]
        said = finding.grade if finding.grade is not None else finding.status
        kind = "grade" if finding.grade is not None else "status"
        places = sides.setdefault((finding.modality, finding.segment, name(kind, said)), [])
        if finding.side not in places:
            places.append(finding.side)
    alike: dict[tuple[str, str, str], list[str]] = {}
    for (modality, segment, said), places in sides.items():
        what = place_name(modality, segment)
        has_place = what.endswith(")")
        key = (f"{name('modality', modality)} {said}" if has_place else "", said, on_sides(places))
        alike.setdefault(key, []).append(_placed(segment) if has_place else what)
    return "; ".join(
        " ".join(part for part in (_told(head, said, whats), where) if part)
        for (head, said, where), whats in alike.items()
    )


def _told(head: str, said: str, whats: list[str]) -> str:
    if not head:
        return f"{listed(whats)} {said}"
    preposition = whats[0].split(" ", 1)[0]
    same = all(what.startswith(f"{preposition} ") for what in whats)
    places = [what.removeprefix(f"{preposition} ") for what in whats] if same else whats
    return f"{head} {preposition} {listed(places)}" if same else f"{head} {listed(places)}"


def _placed(segment: str) -> str:
    """ "in elbow flexion", "in the hand", "at the ankle", "at T6"."""
    words = name("segment", segment)
    kinds = load().vocabulary.segment_kinds[segment]
    if "level" in kinds:
        return f"at {words}"
    if "movement" in kinds:
        return f"in {words}"
    return f"at the {words}" if "joint" in kinds else f"in the {words}"


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


def capital(text: str) -> str:
    """``text`` with a capital at its beginning."""
    return text[:1].upper() + text[1:]
