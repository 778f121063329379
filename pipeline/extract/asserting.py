"""Whether the wording of a statement asserts something of this child, and of what.

A bare name and a place assert ("clonus at the left ankle"); a definition does not ("a
high-stepping gait is lifting the knee …"); "it is normal on the right" speaks of what the
statement before was about.
"""

from __future__ import annotations

from ...lexicon.words import load_words
from .kinds import OBSERVED, Utterance
from .statement import Statement, Target

_MARKS = frozenset(",.;:?!")


def is_telegraphic(statement: Statement, utterance: Utterance) -> bool:
    """ "Clonus at the left ankle": hardly a word that is not the trade's, and a place or side."""
    if not statement.own_targets or statement.heading:
        return False
    located = statement.places or statement.sides or any(t.unit.side for t in statement.targets)
    if not located and not any(t.segment not in (None, "none") for t in statement.targets):
        return False
    texts, small = utterance.texts, load_words().telegraphic_words
    low, high = statement.span
    while not utterance.runs_on and low > utterance.start and texts[low - 1] not in _MARKS:
        low -= 1
    while high < utterance.end and texts[high] not in _MARKS:
        high += 1
    covered = {i for u in statement.units for i in range(u.start, u.end)}
    return all(
        texts[i] in _MARKS or texts[i] in small for i in range(low, high) if i not in covered
    )


def is_described(statement: Statement, target: Target, utterance: Utterance) -> bool:
    """ "Gait is jerky and dancing": words that have no code (record rule: abnormal)."""
    texts, at = utterance.texts, target.unit.end
    if statement.heading or not statement.own_targets or at + 1 >= utterance.end:
        return False
    words = load_words()
    follows = texts[at + 1]
    return (
        texts[at] in words.describing
        and follows.isalpha()
        and follows not in words.determiners | words.indefinite | words.openers
        and follows not in ("not", "what", "how", "where", "when", "one", "for", "to")
        and not any(u.kind != OBSERVED for u in statement.units)
    )


def defines(utterance: Utterance, statement: Statement) -> bool:
    """ "A high-stepping gait is lifting the knee …": what a thing is, not what was seen."""
    if not statement.units or not statement.own_targets or not statement.targets:
        return False
    words, texts = load_words(), utterance.texts
    first, last = statement.units[0], statement.targets[-1].unit
    lead = [t for t in texts[utterance.start : first.start] if t not in words.openers]
    if len(lead) != 1 or lead[0] not in words.definition_articles:
        return False
    if words.definition_verbs.isdisjoint(texts[last.end : last.end + 1]):
        return False
    if statement.grade is not None and statement.grade.readings.get("presence") == "present":
        return False
    return statement.grade_first or not any(
        u.sort == "grade" and u.start > last.start for u in statement.units
    )


def goes_on(utterance: Utterance, statement: Statement) -> bool:
    """Whether a statement without a target goes on from the one before ("It is normal …")."""
    if statement.grade is None and statement.status is None:
        return False
    if statement.places or statement.sides or statement.otherwise or statement.throughout:
        return True
    words = load_words()
    for text in utterance.texts[utterance.start : utterance.end]:
        if text not in words.openers and text not in ".:;":
            return text in words.anaphora
    return False


def says_only_grade(utterance: Utterance, statement: Statement) -> bool:
    """ "Also two plus.", "It is waddling.": a grade and hardly a word beside."""
    words = load_words()
    small = words.openers | words.anaphora | words.copulas | words.plural_anaphora
    small |= words.back_to_now
    covered = {i for u in statement.units for i in range(u.start, u.end)}
    low, high = statement.span[0], utterance.end
    while low > utterance.start and utterance.texts[low - 1] not in words.clause_ends:
        low -= 1
    while high > low and utterance.texts[high - 1] in _MARKS:
        high -= 1
    end = max(u.end for u in statement.units)
    return all(utterance.texts[i] in small for i in range(low, min(end, high)) if i not in covered)


def is_praise(utterance: Utterance, statement: Statement) -> bool:
    """ "Good." and "Strong!" praise; "they are good" speaks of what was examined."""
    grade = statement.grade
    if grade is None or grade.number:
        return False
    words, texts = load_words(), utterance.texts[utterance.start : grade.start]
    told = not (words.copulas | words.anaphora).isdisjoint(texts)
    return set(grade.readings) >= {"mrc"} and not told
