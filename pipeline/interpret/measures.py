"""Models of what is measured from the grades: contrasts, scores, sensory levels, changes.

Every measure names the findings it rests on and the rows it was made by; what could not be
measured says why instead of a number.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from .base import DataRow, Model

Size = Literal["none", "one_step", "more_than_one_step", "not_sized"]
ContrastRelation = Literal["same", "first_less", "second_less", "unclear"]
ChangeKind = Literal["same", "better", "worse", "new", "gone", "changed", "not_comparable"]


class Mean(Model):
    """The mean of the grades of one place on the line of their scale, lowest and highest.

    The two differ when a grade was a word that covers a stretch of the scale ("reduced").
    """

    lowest: float
    highest: float
    count: int


class Contrast(Model):
    """Two parts of the body against each other on one side, by the mean of their grades.

    ``proximal_distal`` compares the parts of one limb, ``arm_leg`` the limbs. ``first_less``
    means the lower mean is at ``first_at``.
    """

    kind: Literal["proximal_distal", "arm_leg"]
    modality: str
    side: str
    first_at: str
    second_at: str
    first: Mean
    second: Mean
    relation: ContrastRelation
    size: Size
    findings: tuple[int, ...]
    rows: tuple[DataRow, ...]


class ScoreGap(Model):
    """A muscle of a score that has no whole grade, and why."""

    movement: str
    level: str | None = None
    side: str
    reason: Literal[
        "not_recorded", "not_examined", "not_assessable", "region_only", "no_number",
        "conflicting", "side_not_stated",
    ]  # fmt: skip


class Score(Model):
    """A published sum of muscle grades.

    ``total`` (0 to ``maximum``) and the subtotals of the sides are None unless every muscle
    that they need has a grade; ``missing`` lists the others. ``signed`` lists the findings
    whose plus or minus was read as a whole grade, ``treatment`` says how.
    """

    id: str
    title: str
    total: int | None
    maximum: int
    left: int | None
    right: int | None
    side_maximum: int
    missing: tuple[ScoreGap, ...]
    signed: tuple[int, ...] = ()
    treatment: str
    findings: tuple[int, ...]
    rows: tuple[DataRow, ...]


class SensoryLevel(Model):
    """The lowest normal segment above the first abnormal one, on one side.

    ``level`` is None when no segment above ``first_abnormal`` was recorded as normal.
    ``unrecorded`` are the segments between the two, and ``untested_above`` those above
    ``level`` that the standard asks for too; while either is not empty the level is
    provisional. ``normal_below`` are the segments below that were normal again: then it is a
    band of loss, and no level. ``modalities`` are those that the level rests on.
    """

    side: str
    level: str | None
    first_abnormal: str
    modalities: tuple[str, ...]
    unrecorded: tuple[str, ...]
    untested_above: tuple[str, ...]
    normal_below: tuple[str, ...]
    findings: tuple[int, ...]
    rows: tuple[DataRow, ...]


class Change(Model):
    """One thing as it was in an earlier record and as it is now.

    ``new`` and ``gone``: abnormal in the later or the earlier record only, by the age at
    each. ``changed``: abnormal in another way. ``within_variation``: by one step at most,
    which is what two examiners differ by. ``earlier_at`` and ``later_at`` are the places that
    the grades were given for. ``reason`` says why something is not comparable. ``findings``
    and ``earlier_findings`` index the later and the earlier record.
    """

    kind: ChangeKind
    modality: str
    segment: str
    side: str
    earlier: str | None
    later: str | None
    earlier_at: str | None
    later_at: str | None
    size: Size
    within_variation: bool = False
    reason: (
        Literal[
            "not_recorded_earlier", "not_recorded_later", "side_not_stated", "may_mean_the_same",
            "no_order", "conflicting",
        ]
        | None
    ) = None  # fmt: skip
    findings: tuple[int, ...] = ()
    earlier_findings: tuple[int, ...] = ()
    rows: tuple[DataRow, ...] = ()


class Earlier(Model):
    """The earlier record that the changes are against, as far as the two records tell.

    Records carry no identity, so nothing here says that both are of one child.
    ``disagreements`` says what in their dates, ages or sources cannot be.
    """

    narration: str
    date: dt.date | None
    age_months: int | None
    examiner: str | None
    compared: int
    only_earlier: int
    only_later: int
    disagreements: tuple[str, ...] = ()
