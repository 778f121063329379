"""Whatever is handed in: one sentence, no traceback, the right exit code, nothing left behind."""

from __future__ import annotations

import json
import wave
from pathlib import Path

import av
import numpy as np
import pytest


def _folder(path: Path) -> None:
    path.mkdir()


def _text(path: Path) -> None:
    path.write_text("Left wrist extension three.\n" * 100)


def _nothing(path: Path) -> None:
    path.write_bytes(b"")


def _noise(path: Path) -> None:
    path.write_bytes(np.random.default_rng(1).bytes(20_000))


def _video_without_sound(path: Path) -> None:
    with av.open(str(path), "w", format="mp4") as container:
        stream = container.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 32
        for _ in range(10):
            picture = np.zeros((32, 32, 3), dtype=np.uint8)
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode(None))


@pytest.mark.parametrize(
    ("make", "name", "expected"),
    [
        (lambda path: None, "none.wav", "there is no such file"),
        (_folder, "folder.wav", "is a folder"),
        (_nothing, "empty.wav", "is empty (0 bytes)"),
        (_text, "text.wav", "cannot be decoded; it is not a sound file"),
        (_text, "text.txt", "cannot be decoded; it is not a sound file"),
        (_noise, "noise.mp3", "cannot be decoded; it is not a sound file"),
        (_video_without_sound, "film.mp4", "is a video without a sound track"),
    ],
)
def test_hear_tells_what_is_wrong_with_a_file(plessor, tmp_path, make, name, expected) -> None:
    make(tmp_path / name)
    _refused(plessor, "hear", tmp_path / name, expected)


def test_hear_tells_audio_without_a_sample(plessor, tmp_path) -> None:
    with wave.open(str(tmp_path / "empty.wav"), "wb") as sound:
        sound.setparams((1, 2, 16_000, 0, "NONE", ""))
    _refused(plessor, "hear", tmp_path / "empty.wav", "holds no sound")


def test_hear_tells_a_recording_that_broke_off(plessor, write_sound) -> None:
    path = write_sound("cut.flac", seconds=4)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    _refused(plessor, "hear", path, "is damaged at second")


def test_hear_tells_ten_hours_from_the_head_of_the_file(plessor, write_sound) -> None:
    """STREAMINFO of FLAC holds the number of samples in 36 bits (RFC 9639, section 8.2)."""
    path = write_sound("long.flac")
    content = bytearray(path.read_bytes())
    place = content.index(b"fLaC") + 8 + 13
    samples = 10 * 3600 * 16_000
    content[place] = content[place] & 0xF0 | samples >> 32
    content[place + 1 : place + 5] = (samples & 0xFFFFFFFF).to_bytes(4, "big")
    path.write_bytes(content)
    _refused(plessor, "hear", path, "is longer than 6 hours; split it")


def test_hear_tells_silence(plessor, recogniser, write_sound) -> None:
    recogniser.probabilities = np.zeros(94, dtype=np.float32)
    path = write_sound("silence.wav", seconds=3, level=0)
    _refused(plessor, "hear", path, "silence.wav: no speech was found")


@pytest.mark.slow
def test_hear_tells_silence_with_the_real_recogniser(plessor, write_sound) -> None:
    path = write_sound("silence.flac", seconds=40, level=0)
    _refused(plessor, "hear", path, "silence.flac: no speech was found")


@pytest.mark.parametrize("many", [1, 3])
def test_hear_tells_a_model_folder_without_a_model_once(
    plessor, write_sound, tmp_path, many
) -> None:
    (tmp_path / "model").mkdir()
    ran = plessor("hear", *[write_sound("a.wav")] * many, "--model", tmp_path / "model")
    assert (ran.code, ran.out) == (1, "")
    assert "holds no Whisper model" in ran.sentence


def test_hear_tells_a_model_that_there_is_not(plessor, write_sound) -> None:
    ran = plessor("hear", write_sound("a.wav"), "--model", "bsae")
    assert (ran.code, ran.out) == (1, "")
    assert "“base”" in ran.sentence


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (None, "there is no such file"),
        (b"", "holds no words"),
        (b"\n \n", "holds no words"),
        ("Reflexe sind lebhaft, Gangstörung".encode("latin-1"), "is not UTF-8 text (at byte 29)"),
        (b"\0\0\0\x18ftypmp42", "it holds zero bytes"),
    ],
)
def test_read_tells_what_is_wrong_with_a_text(plessor, tmp_path, content, expected) -> None:
    path = tmp_path / "case.txt"
    if content is not None:
        path.write_bytes(content)
    _refused(plessor, "read", path, expected)
    if content is not None:
        ran = plessor("read", stdin=content)
        assert (ran.code, ran.out) == (1, "")
        assert expected in ran.sentence


def test_read_tells_a_folder(plessor, tmp_path) -> None:
    (tmp_path / "folder").mkdir()
    _refused(plessor, "read", tmp_path / "folder", "is a folder; name the files in it")


@pytest.mark.parametrize("command", ["interpret", "export"])
@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "is empty"),
        (b"power 3/5", "not JSON"),
        (b"\xff\xfe", "is not UTF-8"),
        (json.dumps({"findings": [{"modality": "pwer"}]}).encode(), "nearest valid one is “power”"),
    ],
)
def test_records_that_cannot_be_used(plessor, tmp_path, command, content, expected) -> None:
    path = tmp_path / "case.json"
    path.write_bytes(content)
    _refused(plessor, command, path, expected)


@pytest.mark.parametrize("command", ["hear", "read", "interpret", "export"])
def test_a_result_that_cannot_be_written_is_told_before_the_work(
    plessor, tmp_path, command
) -> None:
    (tmp_path / "source").write_text("Left wrist extension three.")
    for target in (tmp_path, tmp_path / "none" / "out.txt", tmp_path / "source"):
        ran = plessor(command, tmp_path / "source", "--out", target)
        assert (ran.code, ran.out) == (1, "")
        assert str(target) in ran.sentence
    assert [p.name for p in tmp_path.iterdir()] == ["source"]


def _refused(plessor, command: str, path: Path, expected: str) -> None:
    """One sentence, exit code 1, and no partial output: on standard output or in a file."""
    before = sorted(p.name for p in path.parent.iterdir())
    for out in ([], ["--out", path.parent / "out.json"]):
        ran = plessor(command, path, "--format", "json", *out)
        assert ran.code == 1
        assert ran.out == ""
        assert expected in ran.sentence
        assert sorted(p.name for p in path.parent.iterdir()) == before
