"""Where a statement speaks of: the places named, or those that hold for it.

A place that is not named is taken from the statement gone on from, from the limb named
before in the utterance, from the limb in force, and else is the whole body. What a modality
cannot be recorded at is recorded at the place that stands for it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...lexicon import load
from ...lexicon.places import load_places
from ...lexicon.words import load_words
from .context import LIMBS, Context
from .statement import Statement, Target
from .units import Unit

LIMB_CODES = frozenset(LIMBS)


@dataclass(frozen=True)
class Spot:
    """A place as spoken: its code, its own side, and whether more than one was meant."""

    segment: str | None
    side: str | None = None
    plural: bool = False


def spots_of(
    statement: Statement,
    target: Target,
    modality: str,
    named: str | None,
    context: Context,
    limbs: Sequence[Spot],
) -> list[Spot]:
    """The places of one target; ``named`` is the segment that its own name gives.

    ``limbs`` are the limbs that were named earlier in the utterance.
    """
    words = load_words()
    if named is not None:
        renamable = named in LIMBS or named in words.renamable_segments
        if renamable and (better := spoken_spots(statement, modality)):
            return better
        places = [p for p in statement.places if p.sort == "place"]
        side = next((p.side for p in places if p.side), None)
        return [Spot(named, side, target.unit.plural or any(p.plural for p in places))]
    spots = spoken_spots(statement, modality)
    if not spots and statement.inherited is not None and not statement.otherwise:
        spots = spoken_spots(_with_places(statement), modality)
        if statement.sides:
            spots = [replace(s, side=None) for s in spots]
    if spots:
        return spots
    if statement.otherwise and _names_limb(statement.inherited):
        return [Spot("whole_body", None, True)]  # "the right arm four, otherwise five"
    if modality in words.usual_place:
        return [Spot(words.usual_place[modality])]
    if limbs:
        if statement.sides or target.unit.side:
            return [Spot(limb.segment) for limb in limbs]
        return list(limbs)
    if context.limbs and (not statement.throughout or context.runs_on):
        return [Spot(limb) for limb in context.limbs]
    return [Spot("whole_body")]


def _names_limb(statement: Statement | None) -> bool:
    """Whether a statement speaks of one whole limb."""
    places = () if statement is None else statement.places
    return any(p.side and not LIMB_CODES.isdisjoint(t.codes) for p in places for t in p.terms)


def _without_wider(places: Sequence[Unit]) -> list[Unit]:
    """ "In the right arm, marked at the wrist": the part that was meant, with the limb's side."""
    out: list[Unit] = []
    for place in places:
        limb = out[-1] if out else None
        if limb is not None and not place.joined and _is_part(place, limb):
            out.pop()
            place = replace(place, side=place.side or limb.side)
        out.append(place)
    return out


def _is_part(place: Unit, limb: Unit) -> bool:
    whole = [c for t in limb.terms if t.kind == "segment" for c in t.codes]
    part = next((t.code for t in place.terms if t.kind == "segment"), None)
    return (
        len(whole) == 1
        and whole[0] in LIMBS
        and part is not None
        and part not in LIMBS
        and place.gap_has(load_words().prepositions)
        and load_places().within(part, whole[0])
    )


def _with_places(statement: Statement) -> Statement:
    """The nearest statement that it goes on from and that names a place, else itself."""
    step: Statement | None = statement
    while step is not None:
        if step.places:
            return step
        step = step.inherited
    return statement


def spoken_spots(statement: Statement, modality: str) -> list[Spot]:
    """The places spoken; a level that is tied to a site stands for it."""
    if not statement.places:
        return []
    levels = [c for p in statement.places if p.sort == "level" for c in p.codes]
    places = _without_wider([p for p in statement.places if p.sort == "place"])
    if levels and "level" in load().vocabulary.modalities[modality].segments:
        side = next((p.side for p in statement.places if p.side), None)
        plural = any(p.plural for p in places)
        return [Spot(code, side, plural) for code in dict.fromkeys(levels)]
    midline = load_words().midline_segments
    spots: list[Spot] = []
    side = None
    for place in places:
        # "the left arm and leg": a side is said once for a list
        side = place.side or (side if place.joined or place.comma else None)
        for term in place.terms:
            codes = (term.segment,) if term.kind == "muscle" else term.codes
            if term.kind in ("segment", "muscle") and codes[0]:
                spots += [
                    Spot(code, place.side if code in midline else side, place.plural)
                    for code in codes
                ]
                break
    return spots


def fitting(modality: str, segment: str | None) -> str | None:
    """Where ``modality`` is recorded when ``segment`` was spoken; None when nowhere."""
    words, takes = load_words(), load().vocabulary.takes
    if segment is None:
        return None
    if takes(modality, segment):
        return words.power_at.get(segment, segment) if modality == "power" else segment
    other = words.recorded_at.get(segment)
    return other if other and takes(modality, other) else None


def limbs_named(statement: Statement) -> list[Spot]:
    """The whole limbs that a statement names, with their side; any place of a heading."""
    spots = spoken_spots(statement, "tone")
    if statement.heading:
        return spots
    side = next((u.side for u in reversed(statement.sides) if u.side), None)
    return [replace(s, side=s.side or side) for s in spots if s.segment in LIMBS]


def names_a_muscle(statement: Statement) -> bool:
    """Whether power is meant of a place that is a muscle as well ("calf five")."""
    power_at = load_words().power_at
    return all(t.modality == "power" for t in statement.targets) and any(
        t.code in power_at for p in statement.places for t in p.terms
    )


def sums_up(statement: Statement) -> bool:
    """ "Interossei five, left arm all five": of everything in the limb."""
    grade = statement.grade
    limbs = {c for p in statement.places for t in p.terms for c in t.codes if c in LIMBS}
    return (
        grade is not None
        and ("all" in grade.gap or len(limbs) > 1)
        and bool(statement.places)
        and all(not LIMB_CODES.isdisjoint(t.codes) for p in statement.places for t in p.terms)
    )
