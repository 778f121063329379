"""What is named in the words: targets, places, sides, grades, levels and steering words.

A spaCy ``PhraseMatcher`` finds every wording of the lexicon; this module keeps the longest
of overlapping ones and composes what no list can hold: grades with numbers ("four plus out
of five") and spinal levels with their ranges. Numbers, sides and levels match exactly or
not at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ...lexicon import Term, Vocabulary

Sort = Literal["target", "place", "side", "grade", "level", "marker", "trade"]

#: Words before a number that make it a pronoun or an ordinal count, not a grade.
_PRONOUN_BEFORE = frozenset(
    "that this the another each last first next no any every which some other for about nearly "
    "around roughly little dear good big old young".split()
)
#: Words before a number that make it a label or a measurement.
_LABEL_BEFORE = frozenset(
    "day week month bed room line phase type stage step temp temperature gcs bay ward clinic "
    "weight age aged by x".split()
)
#: Words after a number that make it a count of something.
_COUNT_AFTER = frozenset(
    "year years yr yrs month months week weeks day days hour hours minute minutes second "
    "seconds old am pm cm mm centimetres kg kilos times time limbs of beat beats point fingers "
    "people children tests things steps hands legs arms feet sides weeker percent per litres "
    "metres feet oclock hundred thousand ago brothers sisters others patients cases points parts kinds types groups more".split()
)
#: A side that is said inside a wording ("small muscles of both hands").
_SIDE_WORDS = {
    "left": "left", "right": "right", "both": "both",
    "rue": "right", "rle": "right", "lue": "left", "lle": "left", "bue": "both", "ble": "both",
    "l": "left", "r": "right",
}  # fmt: skip
#: Motions, and the muscles named after them, by what the movement codes call them.
_MOTIONS = {
    word: motion
    for motion, words in {
        "flexion": "flexion flexors flexor",
        "extension": "extension extensors extensor",
        "abduction": "abduction abductors abductor",
        "adduction": "adduction adductors adductor",
        "opposition": "opposition",
    }.items()
    for word in words.split()
}
#: How far the noun of a place may stand from its first word.
_ELLIPSIS = 9
_SIGNS = {"plus": "+", "minus": "-"}


@dataclass(frozen=True)
class Mention:
    """One named thing: atoms ``start`` (included) to ``end`` (not included).

    ``terms`` are all lexicon terms that this wording can stand for. ``number`` is a grade
    with its sign ("4+"), ``outof`` the scale's top when spoken, ``levels`` the spinal levels,
    ``marker`` the id of a steering word.
    """

    sort: Sort
    start: int
    end: int
    terms: tuple[Term, ...] = ()
    marker: str = ""
    number: str = ""
    outof: str = ""
    levels: tuple[str, ...] = ()
    plural: bool = False
    side: str = ""
    #: where the phrase that it replaced began, when the speaker corrected it
    origin: int = -1


def longest(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The spans that no longer one, or an earlier one of the same length, overlaps."""
    kept: list[tuple[int, int]] = []
    taken: set[int] = set()
    for start, end in sorted(set(spans), key=lambda s: (s[0] - s[1], s[0])):
        if not any(i in taken for i in range(start, end)):
            kept.append((start, end))
            taken.update(range(start, end))
    return sorted(kept)


def mention_of(terms: Sequence[Term], start: int, end: int, form: tuple[str, ...]) -> Mention:
    """The mention of one wording that ``terms`` share."""
    kinds = {t.kind for t in terms}
    plural = any(form in t.plural_forms for t in terms)
    sort: Sort
    if any(_is_target(t) for t in terms):
        sort = "target"
    elif "segment" in kinds:
        sort = "place"
    elif "side" in kinds:
        side = next(t.code for t in terms if t.kind == "side")
        return Mention("side", start, end, tuple(terms), side=side)
    elif "grade" in kinds:
        sort = "grade"
    else:
        sort = "trade"
    side = next((_SIDE_WORDS[w] for w in form if w in _SIDE_WORDS), "")
    return Mention(sort, start, end, tuple(terms), plural=plural, side=side)


def _is_target(term: Term) -> bool:
    if term.kind == "segment":
        return _segment_kind(term.codes[0]) in ("movement", "reflex")
    return term.kind in ("modality", "muscle")


def _segment_kind(code: str) -> str:
    from ...lexicon import load

    return load().vocabulary.segment_kinds[code][0]


def numbers(texts: Sequence[str], free: Sequence[bool]) -> list[Mention]:
    """Grades given as numbers; ``free[i]`` is False where a term already stands."""
    found: list[Mention] = []
    i = 0
    while i < len(texts):
        if not (texts[i].isdigit() and free[i] and int(texts[i]) <= 5):
            i += 1
            continue
        end = i + 1
        sign = outof = ""
        if end < len(texts) and texts[end] in _SIGNS:
            sign = _SIGNS[texts[end]]
            end += 1
        end, outof = _out_of(texts, end)
        if outof and not sign and end < len(texts) and texts[end] in _SIGNS:
            sign = _SIGNS[texts[end]]
            end += 1
        before = texts[i - 1] if i else ""
        after = texts[end] if end < len(texts) else ""
        start = i
        graded = before in ("grade", "graded", "mrc", "score", "scored", "grades")
        if graded:
            start = i - 1
        if not (sign or outof or graded) and _is_count(texts, i, before, after):
            i = end
            continue
        if _in_range(texts, i, end) or (texts[i] == "1" and _pronoun(texts, i)):
            i = end
            continue
        if before.isdigit() and before not in "012345":
            i = end
            continue
        found.append(Mention("grade", start, end, number=texts[i] + sign, outof=outof))
        i = end
    return found


def _out_of(texts: Sequence[str], at: int) -> tuple[int, str]:
    for words in (("out", "of"), ("over",), ("by",), ("of",)):
        stop = at + len(words)
        if tuple(texts[at:stop]) == words and stop < len(texts) and texts[stop] in ("5", "4", "2"):
            if words == ("of",) and texts[stop] != "5":
                continue
            if texts[at - 1] in _SIGNS or texts[at - 1].isdigit():
                return stop + 1, texts[stop]
    return at, ""


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
    return (
        i >= 2
        and texts[i - 2] in ("the", "a", "an", "this", "that", "another", "every")
        and texts[i - 1].isalpha()
        and texts[i - 1] not in ("is", "grade", "power", "of")
        and texts[i + 1 : i + 2] not in (["out"], ["plus"], ["minus"])
    )


def _is_count(texts: Sequence[str], i: int, before: str, after: str) -> bool:
    if after in _COUNT_AFTER or before in _LABEL_BEFORE:
        return True
    if texts[max(i - 2, 0) : i] == ["make", "that"]:
        return False
    if before in _PRONOUN_BEFORE and texts[i] in ("1", "2", "3"):
        return True
    return after == "to" and i + 2 < len(texts) and texts[i + 2] in _COUNT_AFTER


def elliptic_places(
    texts: Sequence[str], mentions: Sequence[Mention], places: Mapping[str, Term]
) -> list[Mention]:
    """The mentions, with places that are named across other words put together.

    "The dorsum of the left, sorry, right hand" and "the right upper and right lower limbs":
    ``places`` are the place terms by code.
    """
    out = list(mentions)
    free = [True] * len(texts)
    for m in mentions:
        free[m.start : m.end] = [False] * (m.end - m.start)
    for i, text in enumerate(texts):
        if not free[i] or text not in ("dorsum", "back", "upper", "lower"):
            continue
        k = next((k for k, m in enumerate(out) if m.start > i and m.sort == "place"), None)
        if k is None or out[k].start - i > _ELLIPSIS or not _near(texts, i + 1, out[k].start):
            continue
        code = next((t.code for t in out[k].terms if t.kind == "segment"), "")
        if text in ("dorsum", "back") and texts[i + 1 : i + 2] == ["of"]:
            whole = places.get(f"dorsum_of_{code}")
            if whole is not None:
                out[k] = replace(out[k], terms=(whole,))
        elif text in ("upper", "lower") and code in ("upper_limb", "lower_limb"):
            limb = places[f"{text}_limb"]
            out.append(Mention("place", i, i + 1, (limb,), plural=out[k].plural))
            out.sort(key=lambda m: (m.start, m.end))
    return out


def _near(texts: Sequence[str], start: int, end: int) -> bool:
    allowed = {
        "of",
        "the",
        "his",
        "her",
        "left",
        "right",
        "both",
        "and",
        ",",
        "sorry",
        "no",
        "l",
        "r",
    }
    return all(t in allowed for t in texts[start:end])


def bare_motions(
    texts: Sequence[str], mentions: Sequence[Mention], movements: Mapping[str, Term]
) -> list[Mention]:
    """Motions whose joint is named beside them ("elbow flexion and extension").

    ``movements`` are the movement terms by code. A motion takes the joint of the movement
    that it is listed after, or of the joint that follows it ("extension of the elbow").
    """
    by_start = {m.start: m for m in mentions}
    by_end = {m.end: m for m in mentions}
    free = [True] * len(texts)
    for m in mentions:
        free[m.start : m.end] = [False] * (m.end - m.start)
    found: list[Mention] = []
    for i, text in enumerate(texts):
        motion = _MOTIONS.get(text)
        if motion is None or not free[i]:
            continue
        joint = _joint_before(texts, by_end, i) or _joint_after(texts, by_start, i)
        term = movements.get(f"{joint}_{motion}") if joint else None
        if term is not None:
            mention = Mention("target", i, i + 1, (term,), plural=False)
            found.append(mention)
            by_end[i + 1] = mention
    return found


def _joint_before(texts: Sequence[str], by_end: Mapping[int, Mention], i: int) -> str | None:
    at = i
    while at > 0 and texts[at - 1] in ("and", "or", ",", "both"):
        at -= 1
    before = by_end.get(at)
    if at == i or before is None or before.sort != "target":
        return None
    for term in before.terms:
        joint, _, motion = term.code.rpartition("_")
        if term.kind == "segment" and motion in _MOTIONS.values():
            return joint
    return None


def _joint_after(texts: Sequence[str], by_start: Mapping[int, Mention], i: int) -> str | None:
    at = i + 1
    while at < len(texts) and (
        texts[at] in ("and", "or", ",", "of", "at") or texts[at] in _MOTIONS
    ):
        at += 1
    if texts[at - 1] not in ("of", "at"):
        return None
    while at < len(texts) and texts[at] in ("the", "his", "her", "both", "left", "right"):
        at += 1
    after = by_start.get(at)
    if after is None or after.sort != "place":
        return None
    return next((t.code for t in after.terms if t.kind == "segment"), None)


def levels(texts: Sequence[str], vocabulary: Vocabulary) -> list[Mention]:
    """Spinal levels: single ones, and ranges expanded ("C5 to T1", "L4 and 5")."""
    known = set(vocabulary.levels)
    found: list[Mention] = []
    i = 0
    while i < len(texts):
        if texts[i] not in known:
            i += 1
            continue
        first, start, end = texts[i], i, i + 1
        if i and texts[i - 1] in ("from", "levels", "level"):
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
    for words in (("down", "to"), ("up", "to"), ("right", "down", "to"), ("through", "to"),
                  (",", "to"), ("to",), ("through",), ("until",)):  # fmt: skip
        if tuple(texts[at : at + len(words)]) == words:
            return at + len(words)
    return at


def _level_at(texts: Sequence[str], at: int, first: str, known: set[str]) -> str | None:
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
        number.isdigit()
        and int(number) == int(first[1:]) + 1
        and f"{first[0]}{number}" in known
        and after not in ("out", "over", "plus", "minus")
    )
