"""A bar on standard error while a long recording is heard."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..pipeline.transcribe import Progress

#: Shorter recordings are done before a bar could be read.
LONG_S = 20.0


@contextmanager
def bar(name: str, *, duration_s: float, quiet: bool) -> Iterator[Progress | None]:
    """A function that takes the seconds done and those there are, or None for no bar.

    There is a bar only for a person at a terminal and audio of ``LONG_S`` or more.
    """
    if quiet or duration_s < LONG_S or not sys.stderr.isatty():
        yield None
        return
    from rich import progress as rich_progress
    from rich.console import Console

    columns = (
        rich_progress.TextColumn("{task.description}", markup=False),
        rich_progress.BarColumn(),
        rich_progress.TextColumn("{task.completed:.0f} of {task.total:.0f} s"),
        rich_progress.TimeRemainingColumn(),
    )
    console = Console(stderr=True)
    with rich_progress.Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task(name, total=duration_s)
        yield lambda done_s, total_s: progress.update(task, completed=done_s, total=total_s)
