"""From a statement to findings in codes of the record, before they have evidence.

Each target of a statement gets the grade, or the status, that the statement gives it, at
every place and side that it is said of. A target that nothing is said of yields nothing:
not examined is never called normal.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from ...lexicon import Term, load
from ...lexicon.words import load_words
from .asserting import is_described, is_telegraphic
from .context import LIMBS, Context
from .grading import grade_of, implied_grade, negated_grade
from .kinds import Utterance
from .sides import sides_of
from .spots import Spot, fitting, spots_of
from .statement import Statement, Target
from .targets import general_targets, place_as_reflex, reflex_of_muscle
from .units import Unit

#: Modality, segment and side.
Key = tuple[str, str, str]


@dataclass(frozen=True, eq=False)
class Draft:
    """A finding before it has evidence: codes, and what they were read from.

    ``implied`` says that the name alone asserted it, ``word_grade`` that no number was said.
    """

    modality: str
    segment: str
    side: str
    grade: str | None
    status: str
    statement: Statement
    implied: bool
    word_grade: bool

    @property
    def key(self) -> Key:
        """What was examined, where and on which side."""
        return self.modality, self.segment, self.side


@dataclass(frozen=True)
class _Verdict:
    """What is said of a target; ``implied`` when its name alone says it."""

    grade: str | None
    status: str = "observed"
    implied: bool = False


def drafts_of(
    statement: Statement,
    utterance: Utterance,
    context: Context,
    *,
    recorded: Container[Key],
    limbs: Sequence[Spot],
) -> list[Draft]:
    """The findings of one statement; none when it asserts nothing.

    ``recorded`` are the keys of all findings so far, ``limbs`` the limbs that were named
    earlier in the utterance.
    """
    out: list[Draft] = []
    if _is_said_there(statement, utterance):
        return []
    targets = statement.targets or _topic_targets(statement, context)
    if statement.otherwise and not statement.own_targets:
        targets = general_targets(targets)
    for target in targets:
        verdict = _verdict(statement, target, utterance)
        if verdict is None:
            continue
        grade = verdict.grade
        modality, named = _as_examined(target, statement)
        if modality != target.modality and statement.grade is not None:
            grade = grade_of(statement.grade, modality)
        for segment, side in _placed(statement, target, modality, named, context, limbs):
            if statement.otherwise and (modality, segment, side) in recorded:
                continue
            out.append(
                Draft(
                    modality,
                    segment,
                    side,
                    grade,
                    verdict.status,
                    statement,
                    implied=verdict.implied,
                    word_grade=statement.grade is None or not statement.grade.number,
                )
            )
    return out


def _is_said_there(statement: Statement, utterance: Utterance) -> bool:
    """ "Good strength there": of something that was only pointed at."""
    if statement.places or statement.sides or statement.throughout or not statement.generic_only:
        return False
    end = statement.span[1]
    return utterance.texts[end : end + 1] == ["there"] and statement.grade_first


def _topic_targets(statement: Statement, context: Context) -> list[Target]:
    """A statement without a target stands under the heading in force."""
    grade, topic = statement.grade, context.topic
    if grade is None:
        if topic is None or statement.status is None or not statement.is_about_topic:
            return []
        return [Target(topic, _no_place(topic), _term_of(topic), statement.status)]
    if topic is None or grade_of(grade, topic) is None:
        return _told_by_grade(statement, grade)
    located = statement.places or statement.sides or statement.throughout
    if not located and statement.inherited is None:
        return []
    return [Target(topic, _no_place(topic), _term_of(topic), grade)]


def _no_place(modality: str) -> str | None:
    """The segment of a modality named without a place."""
    return None if load().vocabulary.modalities[modality].takes_place else "none"


def _told_by_grade(statement: Statement, grade: Unit) -> list[Target]:
    """What a grade speaks of that only one thing can have ("the left arm is weak")."""
    opening = statement
    while opening.inherited is not None and not opening.places:
        opening = opening.inherited  # "LUE 4/5 prox, 3/5 distal"
    first = opening.units[0].sort
    scales, of_whom = set(grade.readings), statement.units[0].gap_has(load_words().of_whom)
    told = first == "place" or bool(statement.places and (grade.number or of_whom))
    if scales == {"mrc"} and told:
        return [Target("power", None, _term_of("power"), grade)]
    if scales == {"reflex"} and first == "place":  # "ankles brisk"
        return [jerk for p in statement.places if (jerk := place_as_reflex(p)) is not None]
    if scales == {"plantar"} and statement.sides and not statement.places:  # "upgoing both sides"
        return [Target("plantar_response", "none", _term_of("plantar_response"), grade)]
    return []


@cache
def _term_of(modality: str) -> Term:
    return next(t for t in load().terms if t.kind == "modality" and t.code == modality)


def _verdict(statement: Statement, target: Target, utterance: Utterance) -> _Verdict | None:
    """What the statement says of one of its targets; None when it says nothing."""
    if statement.status is not None:
        return _Verdict(None, statement.status.status)
    if statement.grade is None and statement.symmetric and _is_even(target):
        return _Verdict("normal")  # record rule: sensation or reflexes that are the same
    if statement.grade is not None:
        grade = _graded(statement, statement.grade, target, utterance)
        return None if grade is None else _Verdict(grade)
    if target.own == "habit" and "able" not in utterance.words:
        return _Verdict("toe_walking", implied=True)
    if target.modality == "gait" and is_described(statement, target, utterance):
        return _Verdict("abnormal", implied=True)
    negated = target.unit.negated
    if negated and not target.is_sign and target.term.implies is None:
        if utterance.texts[target.unit.end - 1] in load_words().adjectives_only:
            return None  # "no sensory complaints"
        word = utterance.texts[target.unit.start - 1] if target.unit.start else ""
        if word in load_words().before_denied:  # "no active shoulder abduction"
            word = utterance.texts[target.unit.start - 2] if target.unit.start > 1 else ""
        if word not in load_words().denying:
            return None  # "we are not grading power"
    if statement.own_targets and (target.unit.joined or target.unit.comma):
        negated = negated or statement.targets[0].unit.negated
    if not negated:
        if not load_words().address_words.isdisjoint(utterance.words):
            return None  # said to the child or to a trainee, and nothing graded
        named = target.term.implies or target.unit.there_is
        if target.own or not (named or is_telegraphic(statement, utterance)):
            return None
    grade = implied_grade(target.term, target.modality, negated=negated)
    return None if grade is None else _Verdict(grade, implied=True)


def _is_even(target: Target) -> bool:
    """Whether being the same on both sides is normal: sensation and tendon reflexes."""
    group = load().vocabulary.group(target.modality)
    return group == "sensation" or target.modality == "reflex"


def _graded(statement: Statement, spoken: Unit, target: Target, utterance: Utterance) -> str | None:
    """The grade that the grade unit of a statement gives to a target."""
    grade = grade_of(spoken, target.modality, own=target.own)
    if grade is None and target.muscle and reflex_of_muscle(target.term):
        jerk = grade_of(spoken, "reflex")
        if jerk is not None:
            return jerk
    if grade == "mild" and utterance.is_possible(*statement.span):
        grade = "present"  # record rule: "perhaps a little" says no more than present
    if not statement.own_targets:
        return grade
    if grade is None and target.term.implies:
        return implied_grade(target.term, target.modality, negated=target.unit.negated)
    if grade is not None and target.unit.negated and target.unit is not spoken:
        if target.is_sign or target.term.implies:
            return implied_grade(target.term, target.modality, negated=True) or grade
        return negated_grade(target.modality, grade)  # "no sensory loss"
    return grade


def _as_examined(target: Target, statement: Statement) -> tuple[str, str | None]:
    """A muscle with a grade that only a reflex can have was a jerk."""
    if target.own == "habit" and statement.grade is None:
        return "gait", target.segment  # "she walks on her toes"
    if target.muscle and statement.grade is not None and grade_of(statement.grade, "power") is None:
        reflex = reflex_of_muscle(target.term)
        if reflex is not None:
            return "reflex", reflex
    return target.modality, target.segment


def _placed(
    statement: Statement,
    target: Target,
    modality: str,
    named: str | None,
    context: Context,
    limbs: Sequence[Spot],
) -> Iterator[tuple[str, str]]:
    """The segments and sides that ``modality`` is recorded at."""
    for spot in spots_of(statement, target, modality, named, context, limbs):
        segment = fitting(modality, spot.segment)
        if segment is None:
            continue
        if statement.part and segment in LIMBS:
            segment = f"{statement.part}_{segment}"
        for side in sides_of(statement, target, modality, segment, spot, context):
            yield segment, side
