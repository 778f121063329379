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
_SENSE_WORDS = frozenset("sensation sense touch pinprick pin feeling cheek sensory".split())
_MOTOR_WORDS = frozenset(
    "gravity resistance flicker twitch twitches movement contraction power strength force muscle "
    "push joint moves move".split()
)


def meanings_of(
    utterance: Utterance,
    units: Sequence[Unit],
    following: Utterance | None,
    topic: str | None,
) -> list[ClaimDraft]:
    """The grade definitions of one utterance; ``following`` is the one after it."""
    out: list[ClaimDraft] = []
    texts = utterance.texts
    for i, unit in enumerate(units):
        if unit.sort != "grade" or not unit.number or not _leads_clause(utterance, units, i):
            continue
        after = texts[unit.end : unit.end + 1]
        asked = utterance.end > unit.end and texts[utterance.end - 1] == "?" and "?" in after
        defines = bool(after) and (
            after[0] in _VERBS
            or (after[0] == "," and bool(_MOTOR_WORDS & set(texts[unit.end : utterance.end])))
        )
        if not (defines or (asked and following is not None)):
            continue
        window = set(texts[utterance.start : utterance.end])
        if asked and following is not None:
            window |= set(texts[following.start : following.end])
        elif not _explains(units, i):
            continue
        scale, grade = _scale(unit.number, window, topic)
        if grade:
            end = following.end if asked and following is not None else utterance.end
            out.append(ClaimDraft("grade_meaning", scale, grade, unit.start, end - 1))
    return out


def _leads_clause(utterance: Utterance, units: Sequence[Unit], i: int) -> bool:
    unit = units[i]
    low = unit.start - 1
    while (
        low >= utterance.start
        and utterance.texts[low]
        in OPENERS
        | {
            "a",
            "the",
            "score",
            "of",
            "what",
            "is",
            "does",
            "means",
            "mean",
            "grade",
            "ashworth",
            "mrc",
            "scale",
            "modified",
            "on",
        }
        and utterance.texts[low] != ","
    ):
        low -= 1
    return low < utterance.start or utterance.texts[low] in ",;:"


def _explains(units: Sequence[Unit], i: int) -> bool:
    """No side and no graded target follows: it speaks of the grade, not of a child."""
    rest = units[i + 1 :]
    if units[i].end and rest and rest[0].sort == "target" and "means" not in rest[0].gap:
        graded = any(u.sort == "grade" for u in rest[1:2])
        if graded:
            return False
    return not any(u.side in ("left", "right", "both") for u in rest)


def _scale(number: str, words: set[str], topic: str | None) -> tuple[str, str | None]:
    table = readings().numbers
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
