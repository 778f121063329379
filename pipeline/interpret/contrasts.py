"""Proximal against distal and arm against leg, side by side, by the mean of the grades.

A part that was not graded by itself takes the grade of the nearest region around it; two
parts that both rest on one and the same statement are not compared. Grades that the age
accepts as no finding, and places with grades that exclude each other, are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from ...lexicon.rules import Scale
from .grading import (
    Case,
    Place,
    graded_places,
    is_abnormal,
    is_torn,
    nearest_graded,
    rule_row,
    size_of,
)
from .measures import Contrast, ContrastRelation, Mean
from .scope import lies_in

_Kind = Literal["proximal_distal", "arm_leg"]
_PAIRS: tuple[tuple[_Kind, str, str], ...] = (
    ("proximal_distal", "proximal_upper_limb", "distal_upper_limb"),
    ("proximal_distal", "proximal_lower_limb", "distal_lower_limb"),
    ("arm_leg", "upper_limb", "lower_limb"),
)


def contrast_parts(case: Case) -> tuple[Contrast, ...]:
    """The contrasts by modality in the order spoken, then by pair; left and right alike."""
    graded = {side: _usable(case, side) for side in ("left", "right")}
    spoken = dict.fromkeys(case.findings[i].modality for i in case.observed)
    sides = dict.fromkeys(
        case.findings[i].side for i in case.observed if case.findings[i].side in graded
    )
    return tuple(
        contrast
        for modality in spoken
        for kind, first, second in _PAIRS
        for side in sides
        for contrast in _contrasts(case, graded[side], side, modality, kind, (first, second))
    )


def _usable(case: Case, side: str) -> dict[Place, list[int]]:
    """The graded places of one side whose grades can be put into a mean."""
    usable = {}
    for place, indices in graded_places(case, side).items():
        scale = case.scale(place[0])
        grade = case.findings[indices[-1]].grade or ""
        expected = grade in scale.normal or is_abnormal(case, indices[-1])
        is_ordered = scale.step is not None and grade in scale.values
        if is_ordered and expected and not is_torn(case, indices):
            usable[place] = indices
    return usable


def _contrasts(
    case: Case,
    graded: Mapping[Place, list[int]],
    side: str,
    modality: str,
    kind: _Kind,
    parts: tuple[str, str],
) -> Iterator[Contrast]:
    first, second = (_places(case, graded, modality, part) for part in parts)
    if not first or not second or set(first) & set(second):
        return
    scale = case.scale(modality)
    means = [_mean(case, scale, (graded[place][-1] for place in at)) for at in (first, second)]
    a, b = ((mean.lowest, mean.highest) for mean in means)
    relation: ContrastRelation
    if a == b:
        relation = "same" if a[0] == a[1] else "unclear"
    elif a[0] <= b[1] and b[0] <= a[1]:
        relation = "unclear"
    else:
        relation = "first_less" if a[1] < b[0] else "second_less"
    sized = relation in ("first_less", "second_less")
    yield Contrast(
        kind=kind,
        modality=modality,
        side=side,
        first_at=parts[0],
        second_at=parts[1],
        first=means[0],
        second=means[1],
        relation=relation,
        size=size_of(scale, a, b) if sized else "none" if relation == "same" else "not_sized",
        findings=tuple(sorted({i for place in (*first, *second) for i in graded[place]})),
        rows=(rule_row("rules/grades.toml", scale),),
    )


def _places(case: Case, graded: Mapping[Place, list[int]], modality: str, part: str) -> list[Place]:
    """The graded places within ``part``, else the nearest region around it that was graded."""
    own = [place for place in graded if place[0] == modality]
    within = [p for p in own if lies_in(case, case.findings[graded[p][0]], (part,))]
    if within:
        return within
    around = nearest_graded(case, (modality, part), own)
    return [around] if around else []


def _mean(case: Case, scale: Scale, indices: Iterable[int]) -> Mean:
    values = [scale.values[case.findings[i].grade or ""] for i in indices]
    lowest, highest = (round(sum(ends) / len(values), 2) for ends in zip(*values, strict=True))
    return Mean(lowest=lowest, highest=highest, count=len(values))
