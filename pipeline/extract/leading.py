"""Whether a grade leads the target after it, adds to what stands, or speaks of something else.

"Mild wasting" and "full power" lead; "power full" does not; "weak, four minus" is two words
for one grade. Small decisions over the units of an utterance, the number of the unit in hand
and the open statement; they change nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ...lexicon.words import load_words
from .grading import grade_of
from .statement import Statement
from .targets import compatible, target_of
from .units import Unit, following

#: What a second word does to a grade: nothing new, a better word for it, or another grade.
Merge = Literal["other", "repeats", "confirms", "betters"]


def has_own_grade(units: Sequence[Unit], i: int) -> bool:
    """Whether a grade that is not the next target's follows target ``i``."""
    for j in range(i + 1, len(units)):
        unit = units[j]
        if unit.sort in ("target", "otherwise", "except"):
            return False
        if unit.sort in ("grade", "status", "none"):
            after = following(units, j)
            elsewhere = after is not None and after.sort in ("side", "place")
            if unit.comma and unit.joined and elsewhere:
                return False  # "…, biceps and triceps, and five on the right"
            leads = (
                after is not None
                and after.sort == "target"
                and not (after.comma or after.joined)
                and (unit.comma or unit.joined)
            )
            return not leads
    return False


def leads(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """Whether grade ``i`` stands before its target ("mild wasting", "full power")."""
    words, unit, after = load_words(), units[i], following(units, i)
    if after is None or after.comma or after.colon or _points(unit):
        return False
    if after.sort == "place" and not after.gap_has(words.prepositions):
        beyond = following(units, i + 1)
        if beyond is None or beyond.sort != "target" or beyond.gap:
            return False
        after = beyond
    if after.sort != "target" or after.negated:
        return False
    if after.joined or after.gap_has(words.copulas):
        return False
    target = target_of(after)
    targets = [] if target is None else [target]
    if not compatible(unit, targets):
        return False
    placed = cur.located and cur.units[0].sort == "target" and unit.comma
    if (cur.self_sufficient and (unit.comma or unit.joined)) or placed:
        return True
    if cur.targets and cur.own_targets and not cur.headed and compatible(unit, cur.targets):
        # "tone normal power five": the target before has no grade yet.
        return False
    beyond = following(units, i + 1)
    if not after.gap and beyond is not None and beyond.sort == "grade" and not beyond.comma:
        return not compatible(beyond, targets) or set(unit.readings) == {"presence"}
    return True


def _points(unit: Unit) -> bool:
    """Up and down say how something is, never what it is ("woke up with …")."""
    return {"plantar", "tone"} <= set(unit.readings) and "presence" not in unit.readings


def leads_status(units: Sequence[Unit], i: int) -> bool:
    """Whether a status stands before its target ("did not test vibration")."""
    after = following(units, i)
    return (
        after is not None
        and after.sort == "target"
        and not after.comma
        and not after.gap_has(load_words().status_contrast)
    )


def asserted_elsewhere(unit: Unit, cur: Statement) -> bool:
    """ "There was a tremor on the right, which was absent on the left"."""
    return bool(
        cur.grade is None
        and cur.status is None
        and unit.comma
        and cur.targets
        and cur.own_targets
        and cur.targets[-1].unit.there_is
        and cur.targets[-1].is_sign
        and cur.units[-1].sort in ("side", "place")
        and compatible(unit, cur.targets)
        and not {"absent", "normal"}.isdisjoint(unit.readings.values())
    )


def merge(unit: Unit, cur: Statement) -> Merge:
    """What a grade word does to the grade that stands: a number says more than a word.

    "Weak, four minus" is one grade, bettered; "mild wasting of the thigh is visible" repeats.
    """
    if cur.grade is None or not cur.targets:
        return "other"
    words, target = load_words(), cur.targets[0]
    old = grade_of(cur.grade, target.modality, own=target.own)
    new = grade_of(unit, target.modality, own=target.own)
    led = cur.grade.sort == "none" or (cur.grade_first and old is not None)
    if led and _plainly_present(unit) and unit.gap_has(words.copulas):
        return "repeats"  # "mild wasting of the thigh is visible", "none was seen"
    if _is_number_of_word(unit, cur, old) and target.modality == "power":
        return "betters"
    adjacent = cur.last is cur.grade or (cur.grade_first and cur.last is target.unit)
    if not adjacent or not words.between_grades.issuperset(unit.gap):
        return "other"
    if new is None:
        return "repeats"
    if old == new:
        return "confirms"
    if unit.number and not cur.grade.number and target.modality == "power":
        return "betters"
    if old == "present" and new in words.degrees:
        return "betters"
    return "repeats" if old in words.degrees and new == "present" else "other"


def _is_number_of_word(unit: Unit, cur: Statement, old: str | None) -> bool:
    """ "A little weak on the right, I'd say a four": a number for what a word said."""
    words = load_words()
    told = old in ("reduced", "normal", None) and cur.grade is not None and not cur.grade.number
    small = words.between_grades | words.saying
    tied = unit.comma or "at" in unit.gap  # "weakness of hip flexion at three"
    return told and bool(unit.number) and tied and small.issuperset(unit.gap)


def is_doubled(unit: Unit, cur: Statement) -> bool:
    """ "Plantar flexion five and five": one number for each side."""
    last = cur.last
    return (
        bool(unit.number)
        and last is cur.grade
        and cur.grade is not None
        and bool(cur.grade.number)
        and {",", "and"}.issuperset(unit.gap)
    )


def _plainly_present(unit: Unit) -> bool:
    return not unit.negated and unit.readings.get("presence") == "present"
