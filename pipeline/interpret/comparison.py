"""Left against right: every modality and place that has a grade on both sides.

A side that was given two grades that exclude each other is left out; the cautions tell of
it. Findings that name no side are never compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from .grading import Case, compare, excludes, rule_row
from .models import Comparison


def compare_sides(case: Case) -> tuple[Comparison, ...]:
    """The comparisons in the order in which the places were first spoken of."""
    return tuple(_comparisons(case))


def _comparisons(case: Case) -> Iterator[Comparison]:
    sides: dict[tuple[str, str], dict[str, list[int]]] = {}
    for index in case.observed:
        finding = case.findings[index]
        if finding.side in ("left", "right"):
            place = sides.setdefault((finding.modality, finding.segment), {})
            place.setdefault(finding.side, []).append(index)
    for (modality, segment), found in sides.items():
        if len(found) < 2 or any(_is_torn(case, indices) for indices in found.values()):
            continue
        left, right = (_grade(case, found[side][-1]) for side in ("left", "right"))
        relation, size = compare(scale := case.scale(modality), left, right)
        yield Comparison(
            modality=modality,
            segment=segment,
            relation=relation,
            size=size,
            left=left,
            right=right,
            findings=tuple(sorted((*found["left"], *found["right"]))),
            rows=(rule_row("rules/grades.toml", scale),),
        )


def _is_torn(case: Case, indices: list[int]) -> bool:
    scale = case.scale(case.findings[indices[0]].modality)
    grades = [_grade(case, i) for i in indices]
    return any(excludes(scale, a, b) for a in grades for b in grades)


def _grade(case: Case, index: int) -> str:
    return case.findings[index].grade or ""
