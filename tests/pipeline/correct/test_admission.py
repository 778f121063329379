"""What may enter the personal lexicon. The misheard words are invented here."""

from __future__ import annotations

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.correct import meaning, refusal, too_ordinary
from plessor.pipeline.correct.personal import Personal


@pytest.mark.parametrize(
    ("heard", "words", "written"),
    [
        ("fleecy ox", "Biceps Jerk", "biceps jerk"),
        ("briskly", "brisk", "brisk"),
        ("waddling gate", "waddling gait", "waddling gait"),
        ("his gayt is odd", "his gait is odd", "his gait is odd"),
    ],
)
def test_meaning_is_a_term_or_a_term_among_the_same_words(heard, words, written) -> None:
    assert meaning(heard, words) == written


@pytest.mark.parametrize("words", ["qqqq", "gastrocnemeus", "his garden is odd", "", "…"])
def test_meaning_is_nothing_else(words: str) -> None:
    with pytest.raises(InputError, match="is not a term of the lexicon"):
        meaning("his gayt is odd", words)


def test_refusal_of_a_term_within_what_both_share() -> None:
    why = refusal("the wrist jerk", "the knee jerk")
    assert why is not None and why.startswith("“wrist” is a term of the lexicon itself")
    assert refusal("fleecy ox", "biceps jerk") is None
    there = Personal(variants=(("Fleecy-ox", "knee jerk"),))
    assert "“knee jerk” already" in (refusal("fleecy ox", "biceps jerk", there) or "")


@pytest.mark.parametrize("words", ["so", "gate", "risk", "of the", "the gate is", "by the sea"])
def test_ordinary_english_is_told_of(words: str) -> None:
    """Each is said every day without a thought of an examination (common practice)."""
    assert too_ordinary(words)


@pytest.mark.parametrize("words", ["gastrox", "fleecy ox", "waddling gate", "flicks and"])
def test_what_nobody_says_is_not_ordinary(words: str) -> None:
    assert too_ordinary(words) is None
