"""What a failure looks like from outside: one sentence on standard error and one number.

The errors that Plessor raises on purpose carry both. Anything else is a bug of ours, told by
its type and its place in our code only, because its text may hold a patient's words; with
``PLESSOR_DEBUG=1`` the person at the keyboard sees all of it.
"""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

import typer

from ..lexicon.errors import InputError, InternalError, PlessorError

DEBUG_VARIABLE = "PLESSOR_DEBUG"

_Input = TypeVar("_Input")
_Output = TypeVar("_Output")


def say(error: Exception, *, about: str = "") -> int:
    """Print ``error`` on standard error and return its exit code.

    ``about`` names the input at fault, when the error is unexpected and cannot say so itself.
    """
    if os.environ.get(DEBUG_VARIABLE, "") not in ("", "0"):
        traceback.print_exception(error)
    if isinstance(error, PlessorError):
        typer.echo(f"plessor: {error}", err=True)
        return error.exit_code
    prefix = f"{about}: " if about else ""
    typer.echo(
        f"plessor: {prefix}this is a bug in Plessor ({place_of(error)}); "
        f"{DEBUG_VARIABLE}=1 shows the traceback.",
        err=True,
    )
    return InternalError.exit_code


def place_of(error: Exception) -> str:
    """The error's type, and the innermost line of ours that it passed."""
    place = ""
    for frame, line in traceback.walk_tb(error.__traceback__):
        module = str(frame.f_globals.get("__name__", ""))
        if module.startswith("plessor."):
            place = f" at {module}:{line}"
    return type(error).__name__ + place


class Faults:
    """The failures among many inputs: the others are still worked on, the first gives the code."""

    def __init__(self) -> None:
        self.exit_code = 0

    def each(
        self,
        inputs: Iterable[_Input],
        work: Callable[[_Input], _Output],
        *,
        name: Callable[[_Input], str],
    ) -> Iterator[_Output]:
        """What ``work`` makes of each input; one that fails is told and left out.

        ``name`` gives the input's name for messages. What concerns every input alike
        (something missing on this machine, faulty lexicon data) ends the run instead.
        """
        for one in inputs:
            try:
                made = work(one)
            except PlessorError as error:
                if not isinstance(error, InputError):
                    raise
                self._count(say(error))
            except Exception as error:
                self._count(say(error, about=name(one)))
            else:
                yield made

    def _count(self, code: int) -> None:
        self.exit_code = self.exit_code or code

    def end(self) -> None:
        """End the command with the exit code of the first failure."""
        if self.exit_code:
            raise typer.Exit(self.exit_code)
