"""Sound files made here, by the standard library or by PyAV, read back whole or refused."""

from __future__ import annotations

import hashlib
import os
import wave
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from plessor.lexicon import InputError
from plessor.pipeline.audio import AudioOptions, Sound, load_audio

PITCH_HZ = 440.0
# Container, codec, rate of the recording in Hz.
FORMATS = {
    "a.wav": ("wav", "pcm_s16le", 16_000),
    "a.flac": ("flac", "flac", 44_100),
    "a.mp3": ("mp3", "libmp3lame", 44_100),
    "a.opus": ("ogg", "libopus", 48_000),
    "a.m4a": ("mp4", "aac", 44_100),
    "a.webm": ("webm", "libopus", 48_000),
    "a.aiff": ("aiff", "pcm_s16be", 22_050),
    "a.aac": ("adts", "aac", 44_100),
}


def tone(seconds: float, rate_hz: int) -> np.ndarray:
    return (np.sin(2 * np.pi * PITCH_HZ * np.arange(round(seconds * rate_hz)) / rate_hz)) * 8000


def record(
    folder: Path, name: str, *, seconds: float = 4.0, sound: bool = True, video: bool = False
) -> Path:
    container_format, codec, rate_hz = FORMATS.get(name, ("mp4", "aac", 44_100))
    with av.open(str(folder / name), "w", format=container_format) as container:
        pictures = container.add_stream("mpeg4", rate=10) if video else None
        stream = container.add_stream(codec, rate=rate_hz, layout="mono") if sound else None
        if pictures is not None:
            pictures.width = pictures.height = 64
            pictures.pix_fmt = "yuv420p"
            for number in range(round(seconds * 10)):
                picture = av.VideoFrame.from_ndarray(
                    np.full((64, 64, 3), number % 255, np.uint8), format="rgb24"
                )
                container.mux(pictures.encode(picture))
            container.mux(pictures.encode(None))
        if stream is not None:
            samples = tone(seconds, rate_hz).astype(np.int16)
            for start in range(0, len(samples), rate_hz // 2):
                frame = av.AudioFrame.from_ndarray(
                    samples[None, start : start + rate_hz // 2], format="s16", layout="mono"
                )
                frame.sample_rate, frame.pts = rate_hz, start
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
    return folder / name


def write_wav(path: Path, channels: list[np.ndarray], *, rate_hz: int) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(len(channels))
        file.setsampwidth(2)
        file.setframerate(rate_hz)
        file.writeframes(np.stack(channels, axis=1).astype("<i2").tobytes())
    return path


def strongest_hz(sound: Sound) -> float:
    middle = sound.samples[8000:-8000]
    return float(np.abs(np.fft.rfft(middle)).argmax() * 16_000 / len(middle))


@pytest.mark.parametrize("name", FORMATS)
def test_audio_reads_every_common_format(tmp_path: Path, name: str) -> None:
    sound = load_audio(record(tmp_path, name))
    assert sound.samples.dtype == np.float32 and sound.samples.ndim == 1
    assert sound.duration_s == len(sound.samples) / 16_000 == pytest.approx(4.0, abs=0.06)
    assert strongest_hz(sound) == pytest.approx(PITCH_HZ, abs=1)
    assert float(np.abs(sound.samples).max()) == pytest.approx(8000 / 32768, rel=0.15)
    assert sound.file == name
    assert sound.sha256 == hashlib.sha256((tmp_path / name).read_bytes()).hexdigest()


def test_audio_reads_the_sound_track_of_a_video(tmp_path: Path) -> None:
    sound = load_audio(record(tmp_path, "v.mp4", video=True))
    assert sound.duration_s == pytest.approx(4.0, abs=0.06)
    assert strongest_hz(sound) == pytest.approx(PITCH_HZ, abs=1)


def test_audio_mixes_channels_and_resamples(tmp_path: Path) -> None:
    loud = tone(2, 48_000)
    path = write_wav(tmp_path / "two.wav", [loud, loud * 0], rate_hz=48_000)
    sound = load_audio(path)
    assert len(sound.samples) == pytest.approx(32_000, abs=20)
    assert strongest_hz(sound) == pytest.approx(PITCH_HZ, abs=1)
    # Half of one channel, as the mean of both is.
    assert float(np.abs(sound.samples).max()) == pytest.approx(4000 / 32768, rel=0.05)


def test_audio_takes_silence_for_a_recording(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "quiet.wav", [np.zeros(16_000)], rate_hz=16_000)
    sound = load_audio(path)
    assert sound.duration_s == 1.0
    assert not sound.samples.any()


def test_audio_samples_cannot_be_changed(tmp_path: Path) -> None:
    sound = load_audio(record(tmp_path, "a.wav"))
    with pytest.raises(ValueError, match="read-only"):
        sound.samples[0] = 1.0


def nothing_there(folder: Path) -> Path:
    return folder / "gone.wav"


def a_folder(folder: Path) -> Path:
    return folder


def empty(folder: Path) -> Path:
    (folder / "a.wav").touch()
    return folder / "a.wav"


def text(folder: Path) -> Path:
    (folder / "a.wav").write_text("These are words, not sound. " * 200)
    return folder / "a.wav"


def noise_bytes(folder: Path) -> Path:
    (folder / "a.mp3").write_bytes(np.random.default_rng(0).bytes(50_000))
    return folder / "a.mp3"


def silent_film(folder: Path) -> Path:
    return record(folder, "v.mp4", video=True, sound=False)


def no_samples(folder: Path) -> Path:
    return write_wav(folder / "a.wav", [np.zeros(0)], rate_hz=16_000)


def a_pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (nothing_there, "there is no such file"),
        (a_folder, "this is a folder"),
        (empty, "is empty"),
        (text, "cannot be decoded"),
        (noise_bytes, "cannot be decoded"),
        (silent_film, "video without a sound track"),
        (no_samples, "holds no sound"),
        (a_pipe, "not a regular file"),
    ],
)
def test_audio_refuses_in_one_sentence(
    tmp_path: Path, make: Callable[[Path], Path], words: str
) -> None:
    path = make(tmp_path)
    with pytest.raises(InputError, match=words) as caught:
        load_audio(path)
    message = str(caught.value)
    assert message.startswith(f"{path}: ") and message.endswith(".") and "\n" not in message


def damage(path: Path, how: str) -> Path:
    content = bytearray(path.read_bytes())
    half, tenth = len(content) // 2, len(content) // 10
    if how == "cut off":
        del content[half + tenth :]
    else:
        content[half : half + tenth] = np.random.default_rng(1).bytes(tenth)
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("name", "how"),
    [
        *((name, "cut off") for name in ("a.wav", "a.flac", "a.mp3", "a.webm", "a.aiff")),
        *((name, "scratched") for name in ("a.flac", "a.mp3", "a.opus", "a.m4a", "a.webm")),
    ],
)
def test_audio_names_the_second_of_damage(tmp_path: Path, name: str, how: str) -> None:
    path = damage(record(tmp_path, name, seconds=10), how)
    with pytest.raises(InputError, match=r"is damaged at second \d") as caught:
        load_audio(path)
    second = float(str(caught.value).split("second ")[1].split()[0])
    assert 4.0 <= second <= 6.5  # bytes 50 to 60 % of ten seconds


def test_audio_cut_before_its_index_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cut off"):
        load_audio(damage(record(tmp_path, "a.m4a"), "cut off"))


def test_audio_refuses_sound_that_is_no_number(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with av.open(str(path), "w", format="wav") as container:
        stream = container.add_stream("pcm_f32le", rate=16_000)
        stream.layout = "mono"
        samples = np.zeros((1, 32_000), np.float32)
        samples[0, 16_000:] = np.nan
        frame = av.AudioFrame.from_ndarray(samples, format="flt", layout="mono")
        frame.sample_rate = 16_000
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    with pytest.raises(InputError, match="is damaged"):
        load_audio(path)


def test_audio_takes_a_wav_header_that_was_written_while_streaming(tmp_path: Path) -> None:
    path = record(tmp_path, "a.wav")
    content = bytearray(path.read_bytes())
    data = content.index(b"data")
    content[data + 4 : data + 8] = b"\xff\xff\xff\xff"
    path.write_bytes(content)
    assert load_audio(path).duration_s == pytest.approx(4.0, abs=0.01)


@pytest.mark.parametrize("name", ["a.wav", "a.aac"])  # the second states no length
def test_audio_longer_than_allowed_is_refused(tmp_path: Path, name: str) -> None:
    path = record(tmp_path, name)
    assert load_audio(path, options=AudioOptions(max_hours=5 / 3600)).duration_s > 3.9
    with pytest.raises(InputError, match=r"longer than 0\.00083.* hours; split it"):
        load_audio(path, options=AudioOptions(max_hours=3 / 3600))


def test_audio_of_ten_hours_is_refused_before_it_is_decoded(tmp_path: Path) -> None:
    path = tmp_path / "long.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(1)
        file.setframerate(8_000)
        file.writeframes(b"\x80" * 8_000)
    size = 10 * 3600 * 8_000
    content = bytearray(path.read_bytes())
    data = content.index(b"data")
    content[data + 4 : data + 8] = size.to_bytes(4, "little")
    path.write_bytes(content)
    os.truncate(path, data + 8 + size)  # sparse: no disk is used
    with pytest.raises(InputError, match="longer than 6 hours; split it"):
        load_audio(path)


def test_a_list_of_other_files_is_not_heard(tmp_path: Path) -> None:
    """FFmpeg plays such a list whatever its name, and its SHA-256 says nothing of the sound."""
    with wave.open(str(tmp_path / "real.wav"), "wb") as sound:
        sound.setparams((1, 2, 16_000, 0, "NONE", "not compressed"))
        sound.writeframes(bytes(64_000))
    for name in ("list.wav", "list.txt"):
        (tmp_path / name).write_text("ffconcat version 1.0\nfile real.wav\n")
        with pytest.raises(InputError, match="only the names of other files"):
            load_audio(tmp_path / name)
