"""Grades that are numbers, and spinal levels: exactly as said, or not at all.

"Four plus out of five" is one grade and "C5 to T1" eight levels; "four weeks", "that one" and
"from nought to five" are neither.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import Vocabulary
from ...lexicon.words import load_words
from .mentions import Mention

#: Grades are single digits on every scale.
_GRADES = frozenset("012345")
#: The tops of scales that a grade may be given out of.
_TOPS = ("5", "4", "2")


def numbers(texts: Sequence[str], free: Sequence[bool]) -> list[Mention]:
    """Grades given as numbers; ``free[i]`` is False where a term already stands."""
    words = load_words()
    found: list[Mention] = []
    i = 0
    while i < len(texts):
        if not (free[i] and texts[i] in _GRADES):
            i += 1
            continue
        end, sign = _sign(texts, i + 1)
        after_sign = end
        end = _out_of(texts, end)
        outof = end > after_sign
        if outof and not sign:
            end, sign = _sign(texts, end)
        before = texts[i - 1] if i else ""
        graded = before in words.grade_nouns
        plainly = bool(sign) or outof or graded
        if (plainly or not _is_count(texts, i, end)) and not (
            _in_range(texts, i, end)
            or (texts[i] == "1" and _pronoun(texts, i))
            or (before.isdigit() and before not in "012345")
        ):
            start = i - 1 if graded and free[i - 1] else i
            found.append(Mention("grade", start, end, number=texts[i] + sign))
        i = end
    return found


def _sign(texts: Sequence[str], at: int) -> tuple[int, str]:
    """The plus or minus at ``at``, and where it ends."""
    sign = load_words().sign_of_word.get(texts[at], "") if at < len(texts) else ""
    return (at + 1, sign) if sign else (at, "")


def _out_of(texts: Sequence[str], at: int) -> int:
    """Where "out of five" at ``at`` ends; ``at`` when it does not stand there."""
    words = load_words()
    for phrase in words.out_of:
        stop = at + len(phrase)
        if stop < len(texts) and tuple(texts[at:stop]) == phrase and texts[stop] in _TOPS:
            if phrase in (("of",), ("on",)) and texts[stop] != "5":
                continue
            if phrase == ("on",) and not words.count_after.isdisjoint(texts[stop + 1 : stop + 2]):
                continue  # "four on five days"
            if texts[at - 1] in words.sign_of_word or texts[at - 1].isdigit():
                return stop + 1
    return at


def _in_range(texts: Sequence[str], i: int, end: int) -> bool:
    """ "From nought to five": the span of a scale, no grade."""
    after = texts[end] if end < len(texts) else ""
    beyond = texts[end + 1] if end + 1 < len(texts) else ""
    before = tuple(texts[max(i - 3, 0) : i])
    upwards = after == "to" and beyond.isdigit()
    return (before[-1:] == ("from",) and upwards) or (
        len(before) == 3 and before[0] == "from" and before[2] == "to" and before[1].isdigit()
    )


def _pronoun(texts: Sequence[str], i: int) -> bool:
    """ "The slow one": a noun stands for what was named before."""
    words = load_words()
    return (
        i >= 2
        and texts[i - 2] in words.one_determiners
        and texts[i - 1].isalpha()
        and texts[i - 1] not in words.one_exceptions
        and texts[i + 1 : i + 2] not in (["out"], ["plus"], ["minus"])
    )


def _is_count(texts: Sequence[str], i: int, end: int) -> bool:
    """Whether a bare number counts or labels something."""
    words = load_words()
    before = texts[i - 1] if i else ""
    after = texts[end] if end < len(texts) else ""
    if after in words.count_after or before in words.label_before:
        return True
    if texts[max(i - 2, 0) : i] == ["make", "that"]:
        return False
    if before in words.pronoun_before and texts[i] in ("1", "2", "3"):
        return True
    return after == "to" and not words.count_after.isdisjoint(texts[i + 2 : i + 4])


def levels(texts: Sequence[str], vocabulary: Vocabulary) -> list[Mention]:
    """Spinal levels: single ones, and ranges expanded ("C5 to T1", "L4 and 5")."""
    words, known = load_words(), set(vocabulary.levels)
    found: list[Mention] = []
    i = 0
    while i < len(texts):
        if texts[i] not in known:
            i += 1
            continue
        first, start, end = texts[i], i, i + 1
        if i and texts[i - 1] in words.level_openers:
            start = i - 1
        stop = _after_range_word(texts, end)
        target = _level_at(texts, stop, first, known) if stop > end else None
        if target is not None:
            codes = vocabulary.level_range(first, target)
            end = stop + 1
        elif _continues(texts, end, first, known):
            codes, end = (first, f"{first[0]}{texts[end + 1]}"), end + 2
        else:
            codes = (first,)
        found.append(Mention("level", start, end, levels=codes))
        i = end
    return found


def _after_range_word(texts: Sequence[str], at: int) -> int:
    """Where the words that join two ends of a range stop; ``at`` when there are none."""
    for phrase in load_words().range_words:
        if tuple(texts[at : at + len(phrase)]) == phrase:
            return at + len(phrase)
    return at


def _level_at(texts: Sequence[str], at: int, first: str, known: set[str]) -> str | None:
    """The level at ``at``; a bare number takes the letter of ``first``."""
    if at >= len(texts):
        return None
    if texts[at] in known:
        return texts[at]
    same_letter = f"{first[0]}{texts[at]}"
    return same_letter if texts[at].isdigit() and same_letter in known else None


def _continues(texts: Sequence[str], at: int, first: str, known: set[str]) -> bool:
    """Whether "and 5" after "L4" is the next level, not a grade."""
    if tuple(texts[at : at + 1]) not in (("and",), ("or",)) or at + 1 >= len(texts):
        return False
    number = texts[at + 1]
    after = texts[at + 2] if at + 2 < len(texts) else ""
    return (
        number.isdecimal()
        and int(number) == int(first[1:]) + 1
        and f"{first[0]}{number}" in known
        and after not in load_words().grade_continues
    )
