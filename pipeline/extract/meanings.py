"""What a speaker says a grade means: "three is movement against gravity"."""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import load
from .claims import ClaimDraft
from .grading import readings
from .kinds import OPENERS, Utterance
from .units import Unit

_VERBS = frozenset(
    "is means mean moves beats goes lifts overcomes holds gives stands shows equals refers "
    "implies denotes indicates gets would".split()
)
_REFLEX_WORDS = frozenset(
    "reflex reflexes jerk jerks brisk clonus sluggish tendon reinforcement hammer exaggerated".split()
)
_TONE_WORDS = frozenset("ashworth catch tone passive rigid stiff spasticity spastic range".split())
#: How many utterances may stand between two steps of a scale.
_STEPS_APART = 2
#: Nouns between a grade and its definition ("a one plus reflex is …").
_SCALE_NOUNS = frozenset("reflex reflexes response strength power jerk grade".split())
_PLANTAR_GRADES = frozenset(["flexor", "extensor", "equivocal", "mute"])
_PLANTAR_WORDS = frozenset(["toe", "toes", "plantar", "sole", "means"])
_SENSE_WORDS = frozenset(
    "sensation sense touch pinprick pin feeling feels felt feel cheek sensory".split()
)
_MOTOR_WORDS = frozenset(
    "gravity resistance flicker twitch twitches movement contraction power strength force muscle "
    "push joint moves move".split()
)


class MeaningReader:
    """Reads the grade definitions of one utterance after another.

    A scale is gone through step by step, so a step whose words do not tell the scale stands
    on the scale of the step before.
    """

    def __init__(self) -> None:
        self._scale: str | None = None
        self._age = 0

    def read(
        self,
        utterance: Utterance,
        units: Sequence[Unit],
        following: Utterance | None,
        topic: str | None,
    ) -> list[ClaimDraft]:
        """The definitions in ``utterance``; ``following`` is the one after it."""
        self._age += 1
        if self._age > _STEPS_APART:
            self._scale = None
        out = _plantar_words(utterance, units)
        texts = utterance.texts
        for i, unit in enumerate(units):
            if unit.sort != "grade" or not unit.number or not _leads_clause(utterance, units, i):
                continue
            at = unit.end
            while at < utterance.end and texts[at] in _SCALE_NOUNS:
                at += 1
            after = texts[at : at + 1]
            rest = set(texts[unit.end : utterance.end])
            asked = following is not None and "?" in after and texts[utterance.end - 1] == "?"
            listed = bool(after) and after[0] == "," and not _names_something(units[i + 1 :])
            told = listed and (bool(_MOTOR_WORDS & rest) or self._scale is not None)
            defines = (bool(after) and after[0] in _VERBS) or told
            if not asked and not (defines and _explains(units, i)):
                continue
            words = set(texts[utterance.start : utterance.end])
            if asked and following is not None:
                words |= set(texts[following.start : following.end])
            scale, grade = _scale(unit.number, words, topic, self._scale)
            if grade:
                end = following.end if asked and following is not None else utterance.end
                out.append(ClaimDraft("grade_meaning", scale, grade, unit.start, end - 1))
        if out:
            self._scale, self._age = out[-1].subject, 0
        return out


def _names_something(units: Sequence[Unit]) -> bool:
    return any(u.sort == "target" or u.side for u in units)


def _plantar_words(utterance: Utterance, units: Sequence[Unit]) -> list[ClaimDraft]:
    """ "Flexor means the toe goes down"; "a toe that goes up is the extensor response"."""
    texts = utterance.texts
    out: list[ClaimDraft] = []
    if not _PLANTAR_WORDS & set(texts[utterance.start : utterance.end]):
        return out
    for unit in units:
        word = texts[unit.start]
        if unit.sort != "grade" or word not in _PLANTAR_GRADES or unit.end - unit.start > 1:
            continue
        at = unit.end
        while at < utterance.end and texts[at] in ("response", "plantar", "toe"):
            at += 1
        after = texts[at] if at < utterance.end else ""
        before = set(texts[max(unit.start - 4, utterance.start) : unit.start])
        head = texts[utterance.start : unit.start]
        opens = all(t in OPENERS or t in ("a", "an", "the", "absent", "or") for t in head)
        leads = opens and after in ("means", "is", "when", "if")
        named = bool(before & {"call", "called", "means"}) or (
            {"is", "the"} <= before and at > unit.end
        )
        if leads or named:
            grade = unit.readings.get("plantar")
            if grade:
                out.append(
                    ClaimDraft("grade_meaning", "plantar", grade, unit.start, utterance.end - 1)
                )
    return out


def _leads_clause(utterance: Utterance, units: Sequence[Unit], i: int) -> bool:
    low = units[i].start - 1
    texts = utterance.texts
    while low >= utterance.start and texts[low] in _BEFORE_GRADE:
        low -= 1
    return low < utterance.start or texts[low] in ",;:"


#: What may stand before a grade that is being explained ("a modified Ashworth grade of …").
_BEFORE_GRADE = (OPENERS - {","}) | frozenset(
    "a the score of what is does means mean grade ashworth mrc scale modified on reflex power "
    "strength sensory motor sensation".split()
)


def _explains(units: Sequence[Unit], i: int) -> bool:
    """No side and no graded target follows: it speaks of the grade, not of a child."""
    rest = units[i + 1 :]
    return not any(u.side in ("left", "right", "both") for u in rest)


def _scale(
    number: str, words: set[str], topic: str | None, before: str | None
) -> tuple[str, str | None]:
    table = readings().numbers
    telling = _SENSE_WORDS | _MOTOR_WORDS | _REFLEX_WORDS | _TONE_WORDS
    if before in ("reflex", "sensation") and not words & telling:
        return before, table[before].get(number)
    if before == "tone" and not words & telling:
        return before, table["ashworth"].get(number)
    if words & _SENSE_WORDS and not words & _MOTOR_WORDS:
        return "sensation", table["sensation"].get(number)
    if words & _TONE_WORDS and ("ashworth" in words or topic == "tone") and not words & {"gravity"}:
        return "tone", table["ashworth"].get(number)
    if (words & _REFLEX_WORDS or (topic == "reflex" and not words & _MOTOR_WORDS)) and not words & {
        "gravity",
        "resistance",
    }:
        return "reflex", table["reflex"].get(number)
    if number not in load().vocabulary.scales["mrc"]:
        return "reflex", table["reflex"].get(number)
    return "mrc", number
