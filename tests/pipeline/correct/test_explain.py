"""Why words are or are not changed."""

from __future__ import annotations

import pytest
from plessor.pipeline.correct import CorrectOptions, explain

# Heard by tiny.en in invented sentences, or ordinary English, or both.
WORDS = [
    *("leftriceps", "flicks and five", "Tony's normal", "four minors", "sea five"),
    *("for out of five", "five lateral", "risk extension", "by literally", "see seven", "tea one"),
    *("take the risk", "he walks proudly", "thumb avduction is four", "no ankle clown us", "left"),
]


def test_explain_shows_the_candidates_best_first_with_parts_that_add_up() -> None:
    shown = explain("wrist flexion five, risk extension four")
    assert shown.corrected == "wrist flexion five, wrist extension four"
    best = shown.readings[0]
    assert (best.heard, best.became) == ("risk", "wrist")
    gains = [r.gain for r in shown.readings]
    assert gains == sorted(gains, reverse=True)
    assert best.gain == pytest.approx(best.sound + best.fit + best.doubt)
    assert "becomes “wrist”" in shown.verdict and "phonemes away" in shown.verdict


def test_explain_says_why_nothing_is_changed() -> None:
    shown = explain("take the risk")
    assert shown.corrected == "take the risk"
    assert shown.verdict.startswith("Nothing is changed")


def test_explain_of_nothing() -> None:
    assert explain("").readings == ()


@pytest.mark.parametrize("words", WORDS)
@pytest.mark.parametrize("probability", [0.3, 0.95])
def test_explain_tells_the_chance_that_decided(words: str, probability: float) -> None:
    options = CorrectOptions()
    shown = explain(words, probability=probability)
    changed = [r for r in shown.readings if r.told]
    assert {(r.decision == "changed", r.chance, r.reason) for r in changed} == {
        (c.made, c.score, c.reason) for c in shown.corrections
    }
    for r in shown.readings:
        if r.decision == "changed":
            assert r.chance >= options.line and r.became in shown.corrected.lower()
        elif r.decision == "for review":
            assert options.hint <= r.chance < options.line
        elif r.decision == "kept: chance under 0.25":
            assert r.chance < options.hint and r.gain > 0
        elif r.decision == "kept: worth less":
            assert r.gain <= 0
        assert r.reason
    places = [(r.heard, r.became) for r in shown.readings]
    assert len(places) == len(set(places))
    assert shown.corrections or shown.corrected == words
    assert shown.verdict.startswith("Nothing is changed") != bool(shown.corrections)


@pytest.mark.parametrize(
    ("words", "heard", "became", "fixed"),
    [
        ("light touch reduced at see seven", "see", "c", "seven"),
        ("pinprick is normal at tea one", "tea", "t", "one"),
        ("sensation reduced at sea five", "sea", "c", "five"),
        ("elbow flexion four minors", "minors", "minus", "four"),
    ],
)
def test_explain_of_what_is_near_a_level_or_a_grade(words, heard, became, fixed) -> None:
    """“see” is how C is called; the number itself is never changed."""
    shown = explain(words, probability=0.5)
    (best,) = [r for r in shown.readings if r.told]
    assert (best.heard, best.became, best.decision) == (heard, became, "changed")
    assert best.reason.startswith("on the closed list of words")
    assert fixed in shown.guarded
    assert all(fixed not in r.heard.split() for r in shown.readings)
    if len(became) == 1:
        assert best.distance == 0  # the CMU Pronouncing Dictionary: SEE and C are S IY


def test_explain_of_a_guarded_word_alone() -> None:
    for words in ("left", "five", "C5"):
        shown = explain(words)
        assert shown.verdict == "Nothing is changed: no sound changes a number, a side or a level."


def test_explain_of_a_personal_variant() -> None:
    options = CorrectOptions(variants=(("fleecy ox", "biceps jerk"), ("wrist", "knee")))
    shown = explain("left fleecy ox is brisk, wrist normal", options=options, probability=0.99)
    made, marked = [r for r in shown.readings if r.told]
    assert (made.became, made.decision, made.chance) == ("biceps jerk", "changed", 1)
    assert (marked.heard, marked.became, marked.decision) == ("wrist", "knee", "for review")
    assert made.reason.startswith("in the personal lexicon; ")
