"""What has changed since an earlier record, finding by finding.

Records carry no identity: that both are of one child is for the reader to know, so the
result names the record that it was held against and whatever in the two cannot go together.
Each finding is judged by the age at its own examination. A change of one step lies within
what two examiners differ by, and is marked so. What one of the two records lacks is not
comparable, never better or worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..record import Record
from .grading import (
    Case,
    Place,
    compare,
    graded_places,
    is_abnormal,
    is_torn,
    nearest_graded,
    rule_row,
)
from .measures import Change, ChangeKind, Earlier, Size

_SIDES = ("left", "right", "midline", "none")
_DAYS_A_MONTH = 30.44
#: How far ages and dates may disagree before it is said: both are rounded (house).
_SLACK_MONTHS = 2.0


def changes_since(earlier: Case, later: Case) -> tuple[Change, ...]:
    """The changes: what both records hold, then what the later and the earlier hold alone."""
    return (*_both(earlier, later), *_alone(earlier, later))


def describe_earlier(earlier: Record, later: Record, changes: Sequence[Change]) -> Earlier:
    """What the later record was held against, and what in the two cannot go together."""
    reasons = [change.reason for change in changes]
    return Earlier(
        narration=earlier.narration,
        date=earlier.date,
        age_months=earlier.age_months,
        examiner=earlier.examiner,
        compared=sum(change.kind != "not_comparable" for change in changes),
        only_earlier=reasons.count("not_recorded_later"),
        only_later=reasons.count("not_recorded_earlier"),
        disagreements=tuple(_disagreements(earlier, later)),
    )


def _disagreements(earlier: Record, later: Record) -> Iterator[str]:
    if earlier.audio and later.audio and earlier.audio.sha256 == later.audio.sha256:
        yield "both records were made from the same recording"
    days = (later.date - earlier.date).days if earlier.date and later.date else None
    if days is not None and days < 0:
        yield "the record given as the earlier one has the later date"
    if earlier.age_months is None or later.age_months is None:
        return
    months = later.age_months - earlier.age_months
    if months < 0:
        yield "the age in the record given as the earlier one is higher"
    elif days is not None and days >= 0 and abs(months - days / _DAYS_A_MONTH) > _SLACK_MONTHS:
        yield "the ages do not differ by the time between the dates"


def _both(earlier: Case, later: Case) -> Iterator[Change]:
    graded = {side: (graded_places(earlier, side), graded_places(later, side)) for side in _SIDES}
    spoken = dict.fromkeys(
        (case.findings[i].side, (case.findings[i].modality, case.findings[i].segment))
        for case in (later, earlier)
        for i in case.observed
        if case.findings[i].side in graded
    )
    for side, place in spoken:
        then, now = graded[side]
        at = nearest_graded(earlier, place, then), nearest_graded(later, place, now)
        if at[0] is None or at[1] is None or place not in at:
            continue
        yield _change(earlier, later, place, side, (at[0], then[at[0]]), (at[1], now[at[1]]))


def _change(
    earlier: Case,
    later: Case,
    place: Place,
    side: str,
    then: tuple[Place, list[int]],
    now: tuple[Place, list[int]],
) -> Change:
    scale = later.scale(place[0])
    before, after = (
        case.findings[indices[-1]].grade or ""
        for case, (_, indices) in ((earlier, then), (later, now))
    )
    size: Size = "none"
    reason = None
    kind: ChangeKind
    if is_torn(earlier, then[1]) or is_torn(later, now[1]):
        kind, reason = "not_comparable", "conflicting"
    else:
        relation, size = compare(scale, before, after)
        was, is_now = is_abnormal(earlier, then[1][-1]), is_abnormal(later, now[1][-1])
        if relation == "unclear" and was and is_now:
            kind, reason = "not_comparable", "may_mean_the_same"
        elif was != is_now:
            kind = "new" if is_now else "gone"
        elif relation == "same" or not is_now:
            kind = "same"
        elif relation == "differs":
            kind, reason = ("changed", None) if scale.exclusive else ("not_comparable", "no_order")
        else:
            kind = _direction(scale.values, scale.normal[0], before, after)
    return Change.model_validate(
        {
            "kind": kind,
            "modality": place[0],
            "segment": place[1],
            "side": side,
            "earlier": before,
            "later": after,
            "earlier_at": then[0][1],
            "later_at": now[0][1],
            "size": size,
            "within_variation": size == "one_step" and kind not in ("same", "not_comparable"),
            "reason": reason,
            "findings": tuple(now[1]),
            "earlier_findings": tuple(then[1]),
            "rows": (rule_row("rules/grades.toml", scale),),
        }
    )


def _direction(
    values: Mapping[str, tuple[float, float]], normal: str, before: str, after: str
) -> ChangeKind:
    """Towards the normal grade or away from it; past it to the other side is neither."""
    middle = sum(values[normal]) / 2
    was, is_now = (sum(values[grade]) / 2 - middle for grade in (before, after))
    if was * is_now < 0 or abs(was) == abs(is_now):
        return "changed"
    return "better" if abs(is_now) < abs(was) else "worse"


def _alone(earlier: Case, later: Case) -> Iterator[Change]:
    """What has no counterpart: recorded in one of the two only, or without a side."""
    for case, other, is_later in ((later, earlier, True), (earlier, later, False)):
        keys: dict[tuple[str, Place], list[int]] = {}
        for index in case.observed:
            finding = case.findings[index]
            keys.setdefault((finding.side, (finding.modality, finding.segment)), []).append(index)
        for (side, place), indices in keys.items():
            unsided = side not in _SIDES
            if not unsided and _has_counterpart(other, place, side):
                continue
            grade = case.findings[indices[-1]].grade
            lacking = "not_recorded_earlier" if is_later else "not_recorded_later"
            yield Change.model_validate(
                {
                    "kind": "not_comparable",
                    "modality": place[0],
                    "segment": place[1],
                    "side": side,
                    "earlier": None if is_later else grade,
                    "later": grade if is_later else None,
                    "earlier_at": None if is_later else place[1],
                    "later_at": place[1] if is_later else None,
                    "size": "not_sized",
                    "reason": "side_not_stated" if unsided else lacking,
                    "findings": tuple(indices) if is_later else (),
                    "earlier_findings": () if is_later else tuple(indices),
                }
            )


def _has_counterpart(other: Case, place: Place, side: str) -> bool:
    """Whether the other record graded the same place, a region around it or a part of it."""
    graded = graded_places(other, side)
    return any(
        modality == place[0] and other.places.overlap(segment, place[1])
        for modality, segment in graded
    )
