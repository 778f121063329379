"""Windows: every moment of speech is heard once, in a stretch that the recogniser can take."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from plessor.pipeline.hearing import FRAME, FRAME_S, SpeechOptions
from plessor.pipeline.windows import windows

OPTIONS = SpeechOptions()


def speech(*stretches: tuple[float, float]) -> np.ndarray:
    """Probabilities of speech that hold 1 from and to these seconds, of 60 s."""
    found = np.zeros(round(60 / FRAME_S), np.float32)
    for start_s, end_s in stretches:
        found[round(start_s / FRAME_S) : round(end_s / FRAME_S)] = 1.0
    return found


def cut(found: np.ndarray, options: SpeechOptions = OPTIONS) -> list[tuple[float, float]]:
    """The windows in seconds."""
    made = windows(found, len(found) * FRAME, options=options)
    return [(w.start / 16_000, w.end / 16_000) for w in made]


def test_silence_has_no_window() -> None:
    assert cut(speech()) == []


def test_a_stretch_is_one_window_with_padding() -> None:
    ((start_s, end_s),) = cut(speech((10, 14)))
    assert abs(start_s - 9.6) < 0.05 and abs(end_s - 14.4) < 0.05


def test_a_long_pause_parts_two_windows_and_a_short_one_does_not() -> None:
    assert len(cut(speech((1, 5), (9, 12)))) == 2
    assert len(cut(speech((1, 5), (6, 12)))) == 1


def test_long_speech_is_cut_in_its_longest_pause() -> None:
    first, second = cut(speech((0, 15), (15.2, 20), (20.8, 40)))
    assert abs(first[1] - 20.4) < 0.5 and abs(second[0] - 20.4) < 0.5


@given(st.lists(st.floats(0, 1, width=32), max_size=3_000))
def test_every_moment_of_speech_lies_in_just_one_window(probabilities: list[float]) -> None:
    found = np.array(probabilities, np.float32)
    made = windows(found, len(found) * FRAME, options=OPTIONS)
    heard = np.zeros(len(found) * FRAME, int)
    for window in made:
        heard[window.start : window.end] += 1
        assert window.start < window.end
        assert window.end - window.start <= (OPTIONS.window_s + 2 * OPTIONS.pad_s + 0.1) * 16_000
    assert heard.max(initial=0) <= 1
    spoken = np.repeat(found >= OPTIONS.threshold, FRAME)
    assert (heard[spoken] == 1).all()
