"""Left against right: every modality and place that has a grade on both sides.

A side that was graded only for a region speaks for the parts of that region ("power five
throughout the right arm" against grade four at the left elbow). A side that was given two
grades that exclude each other is left out; the cautions tell of it. Findings that name no
side are never compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from .grading import Case, compare, graded_places, is_torn, nearest_graded, rule_row
from .models import Comparison


def compare_sides(case: Case) -> tuple[Comparison, ...]:
    """The comparisons in the order in which the places were first spoken of."""
    return tuple(_comparisons(case))


def _comparisons(case: Case) -> Iterator[Comparison]:
    graded = {side: graded_places(case, side) for side in ("left", "right")}
    spoken = ((case.findings[i].modality, case.findings[i].segment) for i in case.observed)
    for place in dict.fromkeys(spoken):
        left, right = (nearest_graded(case, place, graded[side]) for side in graded)
        if left is None or right is None or place not in (left, right):
            continue
        found = (graded["left"][left], graded["right"][right])
        if any(is_torn(case, indices) for indices in found):
            continue
        grades = [case.findings[indices[-1]].grade or "" for indices in found]
        relation, size = compare(scale := case.scale(place[0]), *grades)
        yield Comparison(
            modality=place[0],
            segment=place[1],
            relation=relation,
            size=size,
            left=grades[0],
            right=grades[1],
            left_at=left[1],
            right_at=right[1],
            findings=tuple(sorted((*found[0], *found[1]))),
            rows=(rule_row("rules/grades.toml", scale),),
        )
