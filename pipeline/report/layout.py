"""Lines of plain text: wrapped paragraphs, and rows of a left cell and a right cell.

Everything stays within ``WIDTH`` columns, so that it can be pasted anywhere. Control
characters never reach a terminal: a record may come from anywhere.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from itertools import zip_longest

WIDTH = 100
_LABEL = 42
_CELL = (WIDTH - _LABEL) // 2


def plain(text: str) -> str:
    """``text`` on one line, without control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def heading(text: str) -> list[str]:
    """A blank line, and ``text`` in capitals."""
    return ["", plain(text).upper()]


def paragraph(text: str, *, indent: str = "  ", bullet: str = "") -> list[str]:
    """``text`` wrapped; ``bullet`` opens the first line and the others line up with its text."""
    return textwrap.wrap(
        plain(text),
        WIDTH,
        initial_indent=indent + bullet,
        subsequent_indent=indent + " " * len(bullet),
        break_on_hyphens=False,
    )


def row(label: str, left: str, right: str) -> list[str]:
    """A label and two cells side by side, each wrapped in its own column."""
    columns = (
        _wrapped(label, _LABEL - 2, indent="  "),
        _wrapped(left, _CELL - 2),
        _wrapped(right, _CELL - 2),
    )
    return list(_side_by_side(columns))


def wide_row(label: str, text: str) -> list[str]:
    """A label and, right after it, what has no left and right.

    It keeps out of the columns, since under the head of a side it would be read as of that side.
    """
    return _wrapped(f"{label}: {text}", WIDTH, indent="  ")


def _wrapped(text: str, width: int, *, indent: str = "") -> list[str]:
    return textwrap.wrap(
        plain(text),
        width,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_on_hyphens=False,
    )


def _side_by_side(columns: tuple[list[str], ...]) -> Iterator[str]:
    for parts in zip_longest(*columns, fillvalue=""):
        label, *cells = parts
        yield (label.ljust(_LABEL) + "".join(c.ljust(_CELL) for c in cells)).rstrip()
