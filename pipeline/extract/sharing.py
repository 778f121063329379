"""What was said of one place or side and holds for others as well.

"The same on the right" copies what was just found; "hip flexion five and knee extension five
on both sides" and "no wasting, no tremor in the legs" share back what was said last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...lexicon import load
from .context import OPPOSITE, Context
from .drafts import Draft
from .found import Found, FoundList
from .sides import last_side
from .statement import Statement, Target


def copy_to_side(
    found: FoundList, context: Context, statement: Statement, *, number: int
) -> list[int]:
    """ "The same on the right": what was just found, on that side.

    ``number`` is that of the utterance. Returns the positions of the copies.
    """
    side = last_side(statement)
    if side == "other":
        side = OPPOSITE.get(context.side or context.last_side or "")
    if side is None or side not in OPPOSITE:
        return []
    start, end = statement.span
    if context.side == OPPOSITE[side]:
        source = found.since(context.stretch)
    else:
        source = range(min(context.last_utterance, default=0), len(found))
    serial = found.next_serial
    made: list[int] = []
    for at in source:
        if found[at].draft.side != OPPOSITE[side]:
            continue
        copy = replace(found[at].draft, side=side)
        if copy.key not in found.keys:
            made.append(found.add(Found(copy, start, end, found[at].possible, None, number)))
    if made:
        context.open_side(side, serial)
        context.last_side = side
    return made


def copy_to_targets(
    found: FoundList, statement: Statement, *, number: int, last: Sequence[int]
) -> list[int]:
    """ "Knee jerk right two plus, left three plus, ankle jerk likewise".

    Only what differed between sides or levels is copied here; one grade is shared as a grade.
    ``last`` are the positions of the findings of the utterance before. Returns the positions
    of the copies.
    """
    own = found.of_utterance(number)
    last = own or [at for at in last if at < len(found)]
    if not last or not statement.own_targets or statement.sides or statement.places:
        return []
    pattern = found[last[-1]].draft
    start, end = statement.span
    made: list[int] = []
    for target in statement.targets:
        copied = _pattern(found, last, pattern, target)
        for draft in copied if len({(d.grade, d.segment) for d in copied}) > 1 else ():
            made.append(found.add(Found(draft, start, end, False, None, number)))
    return made


def _pattern(found: FoundList, last: Sequence[int], pattern: Draft, target: Target) -> list[Draft]:
    """What was found last, said of another target."""
    if target.segment is not None:
        if target.modality != pattern.modality:
            return []
        same = (found[at].draft for at in last)
        return [replace(d, segment=target.segment) for d in same if d.key[:2] == pattern.key[:2]]
    takes, group = load().vocabulary.takes, load().vocabulary.group
    if group(target.modality) != group(pattern.modality):
        return []
    drafts = (found[at].draft for at in last)
    return [
        replace(d, modality=target.modality)
        for d in drafts
        if d.modality == pattern.modality and takes(target.modality, d.segment)
    ]


def side_of_all(found: FoundList, statement: Statement, *, since: int) -> list[int]:
    """ "… and every one of those is both sides", "… all on the left".

    ``since`` is the number of the utterance that the run of talk began with. Returns the
    positions that were changed.
    """
    spoken = next((u.side for u in statement.sides if u.side in (*OPPOSITE, "both")), None)
    if spoken is None:
        return []
    made: list[int] = []
    gone: list[int] = []
    for at in _of_run(found, since):
        one = found[at]
        if one.draft.side == OPPOSITE.get(spoken) and _is_unsided(one.draft.statement):
            gone.append(at)  # both sides, by a heading only
        if one.draft.side == "unstated":
            found.change(at, replace(one.draft, side="left" if spoken == "both" else spoken))
            if spoken == "both":
                found.add(replace(one, draft=replace(one.draft, side="right")))
            made.append(at)
    found.drop(gone)
    return made


def _is_unsided(statement: Statement) -> bool:
    return not (statement.sides or statement.sided or statement.symmetric or statement.throughout)


def _of_run(found: FoundList, since: int) -> range:
    """The positions of the findings of the utterances from number ``since`` on."""
    at = len(found)
    while at > 0 and found[at - 1].utterance >= since:
        at -= 1
    return range(at, len(found))


def share_back(
    found: FoundList, done: Sequence[Statement], statement: Statement, *, number: int, since: int
) -> list[int]:
    """Share the places and sides of a statement with those before it that it completes.

    ``done`` are the statements before it in utterance ``number``, ``since`` is the number of
    the utterance that the run of talk began with. Returns the positions of the statement's
    own findings afterwards.
    """
    _share_places(found, done, statement, number)
    made = _positions(found, statement, number)
    _share_sides(found, statement, made, since)
    return made


def _positions(found: FoundList, statement: Statement, number: int) -> list[int]:
    return [at for at in found.of_utterance(number) if found[at].draft.statement is statement]


def _share_places(
    found: FoundList, done: Sequence[Statement], statement: Statement, number: int
) -> None:
    """ "No wasting, no tremor in the legs": the place is meant for the whole list."""
    if not statement.places or not _denies(statement):
        return
    shapes = [found[at].draft for at in _positions(found, statement, number)]
    takes = load().vocabulary.takes
    for before in reversed(done):
        if not shapes or before.places or before.sides or not _denies(before):
            return
        old = _positions(found, before, number)
        if not old:
            return
        by_modality = {found[at].draft.modality: found[at] for at in old}
        found.drop(old)
        for one in by_modality.values():
            for shape in shapes:
                if takes(one.draft.modality, shape.segment):
                    draft = replace(one.draft, segment=shape.segment, side=shape.side)
                    found.add(replace(one, draft=draft))


def _denies(statement: Statement) -> bool:
    return bool(statement.targets) and statement.targets[0].unit.negated


def _share_sides(found: FoundList, statement: Statement, made: Sequence[int], since: int) -> None:
    """ "Hip flexion five, knee extension five on both sides": all of the list have the side."""
    if not made or not statement.sides or not statement.targets:
        return
    sides = list(dict.fromkeys(found[at].draft.side for at in made))
    if not OPPOSITE.keys() >= set(sides):
        return
    group, grouped = load().vocabulary.group, statement.targets[0].modality
    for at in range(min(made) - 1, -1, -1):
        one = found[at]
        if one.utterance < since or group(one.draft.modality) != group(grouped):
            return
        if one.draft.side == "midline":
            continue
        if one.draft.side != "unstated":
            return
        found.change(at, replace(one.draft, side=sides[0]))
        for side in sides[1:]:
            found.add(replace(one, draft=replace(one.draft, side=side)))
