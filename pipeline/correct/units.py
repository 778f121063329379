"""The units of speech that correction compares: one lower-case token each.

A recogniser glues ("left-arm", "2-plus", "leftriceps"); a unit is what is left when hyphens,
case and punctuation are taken off and digits are put into words. A unit remembers its word,
so that whatever is not changed is written back exactly as it was.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ...lexicon.spoken import NUMBER_WORDS

_NUMBERS = tuple(NUMBER_WORDS)
NUMBERS = frozenset(_NUMBERS)
SIDES = frozenset(("left", "right"))
_PIECE = re.compile(
    r"(?P<level>[CTLSctls][ -]?\d{1,2}(?!\d))|(?P<number>\d+)"
    r"|(?P<word>[A-Za-z]+(?:['’][A-Za-z]+)*['’]?)|(?P<plus>\+)"
)
_GLUED = re.compile(r"(left|right)(?=[a-z]{4})")


@dataclass(frozen=True, slots=True)
class Unit:
    """One token, the index of its word, its place in it, and a punctuation mark after it."""

    text: str
    word: int
    start: int
    end: int
    mark: str = ""


def units_of(words: Sequence[str]) -> list[Unit]:
    """The units of ``words`` in order; ``start`` and ``end`` are places in the word's text."""
    out: list[Unit] = []
    for index, word in enumerate(words):
        for found in _PIECE.finditer(word):
            text = found[0].lower().replace("’", "'").strip("'")
            if found.lastgroup == "level":
                text = text[0].upper() + text.lstrip("ctls -")
            elif found.lastgroup == "number":
                text = _NUMBERS[int(text)] if len(text) < 3 and int(text) <= 12 else text
            elif found.lastgroup == "plus":
                text = "plus"
            after = word[found.end() : found.end() + 1]
            mark = after if after and after in ",.;:?!" else ""
            out.append(Unit(text, index, found.start(), found.end(), mark))
    return out


def tokens_of(text: str) -> list[str]:
    """The tokens of a sentence; a level such as "C5" is one token ("C5")."""
    return [u.text for u in units_of(text.split())]
