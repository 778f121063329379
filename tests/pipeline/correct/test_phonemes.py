"""How words sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plessor.pipeline.correct.phonemes import CODES, dictionary, encode, is_known, pronounce

# Entries of the CMU Pronouncing Dictionary, release 0.7b (cmudict.dict), stress dropped.
CMU = {
    "gait": "G EY1 T",
    "gate": "G EY1 T",
    "tone": "T OW1 N",
    "wrist": "R IH1 S T",
    "risk": "R IH1 S K",
    "elbow": "EH1 L B OW2",
    "reflex": "R IY1 F L EH0 K S",
    "spinal": "S P AY1 N AH0 L",
}

# Pronunciations of medical dictionaries (Merriam-Webster Medical), written in ARPAbet.
TRADE = {
    "proprioception": "P R OW P R IY OW S EH P SH AH N",
    "dysmetria": "D IH S M EH T R IY AH",
    "thenar": "TH IY N ER",
    "clonus": "K L OW N AH S",
}


@pytest.mark.parametrize(("word", "phones"), CMU.items())
def test_pronounce_agrees_with_the_cmu_dictionary(word: str, phones: str) -> None:
    assert encode(phones) in pronounce(word)


@pytest.mark.parametrize(("word", "phones"), TRADE.items())
def test_pronounce_knows_the_trades_own_words(word: str, phones: str) -> None:
    assert encode(phones) in pronounce(word)


# Nonsense words of the kind used in reading tests; how English spelling says them.
@pytest.mark.parametrize(
    ("word", "phones"),
    [("blonterist", "B L AA N T ER IH S T"), ("fisculation", "F IH S K Y AH L EY SH AH N")],
)
def test_pronounce_spells_out_words_that_nobody_knows(word: str, phones: str) -> None:
    assert not is_known(word)
    assert pronounce(word)[0] == encode(phones)


def test_pronounce_says_the_plural_of_a_known_word() -> None:
    assert not is_known("romberg's")
    assert pronounce("romberg's") == (pronounce("romberg")[0] + "z",)


@given(st.from_regex(r"[a-z]{1,20}", fullmatch=True))
def test_pronounce_gives_phonemes_for_any_letters(word: str) -> None:
    said = pronounce(word)
    assert said
    assert all(set(way) <= set(CODES.values()) for way in said)


def test_dictionary_holds_phonemes_only() -> None:
    codes = set(CODES.values())
    assert len(CODES) == len(codes) == 39  # the 39 phonemes of ARPAbet as CMU uses it
    assert all(way and set(way) <= codes for ways in dictionary().values() for way in ways)
