"""How far apart two stretches of speech sound, in phonemes.

Each phoneme is written as two or three features (place, manner and voice of a consonant;
height and backness of a vowel, after Ladefoged and Johnson, A Course in Phonetics, 7th ed.,
chapters 2 and 4), and the feature strings are compared by rapidfuzz's Levenshtein distance.
So "p" for "b" costs one feature, "p" for "s" three. What running speech wears away is light:
an r that no vowel follows (British speakers drop it), the vowels of "a" and "it", an h, and a t
or d beside another consonant, which costs nothing before one made at the same place ("need
jerk", "knee jerk").
"""

from __future__ import annotations

from functools import lru_cache

from rapidfuzz.distance import Levenshtein

from .phonemes import VOWELS

#: Features of one whole consonant; distances are divided by it to count in phonemes.
FULL = 3.0
# place, manner, voice
_CONSONANTS = {
    "p": "1sv", "b": "1sV", "t": "3sv", "d": "3sV", "k": "5sv", "g": "5sV",
    "C": "4sv", "J": "4sV", "f": "2fv", "v": "2fV", "T": "3fv", "D": "3fV",
    "s": "3zv", "z": "3zV", "S": "4zv", "Z": "4zV", "m": "1nV", "n": "3nV", "N": "5nV",
    "l": "3lV", "r": "rq", "w": "1rV", "y": "4y", "h": "h",
}  # fmt: skip
# height, backness; a diphthong has both ends
_VOWELS = {
    "i": "HF", "I": "F", "e": "MFH", "E": "MF", "@": "LF", "^": "C", "a": "LB", "c": "MB",
    "o": "MBH", "U": "B", "u": "HB", "Y": "LCF", "W": "LCB", "O": "MBF", "R": "C",
}  # fmt: skip


@lru_cache(maxsize=262_144)
def features(phones: str) -> str:
    """The feature string of ``phones``."""
    out: list[str] = []
    last = len(phones) - 1
    for i, phone in enumerate(phones):
        following = phones[i + 1] if i < last else ""
        if phone in VOWELS:
            out.append(_VOWELS[phone])
            if phone == "R":
                out.append("rq" if following and following in VOWELS else "r")
        elif phone == "r" and (not following or following not in VOWELS):
            out.append("r")
        elif phone in "td" and following and following not in VOWELS and following not in "rwy":
            out.append("" if following in "tdCJ" else "s")
        elif phone in "td" and not following and i and phones[i - 1] not in VOWELS:
            out.append("s")
        else:
            out.append(_CONSONANTS[phone])
    return "".join(out)


def distance(one: str, other: str) -> float:
    """The distance between two phoneme strings, in phonemes."""
    return Levenshtein.distance(features(one), features(other)) / FULL
