"""What the recogniser is asked about its own words, and what its answers change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plessor.pipeline.correct import correct, doubts
from plessor.pipeline.correct.correction import decide
from plessor.pipeline.correct.units import tokens_of
from plessor.pipeline.hearing import HeardWord
from plessor.pipeline.transcript import Transcript, Weighed, Wording, from_heard

#: How sure tiny.en is of words that it makes up for one that it does not know: common practice.
UNSURE = 0.45
TALK = (
    "left right risk gate extension Tony's normal four jerk plant are flexion the is a "
    "bilaterally fasiculation knee, biceps. see seven"
)


def heard(text: str, sure: float = UNSURE) -> Transcript:
    return from_heard([(w, k * 0.4, k * 0.4 + 0.3, sure) for k, w in enumerate(text.split())])


def asked(text: str, sure: float = UNSURE) -> Sequence[Wording]:
    words = [HeardWord(w, k * 0.4, k * 0.4 + 0.3, sure) for k, w in enumerate(text.split())]
    return doubts()(words)


def weighed(transcript: Transcript, nats: dict[str, float], rest: float = -20.0) -> Transcript:
    answers = asked(" ".join(w.text for w in transcript.words))
    return replace(
        transcript, weighed=tuple(Weighed(w, nats.get(w.text.lower(), rest)) for w in answers)
    )


def test_doubts_ask_for_what_the_trade_would_say_there() -> None:
    assert Wording(1, 1, "wrist") in asked("Left risk extension is four.")


def test_doubts_write_a_reading_as_it_would_stand_there() -> None:
    """Capital, the rest of a word and the marks after it are kept."""
    assert Wording(0, 0, "Tone is") in asked("Tony's normal in the left arm.")
    assert Wording(2, 2, "gait.") in asked("A waddling gate.")


def test_doubts_of_ordinary_english_are_none() -> None:
    said = "We had a lovely walk along the river and the children fed the ducks all afternoon."
    assert asked(said, 0.97) == []


def test_what_the_sound_bears_out_is_made() -> None:
    transcript = heard("The gate is waddling and the knee jerks are brisk.")
    result = correct(weighed(transcript, {"gait": 1.0}))
    assert result.transcript.corrected.startswith("The gait is waddling")


@pytest.mark.parametrize(
    ("text", "reading"),
    [
        ("Left risk extension is four.", "wrist"),
        ("A waddling gate.", "gait."),
        ("Uncle jerks are brisk.", "Ankle"),
    ],
)
def test_the_better_the_sound_bears_a_reading_out_the_likelier_it_is(
    text: str, reading: str
) -> None:
    chances = []
    for nats in (-20.0, -8.0, -2.0, 1.0):
        _, verdicts = decide(weighed(heard(text), {reading.lower(): nats}))
        chances.append(
            max(
                (v.score for v in verdicts if reading.lower().startswith(v.change.tokens[0])),
                default=0.0,
            )
        )
    assert chances == sorted(chances) and chances[-1] > chances[0]


def test_a_normal_that_may_have_been_abnormal_is_told_and_not_changed() -> None:
    transcript = heard("He has a normal posture of the left hand.", 0.8)
    result = correct(weighed(transcript, {"an abnormal": 0.4}))
    assert result.transcript.corrected == transcript.corrected
    (told,) = [c for c in result.corrections if c.became == "an abnormal"]
    assert not told.made and told.heard == "a normal" and "opposite" in told.reason
    quiet = correct(weighed(transcript, {"an abnormal": -9.0}))
    assert not [c for c in quiet.corrections if c.became == "an abnormal"]


def test_an_opposite_that_sounds_likelier_is_told_and_not_changed() -> None:
    """Abduction and adduction are a sound apart: common practice is to spell them out."""
    said = "Left hip abduction is four."
    result = correct(weighed(heard(said, 0.7), {"adduction": 2.0}))
    assert result.transcript.corrected == said
    (told,) = [c for c in result.corrections if c.became == "adduction"]
    assert not told.made and told.heard == "abduction"
    assert not correct(weighed(heard(said, 0.7), {"adduction": -2.0})).corrections


def test_a_word_that_was_heard_surely_is_not_doubted_for_its_opposite() -> None:
    assert Wording(2, 2, "adduction") not in asked("Left hip abduction is four.", 0.97)
    assert Wording(2, 2, "adduction") in asked("Left hip abduction is four.", 0.7)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.sampled_from(TALK.split()),
        min_size=1,
        max_size=14,
    )
)
def test_doubts_point_into_the_words_and_always_differ(words: list[str]) -> None:
    for first, last, text in asked(" ".join(words)):
        assert 0 <= first <= last < len(words)
        assert tokens_of(text) != [t for w in words[first : last + 1] for t in tokens_of(w)]
