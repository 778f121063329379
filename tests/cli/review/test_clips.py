"""Clips are the stretch that was asked for, to the sample, of the recording that is meant.

Held against the whole file as ``pipeline.audio`` decodes it, in formats that FFmpeg writes.
"""

from __future__ import annotations

import io
import wave

import av
import numpy as np
import pytest
from plessor.cli.review.clips import AROUND_S, MAX_CLIP_S, Recordings, cut_clip
from plessor.lexicon import InputError
from plessor.pipeline.audio import load_audio

FORMATS = {
    "visit.wav": ("pcm_s16le", 48_000),
    "visit.flac": ("flac", 44_100),
    "visit.opus": ("libopus", 48_000),
    "visit.mp3": ("libmp3lame", 16_000),
    "visit.m4a": ("aac", 44_100),
    "visit.aac": ("aac", 16_000),
}
SECONDS = 40


@pytest.fixture(scope="module")
def recordings(tmp_path_factory):
    """Noise that never repeats, so that a shift of a few samples would show."""
    folder = tmp_path_factory.mktemp("recordings")
    noise = np.random.default_rng(7).normal(size=SECONDS * 16_000)
    noise = np.convolve(noise, np.hanning(32), "same")  # as deep as a voice
    samples = (noise / np.abs(noise).max() * 20_000).astype(np.int16)
    for name, (codec, rate) in FORMATS.items():
        with av.open(str(folder / name), "w") as container:
            stream = container.add_stream(codec, rate=rate, layout="mono")
            resampler = av.AudioResampler(
                format=stream.codec_context.format, layout="mono", rate=rate
            )
            frame = av.AudioFrame.from_ndarray(samples.reshape(1, -1), "s16", "mono")
            frame.sample_rate = 16_000
            for piece in [*resampler.resample(frame), *resampler.resample(None)]:
                container.mux(stream.encode(piece))
            container.mux(stream.encode(None))
    return folder


def _samples(clip: bytes) -> np.ndarray:
    with wave.open(io.BytesIO(clip)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 16_000)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32_767


def _shift(clip: np.ndarray, whole: np.ndarray) -> int:
    """By how many samples ``clip`` lies later than ``whole``, where they are most alike."""
    size = len(clip) + len(whole)
    alike = np.fft.irfft(np.fft.rfft(clip, size).conj() * np.fft.rfft(whole, size), size)
    best = int(np.argmax(alike))
    return size - best if best > size // 2 else -best


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("start_s", [0.1, 3.21, 20.123, SECONDS - 1.5])
def test_a_clip_is_the_stretch_with_half_a_second_around(recordings, name, start_s) -> None:
    whole = load_audio(recordings / name).samples
    clip = _samples(cut_clip(recordings / name, start_s=start_s, end_s=start_s + 0.7))
    first = max(0, round((start_s - AROUND_S) * 16_000))
    assert len(clip) == pytest.approx(round((start_s + 1.2) * 16_000) - first, abs=1_100)
    expected = whole[first : first + len(clip)]
    assert abs(_shift(clip, expected)) <= 16  # a millisecond
    assert np.corrcoef(clip[: len(expected)], expected)[0, 1] > 0.95


def test_a_clip_at_the_end_stops_there(recordings) -> None:
    clip = _samples(cut_clip(recordings / "visit.wav", start_s=SECONDS - 0.4, end_s=SECONDS + 9))
    assert len(clip) == pytest.approx(0.9 * 16_000, abs=32)


def test_a_clip_is_never_longer_than_a_reviewer_waits(recordings, monkeypatch) -> None:
    monkeypatch.setattr("plessor.cli.review.clips.MAX_CLIP_S", 3.0)
    assert MAX_CLIP_S > 3
    clip = _samples(cut_clip(recordings / "visit.wav", start_s=1.0, end_s=30.0))
    assert len(clip) == 3 * 16_000


@pytest.mark.parametrize(
    ("start_s", "end_s", "said"),
    [
        (3.0, 1.0, "ends after it starts"),
        (-1.0, 1.0, "ends after it starts"),
        (float("nan"), 1.0, "ends after it starts"),
        (500.0, 501.0, "shorter than 500.0 s"),
    ],
)
def test_a_stretch_that_is_not_there_is_told(recordings, start_s, end_s, said) -> None:
    with pytest.raises(InputError, match=said):
        cut_clip(recordings / "visit.wav", start_s=start_s, end_s=end_s)


def test_what_is_no_recording_is_told(tmp_path) -> None:
    path = tmp_path / "visit.wav"
    path.write_text("these are words", encoding="utf-8")
    with pytest.raises(InputError, match=r"visit\.wav cannot be decoded"):
        cut_clip(path, start_s=0, end_s=1)


@pytest.mark.parametrize(
    "words",
    [
        "ffconcat version 1.0\nfile real.wav\n",
        "#EXTM3U\n#EXT-X-TARGETDURATION:40\n#EXTINF:40,\nreal.wav\n#EXT-X-ENDLIST\n",
    ],
)
def test_a_list_of_other_files_is_not_played(recordings, words) -> None:
    """FFmpeg plays such a list whatever its name, and its SHA-256 says nothing of the sound."""
    (recordings / "real.wav").write_bytes((recordings / "visit.wav").read_bytes())
    for name in ("list.wav", "list.m3u8"):
        (recordings / name).write_text(words, encoding="utf-8")
        with pytest.raises(InputError, match=rf"{name} (holds no sound|cannot be decoded)"):
            cut_clip(recordings / name, start_s=1, end_s=2)


def test_another_recording_under_the_same_name_is_not_played(tmp_path, sound_of) -> None:
    path = tmp_path / "visit.wav"
    path.write_bytes(b"one")
    audio = sound_of(path)
    recordings = Recordings()
    recordings.check(path, audio)
    path.write_bytes(b"another")
    with pytest.raises(InputError, match="is not the one that this record was made from"):
        recordings.check(path, audio)
    path.unlink()
    with pytest.raises(InputError, match="is not where it was"):
        recordings.check(path, audio)


def test_a_recording_is_summed_up_once(tmp_path, sound_of, monkeypatch) -> None:
    path = tmp_path / "visit.wav"
    path.write_bytes(b"one")
    audio = sound_of(path)
    recordings = Recordings()
    recordings.check(path, audio)
    monkeypatch.setattr("hashlib.file_digest", None)  # a second sum would fail
    recordings.check(path, audio)
