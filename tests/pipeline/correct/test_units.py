"""The units of speech that correction compares."""

from __future__ import annotations

import pytest
from plessor.pipeline.correct.units import tokens_of, units_of


@pytest.mark.parametrize(
    ("text", "tokens"),
    [
        ("Tone, power.", ["tone", "power"]),
        ("C5 and T-1", ["c", "five", "and", "t", "one"]),
        ("4+ 5/5", ["four", "plus", "five", "five"]),
        ("knee-jerk 2-plus", ["knee", "jerk", "two", "plus"]),
        ("leftriceps", ["left", "triceps"]),
        ("rightarm", ["right", "arm"]),
        ("lefty rightly", ["lefty", "rightly"]),
        ("", []),
        ("— …", []),
    ],
)
def test_tokens_of(text: str, tokens: list[str]) -> None:
    assert tokens_of(text) == tokens


def test_units_know_their_place_and_the_mark_after_them() -> None:
    words = ["Knee-jerk,", "brisk."]
    units = units_of(words)
    assert [(u.text, u.word, u.mark) for u in units] == [
        ("knee", 0, ""),
        ("jerk", 0, ","),
        ("brisk", 1, "."),
    ]
    assert [words[u.word][u.start : u.end].lower() for u in units] == ["knee", "jerk", "brisk"]
