"""What was said of one place or side and holds for others as well.

"The same on the right" copies what was just found; "hip flexion five and knee extension five
on both sides" and "no wasting, no tremor in the legs" share back what was said last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...lexicon import load
from .context import OPPOSITE, Context
from .found import Found, FoundList
from .sides import last_side
from .statement import Statement
from .targets import same_group


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


def copy_to_targets(found: FoundList, statement: Statement, *, number: int) -> list[int]:
    """ "Knee jerk right two plus, left three plus, ankle jerk likewise".

    Only what differed between sides is copied here; one grade is shared as a grade. Returns
    the positions of the copies.
    """
    last = found.of_utterance(number)
    if not last or not statement.own_targets or statement.sides or statement.places:
        return []
    pattern = found[last[-1]].draft
    source = [at for at in last if found[at].draft.key[:2] == pattern.key[:2]]
    if len({found[at].draft.grade for at in source}) < 2:
        return []
    start, end = statement.span
    made: list[int] = []
    for target in statement.targets:
        if target.segment is None or target.modality != pattern.modality:
            continue
        for at in source:
            draft = replace(found[at].draft, segment=target.segment)
            made.append(found.add(Found(draft, start, end, found[at].possible, None, number)))
    return made


def both_sides_of_all(found: FoundList, statement: Statement, *, number: int) -> list[int]:
    """ "… and every one of those is both sides". Returns the positions that were changed."""
    if not any(u.side == "both" for u in statement.sides):
        return []
    made: list[int] = []
    for at in found.of_utterance(number):
        one = found[at]
        if one.draft.side == "unstated":
            found.change(at, replace(one.draft, side="left"))
            found.add(replace(one, draft=replace(one.draft, side="right")))
            made.append(at)
    return made


def share_back(
    found: FoundList, done: Sequence[Statement], statement: Statement, *, number: int
) -> list[int]:
    """Share the places and sides of a statement with those before it that it completes.

    ``done`` are the statements before it in utterance ``number``. Returns the positions of
    the statement's own findings afterwards.
    """
    _share_places(found, done, statement, number)
    made = _positions(found, statement, number)
    _share_sides(found, done, statement, made, number)
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


def _share_sides(
    found: FoundList,
    done: Sequence[Statement],
    statement: Statement,
    made: Sequence[int],
    number: int,
) -> None:
    """ "Hip flexion five and knee extension five on both sides": both have the side."""
    if not made or not statement.sides or not statement.targets:
        return
    sides = list(dict.fromkeys(found[at].draft.side for at in made))
    if not OPPOSITE.keys() >= set(sides) or not (statement.units[0].joined or len(sides) == 2):
        return
    for before in reversed(done):
        old = _positions(found, before, number)
        if not old or any(found[at].draft.side != "unstated" for at in old):
            return
        if not before.targets or not same_group(before.targets[0], statement.targets[0]):
            return
        for at in old:
            one = found[at]
            found.change(at, replace(one.draft, side=sides[0]))
            for side in sides[1:]:
                found.add(replace(one, draft=replace(one.draft, side=side)))
