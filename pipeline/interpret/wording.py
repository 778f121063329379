"""How findings and lists are put into words. Left and right are treated alike: exchanging
them in the findings exchanges them in the words and changes nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ...lexicon import load
from ...lexicon.labels import name, place_name
from ..record import Finding
from .base import DataRow

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
    on the right", "mild spasticity at the elbow and the wrist on the right".
    """
    sides: dict[tuple[str, str, str], list[str]] = {}
    for index in indices:
        finding = findings[index]
        said = finding.grade if finding.grade is not None else finding.status
        places = sides.setdefault((finding.modality, finding.segment, said), [])
        if finding.side not in places:
            places.append(finding.side)
    alike: dict[tuple[str, str, str], list[str]] = {}
    for (modality, segment, said), places in sides.items():
        head, tail = _said(modality, segment, said)
        alike.setdefault((head, tail, on_sides(places)), []).append(_placed(modality, segment))
    return "; ".join(
        " ".join(part for part in (head, _together(wheres), tail, side) if part)
        for (head, tail, side), wheres in alike.items()
    )


def _said(modality: str, segment: str, said: str) -> tuple[str, str]:
    """What comes before the places and what after: ("power 4", ""), ("", "increased")."""
    modalities = load().vocabulary.modalities
    is_status = said in load().vocabulary.statuses
    words, what = name("status" if is_status else "grade", said), name("modality", modality)
    if modalities[modality].scale == "presence" and not is_status:
        return {"present": what, "absent": f"no {what}"}.get(said, f"{words} {what}"), ""
    if segment == "none" or segment.endswith("_jerk"):
        return "", words
    return f"{what} {words}", ""


def _together(wheres: list[str]) -> str:
    """ "in grip and elbow flexion": the preposition once, where all have the same."""
    preposition = wheres[0].split(" ", 1)[0]
    if preposition in ("in", "at") and all(w.startswith(f"{preposition} ") for w in wheres):
        return f"{preposition} {listed(w.removeprefix(f'{preposition} ') for w in wheres)}"
    return listed(wheres)


def what_where(modality: str, segment: str) -> str:
    """ "power in grip", "wasting in the hand", "pinprick at T6", "knee jerk", "gait"."""
    placed = _placed(modality, segment)
    is_whole = placed == place_name(modality, segment)
    return placed if is_whole else f"{name('modality', modality)} {placed}"


def _placed(modality: str, segment: str) -> str:
    """ "in elbow flexion", "in the hand", "at the ankle", "at T6"; "knee jerk", "gait"."""
    if segment == "none" or segment.endswith("_jerk"):
        return place_name(modality, segment)
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


def all_findings(groups: Iterable[tuple[int, ...]]) -> tuple[int, ...]:
    """The findings that several statements rest on, as one rests on them all."""
    return tuple(sorted({i for group in groups for i in group}))


def all_rows(groups: Iterable[tuple[DataRow, ...]]) -> tuple[DataRow, ...]:
    """The rows of data that several statements rest on, each once."""
    return tuple(dict.fromkeys(row for group in groups for row in group))
