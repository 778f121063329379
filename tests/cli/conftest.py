"""Runs the program in this process, as the installed command runs it."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
import pytest
from plessor.cli.main import main
from plessor.pipeline import transcribe
from plessor.pipeline.correct.personal import FILE
from plessor.pipeline.hearing import FakeRecogniser, HeardSegment, HeardWord


@dataclass(frozen=True)
class Ran:
    """What one command line came to."""

    code: int
    out: str
    err: str

    @property
    def sentence(self) -> str:
        """Standard error, which must be one line and no traceback."""
        lines = self.err.splitlines()
        assert len(lines) == 1, self.err
        assert "Traceback" not in self.err
        return lines[0]


@pytest.fixture
def personal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the personal lexicon stands in this test; it is not there yet."""
    monkeypatch.setenv("PLESSOR_CONFIG", str(tmp_path / "config"))
    return tmp_path / "config" / FILE


@pytest.fixture
def plessor(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, personal: Path
) -> Callable[..., Ran]:
    monkeypatch.delenv("PLESSOR_DEBUG", raising=False)

    def run(*arguments: object, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        capsys.readouterr()
        code = main([str(a) for a in arguments])
        captured = capsys.readouterr()
        return Ran(code, captured.out, captured.err)

    return run


@pytest.fixture
def write_sound(tmp_path: Path) -> Callable[..., Path]:
    """Writes a file of ``seconds`` of a tone, or of silence, at 16 kHz; the ending decides how."""

    def write(name: str, *, seconds: float = 1.0, level: float = 0.3) -> Path:
        path = tmp_path / name
        time = np.arange(int(seconds * 16_000)) / 16_000
        samples = (level * 32_767 * np.sin(2 * np.pi * 220 * time)).astype(np.int16)
        with av.open(str(path), "w") as container:
            stream = container.add_stream(
                "pcm_s16le" if name.endswith(".wav") else "flac", rate=16_000, layout="mono"
            )
            for start in range(0, len(samples), 4_096):
                block = samples[start : start + 4_096].reshape(1, -1)
                frame = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
                frame.sample_rate = 16_000
                frame.pts = start
                container.mux(stream.encode(frame))
            container.mux(stream.encode(None))
        return path

    return write


@pytest.fixture
def recogniser(monkeypatch: pytest.MonkeyPatch) -> FakeRecogniser:
    """Takes the place of every model, and hears nothing until it is given a script."""
    fake = FakeRecogniser()
    monkeypatch.setattr(transcribe, "load_recogniser", lambda *_, **__: fake)
    return fake


@pytest.fixture
def said() -> Callable[[str], list[HeardSegment]]:
    """What a recogniser gives for a text: one segment, a word every half second."""

    def segments(text: str) -> list[HeardSegment]:
        words = [HeardWord(w, i / 2, i / 2 + 0.4, 0.9) for i, w in enumerate(text.split())]
        return [HeardSegment(tuple(words))]

    return segments
