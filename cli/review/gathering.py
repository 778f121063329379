"""What the command line names becomes records in the store, each with where its recording is.

A folder stands for every record below it. The same file given again is the record that is
there already, with all that was done to it since. A recording is looked for by its name alone,
beside its record and in the folders that were named: a record may come from anywhere, and must
not be able to point at other files of this machine.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ...lexicon.errors import InputError
from ..faults import Faults

if TYPE_CHECKING:
    from ...pipeline.record import Audio
    from ...pipeline.store import Store, Stored

_ENDINGS = (".json", ".jsonl")


def gather(
    store: Store,
    paths: Iterable[Path],
    *,
    who: str,
    when: dt.datetime,
    faults: Faults,
    told: Callable[[Stored], None] = lambda _: None,
) -> int:
    """Put the records of all ``paths`` into ``store``; how many there were.

    A file that holds no records is told in ``faults`` and left out. ``told`` gets each record
    as it is in the store.
    """
    from ...pipeline.files import read_records

    given = list(paths)
    folders = audio_folders(given)
    count = 0

    def add(path: Path) -> int:
        records = read_records(path)
        for record in records:
            found = find_audio(record.audio, [path.parent, *folders])
            stored = store.add(
                record,
                who=who,
                when=when,
                source=path.name,
                audio_path=None if found is None else str(found),
            )
            told(stored)
        return len(records)

    files = [file for several in faults.each(given, record_files, name=str) for file in several]
    for number in faults.each(dict.fromkeys(files), add, name=str):
        count += number
    return count


def record_files(path: Path) -> tuple[Path, ...]:
    """The files that ``path`` stands for: itself, or those of a folder that may hold records."""
    if not path.is_dir():
        return (path,)
    try:
        found = tuple(
            sorted(p for p in path.rglob("*") if p.suffix.lower() in _ENDINGS and p.is_file())
        )
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}).") from error
    if not found:
        raise InputError(f"{path}: holds no records ({', '.join(_ENDINGS)}).")
    return found


def audio_folders(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The folders in which recordings are looked for."""
    return tuple(dict.fromkeys(path if path.is_dir() else path.parent for path in paths))


def find_audio(audio: Audio | None, folders: Iterable[Path]) -> Path | None:
    """Where the recording lies, None when it is in none of ``folders`` nor right below them.

    Of several files of its name the one with its SHA-256; if it is the only one, this is
    checked when it is played.
    """
    name = "" if audio is None else _plain_name(audio.file)
    if audio is None or not name:
        return None
    found = list(dict.fromkeys(_files(name, folders)))
    if len(found) < 2:
        return found[0] if found else None
    return next((path for path in found if _digest(path) == audio.sha256), found[0])


def _digest(path: Path) -> str:
    from ...pipeline.audio import digest_of

    try:
        return digest_of(path)
    except OSError:
        return ""


def _plain_name(file: str) -> str:
    """The name of a file without any folder, in the ways of all systems; "" for none."""
    name = file.replace("\\", "/").rpartition("/")[2]
    return "" if name in (".", "..") or "\0" in name or ":" in name else name


def _files(name: str, folders: Iterable[Path]) -> Iterator[Path]:
    for folder in dict.fromkeys(folders):
        try:
            direct = (folder / name).resolve()
            if direct.is_file():
                yield direct
            for below in sorted(p for p in folder.iterdir() if p.is_dir()):
                if (below / name).is_file():
                    yield (below / name).resolve()
        except OSError:
            continue  # a folder that cannot be looked into holds no recording for us
