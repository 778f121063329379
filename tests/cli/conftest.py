"""Runs the program in this process, as the installed command runs it."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from plessor.cli.main import main


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
def plessor(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Ran]:
    monkeypatch.delenv("PLESSOR_DEBUG", raising=False)

    def run(*arguments: object, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        capsys.readouterr()
        code = main([str(a) for a in arguments])
        captured = capsys.readouterr()
        return Ran(code, captured.out, captured.err)

    return run
