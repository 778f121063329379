"""A bar on standard error while a long recording is heard."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

#: Shorter recordings are done before a bar could be read.
LONG_S = 20.0


@contextmanager
def bar(name: str, *, duration_s: float, quiet: bool) -> Iterator[Callable[[float], None] | None]:
    """A function that takes the seconds heard so far, or None when no bar is wanted.

    There is a bar only for a person at a terminal and audio of ``LONG_S`` or more.
    """
    if quiet or duration_s < LONG_S or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TextColumn("{task.completed:.0f} of {task.total:.0f} s"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(name, total=duration_s)
        yield lambda done_s: progress.update(task, completed=done_s)
