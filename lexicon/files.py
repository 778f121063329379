"""Reads the data files that are installed with the package."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

_DATA = resources.files(__package__) / "data"


def read_text(name: str) -> str:
    """The text of a data file; ``name`` is its path below ``data/``."""
    return _DATA.joinpath(name).read_text(encoding="utf-8")


def read_rows(name: str) -> Iterator[tuple[int, Mapping[str, str]]]:
    """The rows of a CSV data file with their line numbers (the header is line 1)."""
    reader = csv.DictReader(io.StringIO(read_text(name)))
    for row in reader:
        yield reader.line_num, row


def reference_rows(table: str) -> list[Mapping[str, str]]:
    """The rows of a reference table."""
    return [row for _, row in read_rows(f"reference/{table}.csv")]


def listed(cell: str, parted_by: str = ";") -> tuple[str, ...]:
    """The parts of a cell that holds a list."""
    return tuple(part for part in (p.strip() for p in cell.split(parted_by)) if part)


def names(folder: str, ending: str) -> tuple[str, ...]:
    """The data files of ``folder`` that end so, in alphabetical order."""
    found = (f.name for f in _DATA.joinpath(folder).iterdir() if f.name.endswith(ending))
    return tuple(f"{folder}/{name}" for name in sorted(found))


@cache
def version() -> str:
    """A short fingerprint (12 hex digits of SHA-256) of all data files together."""
    total = hashlib.sha256()
    for path, content in _walk(_DATA, ""):
        total.update(path.encode() + b"\0" + content + b"\0")
    return total.hexdigest()[:12]


def _walk(folder: Traversable, prefix: str) -> Iterator[tuple[str, bytes]]:
    for item in sorted(folder.iterdir(), key=lambda f: f.name):
        path = f"{prefix}{item.name}"
        if item.is_dir():
            yield from _walk(item, f"{path}/")
        else:
            yield path, item.read_bytes()
