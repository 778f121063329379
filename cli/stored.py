"""Records that were written before, one after another."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ..lexicon.errors import InputError
from .faults import Faults
from .stdin import STANDARD_INPUT, standard_input

if TYPE_CHECKING:
    from ..pipeline.record import Record


def records(paths: list[Path], *, faults: Faults, quiet: bool) -> Iterator[Record]:
    """The records of all files that can be read; the faults of the others are told."""
    from ..pipeline.files import decode_records, read_records

    def read(path: Path) -> tuple[Record, ...]:
        if path == STANDARD_INPUT:
            return decode_records(standard_input(quiet=quiet), name="standard input")
        return read_records(path)

    for several in faults.each(paths, read, name=str):
        yield from several


def one_record(path: Path, *, quiet: bool) -> Record:
    """The record of a file that must hold exactly one; ``InputError`` when it does not."""
    from ..pipeline.files import decode_records, read_records

    if path == STANDARD_INPUT:
        found = decode_records(standard_input(quiet=quiet), name="standard input")
    else:
        found = read_records(path)
    if len(found) != 1:
        raise InputError(f"{path}: holds {len(found)} records; give a file with one.")
    return found[0]
