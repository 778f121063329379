"""What later words take back of the findings already made.

A repair an utterance later ("sorry, make that four"), "scrub that", "other way round", and
a general remark that grades make superfluous. Repairs inside an utterance are settled
before its statements are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from ...lexicon import load
from ...lexicon.places import load_places
from ...lexicon.words import load_words
from .context import OPPOSITE, Context
from .drafts import Draft
from .found import Found, FoundList
from .grading import grade_of
from .kinds import Utterance
from .targets import target_of
from .units import Unit

#: What an utterance was: no repair, a repair that is done with, or one said again in full,
#: whose findings take the place of those before.
Repair = Literal["none", "done", "restated"]
#: How far into an utterance "other way round" may stand to speak of the one before.
_OPENING_UNITS = 3


def repair(
    found: FoundList, context: Context, utterance: Utterance, units: Sequence[Unit]
) -> Repair:
    """Carry out what an utterance takes back or corrects of the one before it."""
    if any(u.sort == "retract" for u in units):
        found.drop(context.last_batch)
        context.last_batch = []
        return "done"
    if any(u.sort == "other_way" for u in units[:_OPENING_UNITS]):
        return _turn_about(found, context, units)
    if units[0].sort != "correction" or not context.last_batch:
        return "none"
    rest = [u for u in units if u.sort != "correction"]
    if {"target", "grade"} <= {u.sort for u in rest}:
        return "restated"
    if not rest or not _says_only(utterance, units):
        return "none"
    for unit in rest:
        for at in context.last_batch:
            changed = _changed(found[at].draft, unit)
            if changed is not None:
                found.change(at, changed)
    found.merge_doubles()
    context.last_batch = [at for at in context.last_batch if at < len(found)]
    return "done"


def _turn_about(found: FoundList, context: Context, units: Sequence[Unit]) -> Repair:
    """ "Other way round": the last thing said of left and right is turned about."""
    last = context.last_batch
    if not last or last[-1] >= len(found):
        return "done"
    spoken_of = found[last[-1]].draft.key[:2]
    about = [
        at
        for at in context.last_utterance or last
        if at < len(found) and found[at].draft.key[:2] == spoken_of
    ]
    if any(u.sort == "grade" for u in units):  # said again, the right way round
        found.drop(about)
        context.last_batch = context.last_utterance = []
        return "none"
    for at in about:
        draft = found[at].draft
        found.change(at, replace(draft, side=OPPOSITE.get(draft.side, draft.side)))
    return "done"


def _says_only(utterance: Utterance, units: Sequence[Unit]) -> bool:
    """Whether an utterance holds hardly a word beside its units."""
    covered = {i for u in units for i in range(u.start, u.end)}
    last = max(u.end for u in units)
    words = [utterance.texts[i] for i in range(utterance.start, last) if i not in covered]
    return load_words().repair_words.issuperset(words)


def _changed(draft: Draft, unit: Unit) -> Draft | None:
    """A finding with what a repair says instead; None when it says nothing of it."""
    side = unit.side if unit.side is not None and unit.side in OPPOSITE else None
    if unit.sort == "side" and side and draft.side in OPPOSITE:
        return replace(draft, side=side)
    if unit.sort == "grade":
        grade = grade_of(unit, draft.modality) if draft.status == "observed" else None
        return None if grade is None else replace(draft, grade=grade)
    if unit.sort == "level" and draft.segment in load().vocabulary.levels:
        return replace(draft, segment=unit.codes[0])
    if unit.sort in ("place", "target"):
        segment = _other_segment(draft, unit)
        if segment is not None or side:
            return replace(draft, segment=segment or draft.segment, side=side or draft.side)
    return None


def _other_segment(draft: Draft, unit: Unit) -> str | None:
    """The segment that a place or a target names for the modality of a finding."""
    target = target_of(unit) if unit.sort == "target" else None
    if target is not None and target.modality == draft.modality and target.segment:
        return target.segment
    for term in unit.terms:
        if term.kind == "segment" and load().vocabulary.takes(draft.modality, term.code):
            return term.code
        reflex = load_words().reflex_of_place.get(term.code)
        if draft.modality == "reflex" and reflex:
            return reflex
    return None


def without_turned_about(units: list[Unit]) -> list[Unit]:
    """Units without what "other way round" takes back when it is said again at once."""
    k = next((i for i, u in enumerate(units) if u.sort == "other_way"), 0)
    if k < 2 or not {"target", "grade", "none"} & {u.sort for u in units[k + 1 :]}:
        return units
    again = next((u for u in units[k + 1 :] if u.sort == "target"), None)
    for i, unit in enumerate(units[:k]):
        same = again is not None and set(unit.terms) & set(again.terms)
        if same or (again is None and unit.sort == "grade"):
            return [*units[:i], *units[k + 1 :]]
    return units


def general_remarks(found: FoundList) -> set[int]:
    """Positions of remarks that grades say better ("The legs are weak, hip flexion three")."""
    return {at for at in range(len(found)) if _is_general(found[at]) and _said_better(found, at)}


def _is_general(one: Found) -> bool:
    draft = one.draft
    if draft.modality == "gait" and draft.grade == "abnormal":
        return True  # "walks with a limp, an antalgic gait"
    if draft.implied and draft.segment == "whole_body" and draft.grade != "normal":
        return True  # "he's floppy: tone is reduced in all four limbs"
    return (
        draft.modality in ("power", "reflex")
        and draft.word_grade
        and draft.grade != "normal"
        and draft.status == "observed"
        and load().vocabulary.segment_kinds[draft.segment][0] == "region"
    )


def _said_better(found: FoundList, at: int) -> bool:
    """Whether the same utterance or the next one grades a part of the place of a remark."""
    remark, within = found[at], load_places().within
    for k in range(at + 1, len(found)):
        one = found[k]
        if one.utterance > remark.utterance + 1:
            return False
        if (
            one.draft.modality == remark.draft.modality == "gait"
            and one.utterance == remark.utterance
            and one.draft.grade not in ("abnormal", "normal")
        ):
            return True
        if (
            one.draft.modality == remark.draft.modality
            and one.draft.segment != remark.draft.segment
            and (
                remark.draft.segment == "whole_body"
                or within(one.draft.segment, remark.draft.segment)
            )
            and one.draft.status == "observed"
            and not one.draft.statement.exception
            and remark.draft.side in (one.draft.side, "unstated")
        ):
            return True
    return False
