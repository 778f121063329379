"""What a speaker says a grade means: "three is movement against gravity"."""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import load
from ...lexicon.words import load_words
from .claims import ClaimDraft
from .grading import readings
from .kinds import Utterance
from .units import Unit

#: How many utterances may stand between two steps of a scale.
_STEPS_APART = 2
#: How far before a plantar grade a word may stand that gives it as a name.
_NAMING_REACH = 4


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
        for i, unit in enumerate(units):
            if unit.sort != "grade" or not unit.number or not _leads_clause(utterance, units, i):
                continue
            asked = following if _is_asked(utterance, unit) else None
            if asked is None and not self._defines(utterance, units, i):
                continue
            words = utterance.words if asked is None else utterance.words | asked.words
            scale, grade = _scale(unit.number, words, topic, self._scale)
            if grade:
                end = utterance.end if asked is None else asked.end
                out.append(ClaimDraft("grade_meaning", scale, grade, unit.start, end - 1))
        if out:
            self._scale, self._age = out[-1].subject, 0
        return out

    def _defines(self, utterance: Utterance, units: Sequence[Unit], i: int) -> bool:
        """Whether what follows a grade tells its meaning ("three is movement against …")."""
        words, texts = load_words(), utterance.texts
        at = _after_noun(utterance, units[i])
        after = texts[at] if at < len(texts) else ""
        rest = units[i + 1 :]
        if after == ",":
            listed = not any(u.sort == "target" or u.side for u in rest)
            told = self._scale is not None or not words.strength_words.isdisjoint(
                texts[units[i].end : utterance.end]
            )
            if not (listed and told):
                return False
        elif after not in words.defining_verbs:
            return False
        # a side would speak of a child
        return not any(u.side in ("left", "right", "both") for u in rest)


def _after_noun(utterance: Utterance, unit: Unit) -> int:
    """Where the words after a grade and its noun begin ("a one plus reflex is …")."""
    at, nouns = unit.end, load_words().scale_nouns
    while at < utterance.end and utterance.texts[at] in nouns:
        at += 1
    return at


def _is_asked(utterance: Utterance, unit: Unit) -> bool:
    """ "What is a three?", answered in the next utterance."""
    at = _after_noun(utterance, unit)
    return utterance.texts[at : at + 1] == ["?"] and utterance.texts[utterance.end - 1] == "?"


def _plantar_words(utterance: Utterance, units: Sequence[Unit]) -> list[ClaimDraft]:
    """ "Flexor means the toe goes down"; "a toe that goes up is the extensor response"."""
    words, texts = load_words(), utterance.texts
    out: list[ClaimDraft] = []
    if words.plantar_words.isdisjoint(utterance.words):
        return out
    for unit in units:
        if unit.sort != "grade" or unit.end - unit.start > 1:
            continue
        grade = unit.readings.get("plantar")
        if not grade or texts[unit.start] not in words.plantar_grades:
            continue
        at = unit.end
        while at < utterance.end and texts[at] in words.plantar_nouns:
            at += 1
        before = texts[max(unit.start - _NAMING_REACH, utterance.start) : unit.start]
        opens = words.plantar_openers.issuperset(texts[utterance.start : unit.start])
        leads = opens and at < utterance.end and texts[at] in words.plantar_verbs
        named = not words.plantar_naming.isdisjoint(before) or (
            {"is", "the"}.issubset(before) and at > unit.end
        )
        if leads or named:
            end = utterance.end - 1
            out.append(ClaimDraft("grade_meaning", "plantar", grade, unit.start, end))
    return out


def _leads_clause(utterance: Utterance, units: Sequence[Unit], i: int) -> bool:
    """Whether nothing but openers and articles stands before a grade in its clause."""
    low, texts, before = units[i].start - 1, utterance.texts, load_words().before_definition
    while low >= utterance.start and texts[low] in before and texts[low] != ",":
        low -= 1
    if low < utterance.start or texts[low] in ",;:":
        return True
    # without marks, "and" and "so" part the steps of a scale
    return texts[low + 1] in ("and", "so", "then", "um", "uh") and "," not in utterance.words


def _scale(
    number: str, said: frozenset[str], topic: str | None, before: str | None
) -> tuple[str, str | None]:
    """The scale that a defined grade is on, told by the words said, and the grade on it.

    ``before`` is the scale of the step before, which holds when no word tells another.
    """
    words, table = load_words(), readings().numbers
    sensation = not words.sensation_words.isdisjoint(said)
    strength = not words.strength_words.isdisjoint(said)
    reflex = not words.reflex_words.isdisjoint(said)
    tone = not words.tone_words.isdisjoint(said)
    if not (sensation or strength or reflex or tone):
        if before in ("reflex", "sensation"):
            return before, table[before].get(number)
        if before == "tone":
            return before, table["ashworth"].get(number)
    if sensation and not strength:
        return "sensation", table["sensation"].get(number)
    if tone and ("ashworth" in said or topic == "tone") and "gravity" not in said:
        return "tone", table["ashworth"].get(number)
    reflexes = reflex or (topic == "reflex" and not strength)
    if reflexes and words.load_words.isdisjoint(said):
        return "reflex", table["reflex"].get(number)
    if number not in load().vocabulary.scales["mrc"]:
        return "reflex", table["reflex"].get(number)
    return "mrc", number
