"""Notices a spinal level that the limb in question cannot have, with the one that sounds like it.

The names of the letters C and T sound alike, and those of L and S; so "T six" of a thumb was
most likely "C six". No level is ever changed for that: the speaker may have slipped, or have
moved on to the trunk. A person is told which level would fit. Which limb a level belongs to
is a row of ``reference/places.csv``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import pairwise

from ...lexicon import load
from ...lexicon.places import LIMBS, load_places
from ...lexicon.spoken import NUMBER_WORDS
from .candidates import said
from .changes import Edge
from .distance import distance
from .units import Unit, tokens_of
from .words import LEVELS

#: How far away, in words of the same sentence, a limb still says where the level is.
_REACH = 10
#: Words that say that a level is a bound, which may well lie outside the limb.
_BOUNDS = frozenset(
    ("above", "below", "from", "to", "until", "down", "up", "between", "through", "onwards")
) | {"level", "levels", "segment", "cord"}
_NEAR = 1.0  # phonemes by which the names of two letters may differ
_STOPS = frozenset(".?!;")


def misplaced(units: Sequence[Unit]) -> Iterator[tuple[Edge, str]]:
    """Each level that its limb cannot have as an edge to the one that fits, and what to say."""
    places = load_places()
    for i, (letter, number) in enumerate(pairwise(units)):
        n = NUMBER_WORDS.get(number.text)
        if letter.text not in LEVELS or n is None or letter.mark:
            continue
        level = f"{letter.text.upper()}{n}"
        limb = _limb(units, i)
        if limb is None or level not in places.rows or limb in places.limbs(level):
            continue
        for other in _alike(letter.text):
            if limb in places.limbs(f"{other.upper()}{n}"):
                why = f"{level} is no level of the {limb.replace('_', ' ')}"
                far = distance(said((letter.text,))[0], said((other,))[0])
                edge = Edge(i, i + 1, (other,), other, far, 0.0, False, 2, kind="closed")
                yield edge, f"{why}; {other.upper()}{n} sounds like it and would fit"
                break


def _limb(units: Sequence[Unit], at: int) -> str | None:
    """The limb of the nearest word for a part of one, in the sentence of unit ``at``."""
    around = {units[k].text for k in range(max(0, at - 2), min(len(units), at + 4))}
    if not _BOUNDS.isdisjoint(around):
        return None
    back, ahead = (
        range(at - 1, max(-1, at - 1 - _REACH), -1),
        range(at, min(len(units), at + _REACH)),
    )
    start = next((k + 1 for k in back if units[k].mark in _STOPS), max(0, at - _REACH))
    end = next((k + 1 for k in ahead if units[k].mark in _STOPS), at + _REACH + 1)
    found = [
        (abs(k - at), limb)
        for k in range(start, min(end, len(units)))
        if (limb := _limb_words().get(units[k].text))
    ]
    return min(found)[1] if found else None


@cache
def _alike(letter: str) -> tuple[str, ...]:
    """The other letters of levels whose names sound like that of ``letter``, nearest first."""
    own = said((letter,))[0]
    far = sorted((distance(own, said((other,))[0]), other) for other in LEVELS - {letter})
    return tuple(other for apart, other in far if apart <= _NEAR)


@cache
def _limb_words() -> Mapping[str, str]:
    """Words that alone name a part of one limb, and that limb."""
    places = load_places()
    out: dict[str, set[str]] = {}
    for term in load().terms:
        if term.kind != "segment":
            continue
        limbs = [limb for limb in LIMBS if places.within(term.code, limb)]
        for wording in term.spoken:
            tokens = tokens_of(wording)
            if len(tokens) == 1:
                out.setdefault(tokens[0], set()).update(limbs or [""])
    return {
        word: next(iter(limbs))
        for word, limbs in out.items()
        if len(limbs) == 1 and "" not in limbs
    }
