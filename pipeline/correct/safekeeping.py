"""Changes a text file that several programs may change at once, so that nothing in it is lost.

A writer holds a lock from reading to writing, so that no other's lines are overwritten, and
the new text takes the file's name in one step, so that a reader, or a power cut, finds the old
text or the new one. Bytes that are not changed stay as they were, line ends too.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from ...lexicon import InputError

_PAUSE_S = 0.02
_TRIES = 500  # ten seconds, when each change takes some milliseconds


def change_text(place: Path, change: Callable[[str], str]) -> None:
    """Replace the text of ``place`` by what ``change`` makes of it ("" when there is no file).

    Folders on the way are made. A new file can be read by its owner alone, an old one keeps
    its permissions. What ``change`` raises leaves everything as it was. Raises ``InputError``
    when the file is not UTF-8, cannot be used, or stays locked by another program.
    """
    try:
        target = place.resolve()
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target):
            old = read_text(place)
            new = change(old)
            if new != old:
                _replace(target, new)
    except OSError as error:
        raise _unusable(place, error) from error


def read_text(place: Path) -> str:
    """The text of ``place`` with its line ends, "" when there is no file.

    Raises ``InputError`` for a folder, and for what cannot be read or is not UTF-8.
    """
    if place.is_dir():
        raise InputError(f"{place}: this is a folder; name a file.")
    try:
        return place.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except UnicodeDecodeError as error:
        raise InputError(f"{place} is not UTF-8 text; save it as UTF-8.") from error
    except OSError as error:
        raise _unusable(place, error) from error


def _replace(target: Path, text: str) -> None:
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, part)
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def _alone(target: Path) -> Iterator[None]:
    """Hold off every other writer of ``target``, by a lock that ends with this process."""
    lock = target.with_name(f".{target.name}.lock")
    for _ in range(_TRIES):
        file = lock.open("ab")
        # The holder before may have removed the file between our opening and our locking it.
        if _locked(file) and _is_at(file, lock):
            break
        file.close()
        time.sleep(_PAUSE_S)
    else:
        raise InputError(f"{target}: another program is changing it; try again.")
    try:
        yield
    finally:
        if sys.platform != "win32":  # where an open file cannot be removed
            lock.unlink(missing_ok=True)
        file.close()


def _is_at(file: IO[bytes], place: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(file.fileno()), place.stat())
    except FileNotFoundError:
        return False


if sys.platform == "win32":
    import msvcrt

    def _locked(file: IO[bytes]) -> bool:
        try:
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def _locked(file: IO[bytes]) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


def _unusable(place: Path, error: OSError) -> InputError:
    return InputError(f"{place}: cannot be used ({error.strerror or type(error).__name__}).")
