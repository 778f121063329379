"""Where results go: standard output, or a file that appears whole or not at all."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

import typer

from ..lexicon.errors import InputError
from ..pipeline.formats import Document


@contextmanager
def output(
    path: Path | None, *, inputs: Iterable[Path] = (), quiet: bool = False
) -> Iterator[Callable[[Document], None]]:
    """A function that writes text or bytes to ``path``, or to standard output when it is None.

    The file takes its name only at the end, when something was written and nothing failed on
    the way; until then the text lies in a temporary file beside it, which is always removed.
    Like the temporary file it can be read by its owner alone. ``InputError`` when it cannot
    be written, or when it is one of the ``inputs``.
    """
    if path is None:
        yield _to_standard_output
        return
    target = path.resolve()
    if any(target == i.resolve() for i in inputs):
        raise InputError(f"{path}: is an input too; name another file to write to.")
    if target.is_dir():
        raise InputError(f"{path}: this is a folder; name a file in it.")
    with _translated(path):
        if target.exists() and not target.is_file():  # a device or a pipe: nothing to replace
            with target.open("wb") as device:
                yield _to_file(device, path)
            return
        handle, name = tempfile.mkstemp(
            dir=target.parent, prefix=f".{target.name}.", suffix=".part"
        )
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            yield _to_file(file, path)
            with _translated(path):
                size = file.tell()
        if size:
            with _translated(path):
                part.replace(target)
            if not quiet:
                typer.echo(f"Written to {path}.", err=True)
    finally:
        part.unlink(missing_ok=True)


def _to_standard_output(document: Document) -> None:
    if isinstance(document, bytes):
        sys.stdout.flush()
        sys.stdout.buffer.write(document)
    else:
        sys.stdout.write(document)
    sys.stdout.flush()


def _to_file(file: BinaryIO, path: Path) -> Callable[[Document], None]:
    def write(document: Document) -> None:
        with _translated(path):
            file.write(document if isinstance(document, bytes) else document.encode())
            file.flush()

    return write


@contextmanager
def _translated(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(f"{path}: cannot be written ({reason}).") from error
