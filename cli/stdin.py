"""Standard input as one more input, named ``-``."""

from __future__ import annotations

import sys
from pathlib import Path

import typer

STANDARD_INPUT = Path("-")


def standard_input(*, quiet: bool) -> bytes:
    """All of standard input; a person at a terminal is told how to end it."""
    if sys.stdin.isatty() and not quiet:
        typer.echo("Type or paste here; end with Ctrl-D on a line of its own.", err=True)
    return sys.stdin.buffer.read()
