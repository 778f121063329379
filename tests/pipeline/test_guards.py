"""Each guard on the words that it is for, and on real speech that looks a little like them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plessor.pipeline.guards import (
    Scene,
    guard,
    looped,
    outside,
    recited,
    silent,
    unlikely,
    wordless,
)
from plessor.pipeline.hearing import FRAME_S, HeardSegment, HeardWord

# 150 words a minute: lectures have about 140, conversation 210 (Tauroza and Allison 1990,
# Applied Linguistics 11:90, from memory).
PACE = 2.5


def spoken(
    text: str,
    *,
    start_s: float = 0.0,
    pace: float = PACE,
    logprob: float = -0.3,
    no_speech: float = 0.1,
) -> HeardSegment:
    words = tuple(
        HeardWord(w, start_s + i / pace, start_s + (i + 1) / pace, 0.9)
        for i, w in enumerate(text.split())
    )
    return HeardSegment(words, logprob=logprob, no_speech=no_speech)


def scene(
    *segments: HeardSegment,
    talk: Sequence[tuple[float, float]] = ((0, 60),),
    duration_s: float = 60,
    hotwords: tuple[str, ...] = (),
    prompt: str | None = None,
) -> Scene:
    """A recording in which somebody talks in the stretches ``talk``, in seconds."""
    speech = np.full(round(duration_s / FRAME_S), 0.02, np.float32)
    for start_s, end_s in talk:
        speech[round(start_s / FRAME_S) : round(end_s / FRAME_S)] = 0.99
    return Scene(
        segments=segments, speech=speech, duration_s=duration_s, hotwords=hotwords, prompt=prompt
    )


def left(given: Scene) -> str:
    return " ".join(w.text for w in guard(given)[0])


def test_guards_leave_plain_speech_alone() -> None:
    text = "Tone is normal in both arms. Power is five out of five. The ankle jerks are brisk."
    assert left(scene(spoken(text))) == text
    assert guard(scene(spoken(text)))[1] == ()


@pytest.mark.parametrize(
    "text",
    [
        # House, as examiners list grades down the roots: one number a root, C5 to T1 and L2 to S1.
        "five five five five five five five five five five",
        "Deltoid five out of five, five out of five, five out of five, five out of five.",
        "normal, normal, normal, and normal.",
        "No, no, no, leave that.",
        "Up and down, up and down, up and down, very good.",
    ],
)
def test_guards_leave_spoken_repeats_alone(text: str) -> None:
    assert list(looped(scene(spoken(text)))) == []


def test_guards_cut_a_loop_at_impossible_pace() -> None:
    heard = scene(
        spoken("That is all for today. See you next time,"),
        spoken("see you next time, " * 40 + "see you", start_s=4.0, pace=120),
    )
    kept, dropped = guard(heard)
    assert " ".join(w.text for w in kept) == "That is all for today. See you next time,"
    (only,) = dropped
    assert only.reason == "repeated in a loop"
    assert len(only.text.split()) == 4 * 40 + 2


def test_guards_cut_a_loop_that_is_stretched_over_the_recording() -> None:
    said = "I don't know how to do it, " * 16
    assert left(scene(spoken(said, pace=3.0))) == "I don't know how to do it,"


def test_guards_drop_what_stands_after_the_last_speech() -> None:
    heard = scene(
        spoken("Gait is normal."), spoken("Thank you for watching!", start_s=20.0), talk=[(0, 1.3)]
    )
    kept, dropped = guard(heard)
    assert " ".join(w.text for w in kept) == "Gait is normal."
    assert [(d.text, d.reason) for d in dropped] == [("Thank you for watching!", "no speech there")]
    assert (dropped[0].start_s, dropped[0].end_s) == (20.0, 21.6)


def test_guards_allow_word_times_to_be_half_a_second_off() -> None:
    # Word times come from attention and slip by some tenths (SYSTRAN/faster-whisper #125).
    heard = scene(spoken("Gait is normal.", start_s=1.6), talk=[(0, 1.3)])
    assert list(silent(heard)) == []


@pytest.mark.parametrize(
    ("logprob", "no_speech", "drops"),
    [
        (-0.39, 0.80, False),  # the highest measured over speech
        (-0.95, 0.13, False),  # muttered, but speech
        (-0.66, 0.95, True),  # "You", written over silence
        (-1.08, 0.70, True),
        (-0.18, 0.94, True),  # a fluent sentence over noise: confidence alone is no sign
    ],
)
def test_guards_weigh_the_recognisers_own_doubt(
    logprob: float, no_speech: float, drops: bool
) -> None:
    heard = scene(spoken("You", logprob=logprob, no_speech=no_speech))
    assert bool(list(unlikely(heard))) is drops


def test_guards_drop_marks_without_a_word() -> None:
    assert left(scene(spoken("Tone . is normal ...", start_s=1))) == "Tone is normal"
    assert len(list(wordless(scene(spoken(". . 5 +"))))) == 3


def test_guards_drop_words_after_the_end() -> None:
    heard = scene(spoken("Gait is normal"), spoken("you", start_s=60.5))
    assert [s[:2] for s in outside(heard)] == [(3, 3)]


LIST = ("dysdiadochokinesia", "plantars", "gait", "hyperreflexia", "brachioradialis", "clonus")


@pytest.mark.parametrize(
    ("text", "drops"),
    [
        ("Dysdiadochokinesia, plantars, gait, hyperreflexia, brachioradialis, clonus.", True),
        ("Plantars, gait, hyperreflexia, brachioradialis", True),
        ("Plantars, gait, and hyperreflexia are noted.", False),
        ("Gait, plantars, clonus, brachioradialis, hyperreflexia.", False),  # another order
    ],
)
def test_guards_drop_the_hotwords_read_back(text: str, drops: bool) -> None:
    heard = scene(spoken(text), hotwords=LIST)
    assert left(heard) == ("" if drops else text)
    assert not list(recited(scene(spoken(text))))


def test_guards_drop_the_prompt_read_back() -> None:
    prompt = "A child is examined. The examiner dictates tone, power and reflexes."
    text = "Tone is normal. The examiner dictates tone, power and reflexes. A child is examined."
    kept = left(scene(spoken(text), prompt=prompt))
    assert kept == "Tone is normal. A child is examined."  # four words may well be said


WORDS = st.sampled_from(["five", "Normal.", "tone,", "you", ".", "no", "see", "C6"])


@given(
    texts=st.lists(st.lists(WORDS, max_size=30), max_size=4),
    paces=st.lists(st.floats(0.5, 200), min_size=4, max_size=4),
    no_speech=st.floats(0, 1),
    talk_s=st.floats(0, 60),
)
def test_guards_keep_or_name_every_word(
    texts: list[list[str]], paces: list[float], no_speech: float, talk_s: float
) -> None:
    heard = scene(
        *(
            spoken(" ".join(t), start_s=10 * i, pace=p, no_speech=no_speech)
            for i, (t, p) in enumerate(zip(texts, paces, strict=False))
        ),
        talk=[(0, talk_s)],
    )
    kept, dropped = guard(heard)
    told = [w.text for w in kept] + [w for d in dropped for w in d.text.split()]
    assert sorted(told) == sorted(w for t in texts for w in t)
    places = [heard.words.index(w) for w in kept]
    assert places == sorted(places)
