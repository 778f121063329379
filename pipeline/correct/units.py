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
from .phonemes import is_known

_NUMBERS = tuple(NUMBER_WORDS)
NUMBERS = frozenset(_NUMBERS)
SIDES = frozenset(("left", "right"))
_PIECE = re.compile(
    r"(?P<level>[CTLSctls][ -]?\d{1,2}(?!\d))|(?P<number>\d+)"
    r"|(?P<word>[A-Za-z]+(?:['’][A-Za-z]+)*['’]?)|(?P<plus>\+)"
)
_GLUED = re.compile(r"(left|right)(?=[a-z]{3})")


@dataclass(frozen=True, slots=True)
class Unit:
    """One token, the index of its word, its place in it, and a punctuation mark after it."""

    text: str
    word: int
    start: int
    end: int
    mark: str = ""


def units_of(words: Sequence[str]) -> list[Unit]:
    """The units of ``words`` in order; ``start`` and ``end`` are places in the word's text.

    An unknown word that begins with a side ("leftriceps") gives the side a unit of its own.
    """
    out: list[Unit] = []
    for index, word in enumerate(words):
        for found in _PIECE.finditer(word):
            text = found[0].lower().replace("’", "'").strip("'")
            if found.lastgroup == "level":  # "C5" is said, and compared, as "C five"
                out.append(Unit(text[0], index, found.start(), found.start() + 1))
                text = _spoken(text.lstrip("ctls -"))
            elif found.lastgroup == "number":
                text = _spoken(text)
            elif found.lastgroup == "plus":
                text = "plus"
            after = word[found.end() : found.end() + 1]
            mark = after if after and after in ",.;:?!" else ""
            glued = _GLUED.match(text) if found.lastgroup == "word" else None
            if glued and not is_known(text):
                cut = found.start() + glued.end()
                rest = text[glued.end() :]
                out.append(Unit(glued[1], index, found.start(), cut))
                # "leftriceps": one t is heard for two
                rest = "t" + rest if is_known("t" + rest) else rest
                out.append(Unit(rest, index, cut, found.end(), mark))
                continue
            start = found.start() + (found.lastgroup == "level")
            out.append(Unit(text, index, start, found.end(), mark))
    return out


def _spoken(number: str) -> str:
    return _NUMBERS[int(number)] if len(number) < 3 and int(number) <= 12 else number


def tokens_of(text: str) -> list[str]:
    """The tokens of a sentence; a level such as "C5" is two ("c", "five")."""
    return [u.text for u in units_of(text.split())]
