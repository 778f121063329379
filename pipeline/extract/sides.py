"""Which side a finding is recorded at: as spoken, or as follows from what is unspoken.

Gait has no side and the neck is midline; a place in the plural is both sides, and a side in
force holds for what does not name one. Nothing is ever guessed: what remains is ``unstated``.
"""

from __future__ import annotations

from ...lexicon.words import load_words
from .context import OPPOSITE, Context
from .spots import Spot
from .statement import Statement, Target

_BOTH = ("left", "right")


def sides_of(
    statement: Statement,
    target: Target,
    modality: str,
    segment: str,
    spot: Spot,
    context: Context,
) -> tuple[str, ...]:
    """The sides of the record at which ``segment`` is recorded, one or two."""
    words = load_words()
    if modality in words.sideless_modalities:
        return ("none",)
    unpaired = segment in words.midline_segments or modality in words.midline_modalities
    spoken = _spoken_side(statement, target, spot, context, inherits=not unpaired)
    if modality in words.unspoken_side:
        spoken = spoken or words.unspoken_side[modality]
    elif unpaired:
        spoken = spoken or "midline"
    if spoken:
        return _BOTH if spoken == "both" else (spoken,)
    if context.side is not None and context.side in OPPOSITE and not statement.symmetric:
        return (context.side,)
    listed = [target, *(t for t in statement.targets if t.modality == "power")]
    plural = spot.plural or (target.segment is not None and any(t.unit.plural for t in listed))
    if plural or context.side == "both" or statement.symmetric or statement.throughout:
        return _BOTH
    return _BOTH if statement.otherwise or statement.doubled else ("unstated",)


def _spoken_side(
    statement: Statement, target: Target, spot: Spot, context: Context, *, inherits: bool
) -> str | None:
    """The side spoken with the place, the statement, the target, or what it goes on from.

    What is unpaired ``inherits`` no side ("absent in both feet, and in the perianal skin").
    """
    own = [u.side for u in statement.sides if u.side]
    if set(_BOTH) <= set(own):
        own = ["both"]  # "on the right, and perhaps on the left as well"
    side = spot.side or (own[-1] if own else None)
    if side is None and statement.own_targets:
        side = target.unit.side or _listed_side(statement, target)
    step = None if statement.otherwise or not inherits else statement.inherited
    while step is not None and side is None and not spot.plural:
        side = last_side(step) or target.unit.side
        step = step.inherited
    if side == "other":
        return OPPOSITE.get(context.last_side or context.side or "")
    if side == "that":
        return context.side or context.last_side
    return side


def last_side(statement: Statement) -> str | None:
    """The side that a statement speaks of: the last one said, else that of a place."""
    side = next((u.side for u in reversed(statement.sides) if u.side), None)
    return side or next((p.side for p in statement.places if p.side), None)


def _listed_side(statement: Statement, target: Target) -> str | None:
    """ "The left biceps and triceps jerks": the side is said once for the list."""
    side: str | None = None
    for other in statement.targets:
        side = other.unit.side or (side if other.unit.joined or other.unit.comma else None)
        if other is target:
            return side
    return None
