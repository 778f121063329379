"""A voice over a telephone is found as surely as one in the room."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from plessor.pipeline.audio import load_audio
from plessor.pipeline.narrowband import for_detection
from plessor.pipeline.transcribe import load_recogniser, transcribe

SAMPLE = Path(__file__).resolve().parents[2] / "samples/normal-upper-limbs.opus"
#: The pass band of a telephone channel, in hertz: ITU-T Recommendation G.712.
TELEPHONE = (300.0, 3400.0)

Samples = npt.NDArray[np.float32]


def over_telephone(samples: Samples) -> Samples:
    spectrum = np.fft.rfft(samples)
    hertz = np.fft.rfftfreq(len(samples), 1 / 16_000)
    spectrum[(hertz < TELEPHONE[0]) | (hertz > TELEPHONE[1])] = 0
    return np.fft.irfft(spectrum, len(samples)).astype(np.float32)


def tones(*hertz: float) -> Samples:
    t = np.arange(16_000) / 16_000
    return sum(0.1 * np.sin(2 * np.pi * f * t) for f in hertz).astype(np.float32)


def level(samples: Samples, hertz: int) -> float:
    """The amplitude at a whole number of hertz, of one second of sound."""
    return float(2 * np.abs(np.fft.rfft(samples))[hertz] / len(samples))


def test_the_missing_fundamental_comes_back() -> None:
    """Harmonics of 200 Hz without it are heard at the pitch of 200 Hz (Schouten 1940)."""
    cut_off = tones(600, 800, 1000, 1200)
    assert level(cut_off, 200) < 1e-6
    assert level(for_detection(cut_off), 200) > 0.02
    assert level(for_detection(cut_off), 800) == pytest.approx(0.1, abs=0.01)


def test_a_sound_with_its_low_band_stays_as_it_is() -> None:
    whole = tones(200, 400, 600)
    assert for_detection(whole) is whole or np.array_equal(for_detection(whole), whole)


@given(arrays.arrays(np.float32, st.integers(0, 400), elements=st.floats(-1, 1, width=32)))
def test_any_sound_keeps_its_length_and_stays_finite(samples: Samples) -> None:
    made = for_detection(samples)
    assert made.dtype == np.float32 and len(made) == len(samples)
    assert np.isfinite(made).all()


@pytest.mark.slow
def test_a_recording_over_a_telephone_loses_no_stretch() -> None:
    recogniser = load_recogniser()
    sound = load_audio(SAMPLE)
    here = transcribe(sound, recogniser)
    there = transcribe(replace(sound, samples=over_telephone(sound.samples)), recogniser)
    assert len(there.words) > 0.9 * len(here.words)
    assert sum(len(d.text.split()) for d in there.dropped) == 0
