"""What a name stands for as something examined, and how two names bear on each other.

A muscle's name is the power of the movement that it is the usual test of, unless reflexes
are spoken of, when it is the jerk called after it; a joint's name likewise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...lexicon import Term, load
from ...lexicon.words import load_words
from .grading import grade_of
from .statement import Target
from .units import Unit

_WALKS = ("heel_walking", "toe_walking")


def target_of(unit: Unit) -> Target | None:
    """What a unit can stand for as something examined, the likeliest reading only."""
    vocabulary = load().vocabulary
    first: dict[str, Term] = {}
    for term in unit.terms:
        if term.kind == "segment" and vocabulary.segment_kinds[term.codes[0]][0] == "reflex":
            return Target("reflex", term.code, term, unit)
        first.setdefault(term.kind, term)
    if "modality" in first:
        named = first["modality"]
        segment = named.segment if vocabulary.modalities[named.code].takes_place else "none"
        return Target(named.code, segment, named, unit)
    if "segment" in first:
        return Target("power", first["segment"].code, first["segment"], unit)
    if "muscle" in first:
        return Target("power", first["muscle"].code, first["muscle"], unit, muscle=True)
    return None


def general_targets(targets: Sequence[Target]) -> list[Target]:
    """The modalities of some targets, without the places that their names give."""
    seen: dict[str, Target] = {}
    for t in targets:
        takes_place = load().vocabulary.modalities[t.modality].takes_place
        general = Target(t.modality, None if takes_place else "none", t.term, t.unit)
        seen.setdefault(t.modality, general)
    return list(seen.values())


def compatible(grade: Unit, targets: Sequence[Target]) -> bool:
    """Whether the grade says something of one of the targets at least."""
    if any(grade_of(grade, t.modality, own=t.own) is not None for t in targets):
        return True
    # "biceps two plus" is a jerk: power has no such grade.
    return any(t.muscle and grade_of(grade, "reflex") is not None for t in targets)


def absorbs(general: Target, target: Target) -> bool:
    """Whether the second names more exactly what the first names ("reflexes: biceps")."""
    if general.modality == "sensation" and target.modality != "sensation":
        return same_group(general, target)
    return general.generic and not target.generic and general.modality == target.modality


def same_group(one: Target, other: Target) -> bool:
    """Whether both belong to one part of the examination."""
    group = load().vocabulary.group
    return group(one.modality) == group(other.modality)


def reflex_of_muscle(term: Term) -> str | None:
    """The jerk that is called after a muscle."""
    words = load_words()
    own = next(
        (words.reflex_of_muscle[s] for s in term.spoken if s in words.reflex_of_muscle), None
    )
    return own or words.reflex_of_movement.get(term.code)


def as_reflex(target: Target) -> Target:
    """A muscle as the jerk called after it, or the target as it is when there is none."""
    reflex = reflex_of_muscle(target.term)
    if reflex is None:
        return target
    return replace(target, modality="reflex", segment=reflex, muscle=False)


def place_as_reflex(unit: Unit) -> Target | None:
    """The jerk that a place or a muscle stands for where reflexes are spoken of."""
    reflex_of_place = load_words().reflex_of_place
    for term in unit.terms:
        if term.kind == "segment" and term.code in reflex_of_place:
            return Target("reflex", reflex_of_place[term.code], term, unit)
        if term.kind == "muscle" and (reflex := reflex_of_muscle(term)):
            return Target("reflex", reflex, term, unit)
    return None


def other_walk(targets: Sequence[Target], places: Sequence[Unit]) -> Target | None:
    """ "Tiptoes he does fine, heels he can't do": the walk on the other part of the foot."""
    if not targets or not places or targets[0].modality not in ("gait", *_WALKS):
        return None
    code = next((t.code for t in places[0].terms if t.kind == "segment"), "")
    walk = {"heel": "heel_walking", "toes": "toe_walking"}.get(code)
    term = next((t for t in load().terms if t.kind == "modality" and t.code == walk), None)
    return None if walk is None or term is None else Target(walk, "none", term, places[0])
