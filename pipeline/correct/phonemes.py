"""How words sound: the phonemes of any word, known or not, British or American.

A known word takes its pronunciation from the lexicon's own list of trade words, then from
the CMU Pronouncing Dictionary; any other is spelled out by letter-to-sound rules that were
trained on that dictionary (``bench/letters.py``). Phonemes are the 39 of ARPAbet without
stress, one character each, so that a stretch of speech is a plain string that rapidfuzz
compares. What differs between British and American speech (an r that is not followed by a
vowel, the vowel of "bath") is made cheap in ``distance.py`` rather than listed twice.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

from ...lexicon.files import read_rows, read_text

#: ARPAbet to one character; vowels first.
_PAIRS = (
    "AA=a AE=@ AH=^ AO=c AW=W AY=Y EH=E ER=R EY=e IH=I IY=i OW=o OY=O UH=U UW=u "
    "B=b CH=C D=d DH=D F=f G=g HH=h JH=J K=k L=l M=m N=n NG=N P=p R=r S=s SH=S T=t TH=T "
    "V=v W=w Y=y Z=z ZH=Z"
)
CODES: dict[str, str] = {p.split("=")[0]: p.split("=")[1] for p in _PAIRS.split()}
VOWELS = frozenset("a@^cWYEReIioOUu")
#: Letters seen to the left and right of the letter being sounded, longest context first.
CONTEXTS = ((3, 4), (2, 4), (2, 3), (1, 3), (1, 2), (1, 1), (0, 1), (0, 0))
_LETTER_NAMES = "e bi si di i Ef Ji eC Y Je ke El Em En o pi kyu ar Es ti yu vi d^b^lyu Eks wY zi"
_LETTERS = dict(zip("abcdefghijklmnopqrstuvwxyz", _LETTER_NAMES.split(), strict=True))
_DIGIT_NAMES = "ziro w^n tu Tri for fYv sIks sEv^n et nYn"
_DIGITS = dict(zip("0123456789", _DIGIT_NAMES.split(), strict=True))


def context(word: str, i: int, left: int, right: int) -> str:
    """The letter at ``i`` with its neighbours, ``^`` and ``$`` standing for the ends."""
    padded = f"^^^{word}$$$$"
    k = i + 3
    return f"{padded[k - left : k]}|{word[i]}|{padded[k + 1 : k + 1 + right]}"


def spell_out(word: str, rules: Mapping[str, str]) -> str:
    """The phonemes of a lower-case word of letters only, by ``rules``."""
    out: list[str] = []
    for i in range(len(word)):
        for left, right in CONTEXTS:
            chunk = rules.get(context(word, i, left, right))
            if chunk is not None:
                out.append(chunk)
                break
    joined = "".join(out)
    # A doubled consonant is one sound.
    return "".join(c for i, c in enumerate(joined) if not (i and c == joined[i - 1]))


@cache
def dictionary() -> Mapping[str, tuple[str, ...]]:
    """Word to pronunciations: trade words of ``pronunciations.csv`` before the dictionary's."""
    found = {
        word: tuple(phones.split())
        for word, _, phones in (
            line.partition(" ") for line in read_text("sounds/dictionary.txt").splitlines()
        )
    }
    own: dict[str, list[str]] = {}
    for _, row in read_rows("sounds/pronunciations.csv"):
        own.setdefault(row["word"], []).append(encode(row["arpabet"]))
    found.update({word: tuple(said) for word, said in own.items()})
    return found


def encode(arpabet: str) -> str:
    """ARPAbet with spaces ("T OW1 N") to one character a phoneme ("ton")."""
    return "".join(CODES[p.rstrip("012")] for p in arpabet.split())


@cache
def _rules() -> Mapping[str, str]:
    return {
        key: chunk
        for key, _, chunk in (
            line.partition("	") for line in read_text("sounds/letters.txt").splitlines()
        )
    }


@lru_cache(maxsize=65_536)
def pronounce(word: str) -> tuple[str, ...]:
    """The pronunciations of one lower-case word, best first; never empty for letters or digits.

    >>> pronounce("tone")
    ('ton',)
    """
    known = dictionary()
    if word in known:
        return known[word]
    plain = word.replace("’", "'")
    if plain in known:
        return known[plain]
    stem, _, ending = plain.partition("'")
    if ending == "s" and stem:
        return tuple(p + ("s" if p[-1:] in "ptkfT" else "z") for p in pronounce(stem))
    if len(plain) == 1 and plain in _LETTERS:
        return (_LETTERS[plain],)
    if plain.isdigit():
        return ("".join(_DIGITS[d] for d in plain if d in _DIGITS),)
    letters = "".join(c for c in plain if "a" <= c <= "z")
    if letters.endswith("s") and len(letters) > 4 and letters[:-1] in known:
        return tuple(p + ("s" if p[-1:] in "ptkfT" else "z") for p in known[letters[:-1]])
    parts = _compound(letters)
    spelled = spell_out(letters, _rules())
    return (spelled, "".join(known[part][0] for part in parts)) if parts else (spelled,)


def _compound(word: str) -> tuple[str, str] | None:
    """Two known words that make up ``word``, as recognisers join them ("tonormal").

    The second is as long as can be: the mishearing lies in the scrap before it.
    """
    known = dictionary()
    for cut in range(2, len(word) - 3):
        if word[:cut] in known and word[cut:] in known:
            return word[:cut], word[cut:]
    return None


def is_known(word: str) -> bool:
    """Whether the dictionary or the lexicon's list knows how ``word`` is said."""
    return word in dictionary()
