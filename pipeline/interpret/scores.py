"""Published sums of muscle grades, when and only when every muscle was graded.

The scores are data (``rules/scores.toml``). A muscle without a whole grade of its own leaves
the sum open: nothing is taken from a region, from the other side or from a word like "weak".
A score of which no muscle was graded is not spoken of.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...lexicon.scores import ScoreRule, load_scores
from .base import DataRow
from .grading import Case, is_torn, norm_row
from .measures import Score, ScoreGap

_TABLE = "rules/scores.toml"
_SIDES = ("left", "right")


@dataclass(frozen=True)
class _Graded:
    """One muscle on one side: its points, or why it has none."""

    points: int | None
    finding: int | None
    gap: ScoreGap | None


def sum_scores(case: Case) -> tuple[Score, ...]:
    """The scores of which at least one muscle was graded, in the order of the data."""
    scores = (_score(case, rule) for rule in load_scores())
    return tuple(score for score in scores if score is not None)


def _score(case: Case, rule: ScoreRule) -> Score | None:
    muscles = {
        side: [_graded(case, rule, movement, level, side) for movement, level in rule.movements]
        for side in _SIDES
    }
    every = [muscle for side in _SIDES for muscle in muscles[side]]
    found = tuple(sorted({m.finding for m in every if m.finding is not None}))
    if not found:
        return None
    left, right = (_sum(muscles[side]) for side in _SIDES)
    return Score(
        id=rule.id,
        title=rule.title,
        total=None if left is None or right is None else left + right,
        maximum=rule.maximum,
        left=left,
        right=right,
        side_maximum=rule.maximum // 2,
        missing=tuple(m.gap for m in every if m.gap is not None),
        signed=tuple(i for i in found if (case.findings[i].grade or "")[-1] in "+-"),
        treatment=rule.treatment,
        findings=found,
        rows=(
            DataRow(table=_TABLE, row=rule.id, source=rule.source, source_kind=rule.source_kind),
            *(norm_row(norm) for norm in case.norms("power")),
        ),
    )


def _sum(muscles: list[_Graded]) -> int | None:
    points = [m.points for m in muscles if m.points is not None]
    return sum(points) if len(points) == len(muscles) else None


def _graded(case: Case, rule: ScoreRule, movement: str, level: str | None, side: str) -> _Graded:
    own = [i for i in case.observed if _is_of(case, i, movement, level, side)]
    if own and not is_torn(case, own):
        points = rule.points.get(case.findings[own[-1]].grade or "")
        if points is not None:
            return _Graded(points, own[-1], None)
    reasons = _reasons(case, own, movement, level, side)
    return _Graded(
        None,
        None,
        ScoreGap.model_validate(
            {"movement": movement, "level": level, "side": side, "reason": next(reasons)}
        ),
    )


def _reasons(
    case: Case, own: list[int], movement: str, level: str | None, side: str
) -> Iterator[str]:
    """Why the muscle has no whole grade, the most telling reason first."""
    if own:
        yield "conflicting" if is_torn(case, own) else "no_number"
    for index in range(len(case.findings)):
        status = case.findings[index].status
        if status != "observed" and _is_of(case, index, movement, level, side):
            yield status
    if any(_is_of(case, i, movement, level, "unstated") for i in case.observed):
        yield "side_not_stated"
    if any(_is_around(case, i, movement, side) for i in case.observed):
        yield "region_only"
    yield "not_recorded"


def _is_of(case: Case, index: int, movement: str, level: str | None, side: str) -> bool:
    finding = case.findings[index]
    is_named = finding.segment == movement or (level is not None and finding.segment == level)
    return finding.modality == "power" and is_named and finding.side == side


def _is_around(case: Case, index: int, movement: str, side: str) -> bool:
    finding = case.findings[index]
    around = case.places.chain(movement)[1:]
    return finding.modality == "power" and finding.segment in around and finding.side == side
