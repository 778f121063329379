"""Left against right: every modality and place that has a grade on both sides.

A side that was graded only for a region speaks for the parts of that region ("power five
throughout the right arm" against grade four at the left elbow). A side that was given two
grades that exclude each other is left out; the cautions tell of it. Findings that name no
side are never compared.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from .grading import Case, compare, excludes, rule_row
from .models import Comparison

_Place = tuple[str, str]  # modality and segment


def compare_sides(case: Case) -> tuple[Comparison, ...]:
    """The comparisons in the order in which the places were first spoken of."""
    return tuple(_comparisons(case))


def _comparisons(case: Case) -> Iterator[Comparison]:
    graded: dict[str, dict[_Place, list[int]]] = {"left": {}, "right": {}}
    for index in case.observed:
        finding = case.findings[index]
        if finding.side in graded:
            place = (finding.modality, finding.segment)
            graded[finding.side].setdefault(place, []).append(index)
    for place in dict.fromkeys(_place(case, i) for i in case.observed):
        where = {side: _nearest(case, place, graded[side]) for side in graded}
        left, right = where["left"], where["right"]
        if left is None or right is None or place not in (left, right):
            continue
        found = {side: graded[side][at] for side, at in (("left", left), ("right", right))}
        if any(_is_torn(case, indices) for indices in found.values()):
            continue
        grades = [_grade(case, found[side][-1]) for side in ("left", "right")]
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
            findings=tuple(sorted((*found["left"], *found["right"]))),
            rows=(rule_row("rules/grades.toml", scale),),
        )


def _place(case: Case, index: int) -> _Place:
    return case.findings[index].modality, case.findings[index].segment


def _nearest(case: Case, place: _Place, graded: Collection[_Place]) -> _Place | None:
    """``place``, or the nearest region around it, that was graded."""
    modality, segment = place
    around = ((modality, code) for code in case.places.chain(segment))
    return next((at for at in around if at in graded), None)


def _is_torn(case: Case, indices: list[int]) -> bool:
    scale = case.scale(case.findings[indices[0]].modality)
    grades = [_grade(case, i) for i in indices]
    return any(excludes(scale, a, b) for a in grades for b in grades)


def _grade(case: Case, index: int) -> str:
    return case.findings[index].grade or ""
