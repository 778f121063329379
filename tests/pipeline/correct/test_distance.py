"""How far apart two stretches of speech sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plessor.pipeline.correct.distance import FULL, distance, features
from plessor.pipeline.correct.phonemes import CODES, encode

PHONES = st.text(alphabet="".join(CODES.values()), max_size=10)


def far(one: str, other: str) -> float:
    return distance(encode(one), encode(other))


# Miller and Nicely 1955, J Acoust Soc Am 27:338: consonants of one place or one voicing are
# taken for one another far more often than those that share neither.
@pytest.mark.parametrize(
    ("word", "near", "away"),
    [
        ("P AE T", "B AE T", "Z AE T"),
        ("M AE T", "N AE T", "SH AE T"),
        ("F IH N", "TH IH N", "G IH N"),
        ("S IH P", "Z IH P", "M IH P"),
        ("B IH T", "B EH T", "B UW T"),
    ],
)
def test_distance_ranks_confusions_as_listeners_do(word: str, near: str, away: str) -> None:
    assert far(word, near) < far(word, away)


def test_distance_lets_british_speakers_drop_their_r() -> None:
    assert far("P L AE N T ER", "P L AE N T AH") <= 1 / FULL
    assert far("R AE T", "AE T") > 1 / FULL


def test_distance_hears_one_sound_where_two_words_meet() -> None:
    assert far("N IY D JH ER K S", "N IY JH ER K S") == 0


@given(PHONES, PHONES)
def test_distance_is_symmetric_and_zero_only_for_equal_features(one: str, other: str) -> None:
    assert distance(one, other) == distance(other, one)
    assert (distance(one, other) == 0) == (features(one) == features(other))


@given(PHONES, PHONES)
def test_distance_equals_the_plain_edit_distance(one: str, other: str) -> None:
    """The slow obvious twin of rapidfuzz: Wagner and Fischer 1974."""
    a, b = features(one), features(other)
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        before, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (x != y))
    assert distance(one, other) == pytest.approx(row[-1] / FULL)
