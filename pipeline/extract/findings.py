"""From statements to findings: places, sides, grades and statuses in codes of the record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lexicon import Term, load
from .context import LIMBS, OPPOSITE, Context
from .grading import grade_of, implied_grade
from .kinds import Utterance
from .statements import Statement, Target

#: Unpaired parts and movements (record rule): midline unless a side is spoken.
MIDLINE = frozenset(
    ["neck", "trunk", "spine", "tongue", "face", "abdomen", "perianal", "jaw_jerk",
     "neck_flexion", "neck_extension", "trunk_flexion"]
)  # fmt: skip
#: Station and gait (record rule): no side at all, or only one that is spoken.
_NO_SIDE = frozenset(["gait", "tandem_gait", "gowers_sign", "romberg_sign"])
_SPOKEN_SIDE = {"heel_walking": "none", "toe_walking": "none", "trendelenburg_sign": "unstated"}
#: Where a modality that cannot take the place spoken is recorded instead.
_INSTEAD = {
    "shoulder": "shoulder_girdle", "hip": "pelvic_girdle", "thumb_joint": "thumb",
    "great_toe_joint": "great_toe", "foot": "ankle", "lower_limb": "ankle", "leg": "ankle",
    "calf": "ankle",
}  # fmt: skip
_DEFAULT_PLACE = {"clonus": "ankle"}


@dataclass(frozen=True)
class Draft:
    """A finding before it has evidence: codes, and what they were read from."""

    modality: str
    segment: str
    side: str
    grade: str | None
    status: str
    statement: Statement
    implied: bool
    word_grade: bool

    @property
    def key(self) -> tuple[str, str, str]:
        """Modality, segment and side."""
        return self.modality, self.segment, self.side


@dataclass(frozen=True)
class Spot:
    """A place as spoken: its code, its own side, and whether more than one was meant."""

    segment: str | None
    side: str | None
    plural: bool


def drafts_of(
    statement: Statement,
    utterance: Utterance,
    context: Context,
    recorded: Sequence[Draft],
    limbs: Sequence[Spot],
) -> list[Draft]:
    """The findings of one statement; ``limbs`` are the limbs named earlier in the utterance."""
    out: list[Draft] = []
    targets = statement.targets or _topic_targets(statement, context)
    if statement.otherwise and not statement.own_targets:
        targets = general_targets(targets)
    for target in targets:
        result = _grade(statement, target, utterance)
        if result is None:
            continue
        grade, status, implied = result
        modality, own_segment = _as_examined(target, statement, grade)
        if modality != target.modality:
            grade = grade_of(statement.grade, modality) if statement.grade else grade
        for segment, side in _spots(
            statement, target, modality, own_segment, context, limbs, recorded
        ):
            out.append(
                Draft(
                    modality,
                    segment,
                    side,
                    grade,
                    status,
                    statement,
                    implied,
                    word_grade=statement.grade is None or not statement.grade.number,
                )
            )
    return out


def _topic_targets(statement: Statement, context: Context) -> list[Target]:
    """A statement without a target stands under the heading in force."""
    grade = statement.grade
    weak = grade is not None and set(grade.readings) == {"mrc"} and bool(statement.places)
    if weak and grade is not None and context.topic is None:
        return [Target("power", None, _term_of("power"), grade)]  # "the left arm is weak"
    located = statement.places or statement.sides or statement.throughout
    if context.topic is None or not (located or statement.inherited):
        return []
    term = next((t for t in load().terms if t.kind == "modality" and t.code == context.topic), None)
    if term is None or statement.grade is None:
        return []
    segment = None if load().vocabulary.modalities[context.topic].takes_place else "none"
    return [Target(context.topic, segment, term, statement.grade)]


def _term_of(modality: str) -> Term:
    return next(t for t in load().terms if t.kind == "modality" and t.code == modality)


def general_targets(targets: Sequence[Target]) -> list[Target]:
    """The modalities of some targets, without the places that their names give."""
    seen: dict[str, Target] = {}
    for t in targets:
        takes_place = load().vocabulary.modalities[t.modality].takes_place
        seen.setdefault(
            t.modality, Target(t.modality, None if takes_place else "none", t.term, t.unit)
        )
    return list(seen.values())


def _grade(
    statement: Statement, target: Target, utterance: Utterance
) -> tuple[str | None, str, bool] | None:
    if statement.status is not None:
        return None, statement.status.status, False
    if statement.grade is not None:
        grade = grade_of(statement.grade, target.modality, own=target.own)
        if grade is None and target.muscle and grade_of(statement.grade, "reflex"):
            return grade_of(statement.grade, "reflex"), "observed", False
        if grade == "mild" and _hedged(statement, utterance):
            grade = "present"  # record rule: "perhaps a little" says no more than present
        if grade is None and statement.own_targets and target.term.implies:
            grade = implied_grade(target.term, target.modality, negated=target.unit.negated)
        elif grade is not None and target.unit.negated and statement.own_targets:
            negated = implied_grade(target.term, target.modality, negated=True)
            grade = negated if negated is not None else grade
        return None if grade is None else (grade, "observed", False)
    if target.unit.negated and not target.is_sign and target.term.implies is None:
        word = utterance.texts[target.unit.start - 1] if target.unit.start else ""
        if word not in ("no", "without", "of"):
            return None  # "we are not grading power"
    negated = target.unit.negated or (
        statement.own_targets and statement.targets[0].unit.negated and target.unit.joined
        or statement.own_targets and statement.targets[0].unit.negated and target.unit.comma
    )  # fmt: skip
    if not negated and {"you", "your"} & set(utterance.texts[utterance.start : utterance.end]):
        return None  # said to the child or to a trainee, and nothing graded
    if negated or target.term.implies or target.unit.there_is or _telegraphic(statement, utterance):
        grade = implied_grade(target.term, target.modality, negated=negated)
        if target.own and not negated:
            grade = None
        return None if grade is None else (grade, "observed", True)
    return None


def _hedged(statement: Statement, utterance: Utterance) -> bool:
    return utterance.is_possible(*span_of(statement))


def _telegraphic(statement: Statement, utterance: Utterance) -> bool:
    """ "Clonus at the left ankle": hardly a word that is not the trade's, and a place or side."""
    if not statement.own_targets or statement.heading:
        return False
    located = statement.places or statement.sides or any(t.unit.side for t in statement.targets)
    if not located and not any(t.segment not in (None, "none") for t in statement.targets):
        return False
    start, end = span_of(statement)
    low = start
    while low > utterance.start and utterance.texts[low - 1] not in ",.;:?!":
        low -= 1
    high = end
    while high < utterance.end and utterance.texts[high] not in ",.;:?!":
        high += 1
    covered = {i for u in statement.units for i in range(u.start, u.end)}
    words = [i for i in range(low, high) if utterance.texts[i] not in ",.;:?!"]
    loose = [
        i for i in words
        if i not in covered and utterance.texts[i] not in _SMALL
    ]  # fmt: skip
    return len(loose) == 0


_SMALL = frozenset(
    "a an the of in at on over with and his her its some both is are was there sides side um uh "
    "er also too as well definite obvious clear now still to or".split()
)


def span_of(statement: Statement) -> tuple[int, int]:
    """First atom and end of a statement's own units."""
    return min(u.start for u in statement.units), max(u.end for u in statement.units)


def _as_examined(target: Target, statement: Statement, grade: str | None) -> tuple[str, str | None]:
    """A muscle with a grade that only a reflex can have was a jerk."""
    if target.muscle and statement.grade is not None:
        from .statements import reflex_of_muscle

        if grade_of(statement.grade, "power") is None:
            reflex = reflex_of_muscle(target.term)
            if reflex is not None:
                return "reflex", reflex
    return target.modality, target.segment


def _spots(
    statement: Statement,
    target: Target,
    modality: str,
    own_segment: str | None,
    context: Context,
    limbs: Sequence[Spot],
    recorded: Sequence[Draft],
) -> Iterator[tuple[str, str]]:
    for spot in _places(statement, target, modality, own_segment, context, limbs):
        segment = _fitting(modality, spot.segment)
        if statement.part and segment in LIMBS:
            segment = f"{statement.part}_{segment}"
        if segment is None:
            continue
        for side in _sides(statement, target, modality, segment, spot, context):
            if statement.otherwise and _stated(recorded, modality, segment, side):
                continue
            yield segment, side


def _stated(recorded: Sequence[Draft], modality: str, segment: str, side: str) -> bool:
    return any(d.key == (modality, segment, side) for d in recorded)


def _places(
    statement: Statement,
    target: Target,
    modality: str,
    own_segment: str | None,
    context: Context,
    limbs: Sequence[Spot],
) -> list[Spot]:
    if own_segment is not None:
        places = [p for p in statement.places if p.sort == "place"]
        side = next((p.side for p in places if p.side), None)
        plural = target.unit.plural or any(p.plural for p in places)
        if own_segment in LIMBS or own_segment in _RELOCATABLE:
            better = _named(statement, modality)
            if better:
                return better
        return [Spot(own_segment, side, plural)]
    named = _named(statement, modality)
    if not named and statement.inherited is not None and not statement.otherwise:
        named = _named(_root(statement, lambda s: bool(s.places)), modality)
        if not any(s.side is None for s in named) and (statement.sides):
            named = [Spot(s.segment, None, s.plural) for s in named]
        elif statement.sides:
            named = [Spot(s.segment, None, s.plural) for s in named]
    if named:
        return named
    if modality in _DEFAULT_PLACE:
        return [Spot(_DEFAULT_PLACE[modality], None, False)]
    if limbs:
        if statement.sides or target.unit.side:
            return [Spot(limb.segment, None, False) for limb in limbs]
        return list(limbs)
    if context.limbs and (not statement.throughout or context.runs_on):
        return [Spot(limb, None, False) for limb in context.limbs]
    return [Spot("whole_body", None, False)]


#: Places that a term names by default and the speaker may name better.
_RELOCATABLE = frozenset(["foot", "hand", "toes", "upper_limb", "spine"])


def _root(statement: Statement, wanted: object) -> Statement:
    step: Statement | None = statement
    while step is not None:
        if step.places:
            return step
        step = step.inherited
    return statement


def _named(statement: Statement, modality: str) -> list[Spot]:
    """The places spoken; a level that is tied to a site stands for it."""
    levels = [c for p in statement.places if p.sort == "level" for c in p.codes]
    vocabulary = load().vocabulary
    takes_levels = "level" in vocabulary.modalities[modality].segments
    if levels and takes_levels:
        side = next((p.side for p in statement.places if p.side), None)
        plural = any(p.plural for p in statement.places if p.sort == "place")
        return [Spot(code, side, plural) for code in dict.fromkeys(levels)]
    spots: list[Spot] = []
    side: str | None = None
    for place in statement.places:
        if place.sort != "place":
            continue
        side = place.side or (side if place.joined or place.comma else None)
        for term in place.terms:
            codes = (term.segment,) if term.kind == "muscle" else term.codes
            if term.kind in ("segment", "muscle") and codes[0]:
                spots += [
                    Spot(code, place.side if code in MIDLINE else side, place.plural)
                    for code in codes
                ]
                break
    return spots


def _fitting(modality: str, segment: str | None) -> str | None:
    vocabulary = load().vocabulary
    if segment is None:
        return None
    if vocabulary.takes(modality, segment):
        if modality == "power" and segment == "calf":
            return "ankle_plantarflexion"
        return segment
    other = _INSTEAD.get(segment)
    return other if other and vocabulary.takes(modality, other) else None


def _sides(
    statement: Statement,
    target: Target,
    modality: str,
    segment: str,
    spot: Spot,
    context: Context,
) -> tuple[str, ...]:
    if modality in _NO_SIDE:
        return ("none",)
    spoken = _spoken_side(statement, target, spot, context)
    if modality in _SPOKEN_SIDE:
        return _both(spoken or _SPOKEN_SIDE[modality])
    if segment in MIDLINE or modality == "truncal_ataxia":
        return _both(spoken or "midline")
    if spoken:
        return _both(spoken)
    if context.side in OPPOSITE and not statement.symmetric:
        return (context.side,)
    plural = spot.plural or (target.segment is not None and target.unit.plural)
    if plural or context.side == "both" or statement.symmetric or statement.throughout:
        return ("left", "right")
    if statement.otherwise:
        return ("left", "right")
    return ("unstated",)


def _spoken_side(statement: Statement, target: Target, spot: Spot, context: Context) -> str | None:
    own = [u.side for u in statement.sides if u.side]
    if {"left", "right"} <= set(own):
        own = ["both"]  # "on the right, and perhaps on the left as well"
    side = spot.side or (own[-1] if own else None)
    if side is None and statement.own_targets:
        side = target.unit.side or _listed_side(statement, target)
    if side is None and statement.inherited is not None:
        step: Statement | None = statement.inherited
        while step is not None and side is None and not spot.plural:
            side = next((u.side for u in reversed(step.sides) if u.side), None)
            side = side or next((p.side for p in step.places if p.side), None)
            side = side or target.unit.side
            step = step.inherited
    if side == "other":
        return OPPOSITE.get(context.last_side or context.side or "")
    if side == "that":
        return context.side or context.last_side
    return side


def _listed_side(statement: Statement, target: Target) -> str | None:
    """ "The left biceps and triceps jerks": the side is said once for the list."""
    side: str | None = None
    for other in statement.targets:
        side = other.unit.side or (side if other.unit.joined or other.unit.comma else None)
        if other is target:
            return side
    return None


def _both(side: str) -> tuple[str, ...]:
    return ("left", "right") if side == "both" else (side,)


def limbs_named(statements: Sequence[Statement]) -> list[Spot]:
    """The whole limbs that the last of these statements to name some named, with their side."""
    for statement in reversed(statements):
        spots = [s for s in _named(statement, "tone") if s.segment in LIMBS or statement.heading]
        if spots:
            if not statement.heading:
                sides = [u.side for u in statement.sides if u.side]
                spots = [
                    Spot(s.segment, s.side or (sides[-1] if sides else None), s.plural)
                    for s in spots
                ]
            return spots
    return []
