"""How written words become the spoken form that every rule and term is compared in.

Recognisers write one utterance in many ways ("C five", "C-5", "c5"; "4+/5", "four plus
out of five"). Everything that matches words works on the *atoms* of this module, so a
rule or a term is written once. An atom is a lower-case word, a whole number in digits, a
spinal level in capitals ("C5"), or one punctuation mark of ``, . ; : ? !``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

_NUMBERS = (
    "zero", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
NUMBER_WORDS = {word: str(n) for n, word in enumerate(_NUMBERS)}
NUMBER_WORDS |= {"nought": "0", "naught": "0"}
PUNCTUATION = frozenset(",.;:?!")
#: Highest vertebral number per letter: C2 to C8, T1 to T12, L1 to L5, S1 to S5 (ISNCSCI).
LEVEL_BOUNDS = {"c": (2, 8), "t": (1, 12), "l": (1, 5), "s": (1, 5)}

# One pass, no nested repetition: linear in the text.
_PIECES = re.compile(
    r"(?P<level>[ctlsCTLS][ -]?\d{1,2}(?!\d|\s*(?:plus|minus|\+)))"
    r"|(?P<number>\d+)(?P<sign>[+]|-(?![\w]))?"
    r"|(?P<letters>(?:[A-Za-z]\.){2,})"
    r"|(?P<word>[^\W\d_]+(?:['’][^\W\d_]+)*)"
    r"|(?P<over>/)"
    r"|(?P<dash>[-–—])"
    r"|(?P<plus>[+])"
    r"|(?P<stop>[,.;:?!])"
)
_LEVEL = re.compile(r"([ctls])[ -]?(\d{1,2})")


class Atom(NamedTuple):
    """One comparable unit of speech and the word that it came from."""

    text: str
    word: int


@dataclass(frozen=True)
class _Piece:
    text: str
    word: int


def atoms(words: Sequence[str]) -> tuple[Atom, ...]:
    """The atoms of ``words`` in order; ``Atom.word`` is the index of the word.

    >>> [a.text for a in atoms("Power 4+/5, C five to T-1.".split())]
    ['power', '4', 'plus', 'out', 'of', '5', ',', 'C5', 'to', 'T1', '.']
    """
    pieces: list[_Piece] = []
    for index, word in enumerate(words):
        pieces.extend(_Piece(text, index) for text in _pieces_of(word))
    return tuple(_join_levels(pieces))


def spoken_form(text: str) -> tuple[str, ...]:
    """The atoms of one phrase, without their places."""
    return tuple(a.text for a in atoms(text.split()))


def _pieces_of(word: str) -> Iterable[str]:
    for found in _PIECES.finditer(word):
        kind, text = found.lastgroup, found[0]
        if kind == "level":
            yield from _level_or_letters(text)
        elif found["number"] is not None:
            yield _whole_number(found["number"])
            if found["sign"]:
                yield "plus" if found["sign"] == "+" else "minus"
        elif kind == "letters":  # "D.I.P." is three letters, not three sentences
            yield from text.lower().replace(".", "")
        elif kind == "word":
            plain = text.lower().replace("’", "'").replace("'", "")
            yield NUMBER_WORDS.get(plain, plain)
        elif kind == "over":
            # "5/5" is said "five out of five"; "and/or" keeps two words.
            before, after = word[: found.start()][-1:], word[found.end() :][:1]
            if (before.isdecimal() or before in "+-") and before and after.isdecimal():
                yield from ("out", "of")
            else:
                yield "/"
        elif kind == "dash":
            before, after = word[: found.start()][-1:], word[found.end() :][:1]
            if (
                before.isdecimal()
                and (after.isdecimal() or after.lower() in LEVEL_BOUNDS)
                and after
            ):
                yield "to"
        elif kind == "plus":
            yield "plus"
        else:
            yield text


def _whole_number(digits: str) -> str:
    # A run of digits this long is no number that anybody says; int() refuses thousands.
    return str(int(digits)) if len(digits) < 20 else digits


def _level_or_letters(text: str) -> Iterable[str]:
    found = _LEVEL.fullmatch(text.lower())
    if found and _is_level(found[1], found[2]):
        yield f"{found[1].upper()}{int(found[2])}"
    else:
        yield text[0].lower()
        yield text[1:].lstrip(" -")


def _is_level(letter: str, number: str) -> bool:
    low, high = LEVEL_BOUNDS.get(letter, (1, 0))
    return number.isdecimal() and len(number) <= 2 and low <= int(number) <= high


def _is_slashed_level(run: Sequence[_Piece]) -> bool:
    if len(run) < 4 or len({p.word for p in run}) > 1 or not run[0].text[:1].isupper():
        return False
    middle, last = (run[1].text, run[2].text), run[3].text
    return middle == ("out", "of") and _is_level(run[0].text[0].lower(), last)


def _join_levels(pieces: Sequence[_Piece]) -> Iterable[Atom]:
    """Join "c" + "5" to "C5"; a letter alone before a number is never a word here."""
    i = 0
    while i < len(pieces):
        here = pieces[i]
        after = pieces[i + 1] if i + 1 < len(pieces) else None
        if after is not None and here.text in LEVEL_BOUNDS and _is_level(here.text, after.text):
            yield Atom(f"{here.text.upper()}{int(after.text)}", here.word)
            i += 2
        elif _is_slashed_level(pieces[i : i + 4]):  # "L4/5" is "L4 and L5"
            yield Atom(here.text, here.word)
            yield Atom("and", here.word)
            yield Atom(f"{here.text[0]}{pieces[i + 3].text}", here.word)
            i += 4
        else:
            yield Atom(here.text, here.word)
            i += 1
