"""Finds the folder of a recogniser's model: known by name, any folder, or a hub's copy here.

Nothing is fetched unless the caller says so in that very call, because the program promises
that nothing leaves the machine. The models known by name are listed with the SHA-256 of each
file in ``data/models/models.json`` and held against it every time, since a record is only as
good as what heard it; a folder or hub model is taken as it is.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ..lexicon.errors import InputError, MissingError
from ..lexicon.files import read_text
from ..lexicon.vocabulary import nearest

_CHUNK = 1 << 20
_HUB_NAME = re.compile(r"\w(?:[\w.-]{0,94}\w)?/\w(?:[\w.-]{0,94}\w)?", re.ASCII)


@dataclass(frozen=True)
class FoundModel:
    """A model that can be loaded: the name that records carry, and its folder."""

    name: str
    folder: Path


@dataclass(frozen=True)
class ModelInfo:
    """One line of ``plessor models``; ``size_bytes`` is that of all its files."""

    name: str
    what: str
    present: bool
    size_bytes: int
    licence: str
    how: str


@dataclass(frozen=True)
class _File:
    name: str
    size: int
    sha256: str
    parts: tuple[tuple[str, str], ...]  # (package, path inside it), to be joined in order

    def places(self) -> tuple[Path, ...] | None:
        """Where the parts lie; None when one is not installed."""
        found = [_inside(package, path) for package, path in self.parts]
        return tuple(p for p in found if p) if all(found) else None


@dataclass(frozen=True)
class _Known:
    name: str
    other_names: tuple[str, ...]
    model: str
    what: str
    licence: str
    extra: str
    files: tuple[_File, ...]

    @property
    def how(self) -> str:
        return f"pip install 'plessor[{self.extra}]'"

    def installed(self) -> bool:
        """Whether all parts are there with their sizes; digests are left for loading."""
        return all(
            places is not None and sum(p.stat().st_size for p in places) == file.size
            for file in self.files
            for places in [file.places()]
        )


def list_models() -> tuple[ModelInfo, ...]:
    """The models known by name, here or not. Reads no model and asks no network."""
    return tuple(
        ModelInfo(m.name, m.what, m.installed(), sum(f.size for f in m.files), m.licence, m.how)
        for m in _known()
    )


def find_model(ref: str | Path, *, allow_download: bool = False) -> FoundModel:
    """The model that ``ref`` means: a known name, a folder, or a name of the Hugging Face hub.

    A hub model is used when a copy lies in the hub's cache on this machine; it is fetched only
    with ``allow_download``. Raises ``MissingError`` when the model is not on this machine or
    its files are not what they should be, ``InputError`` when ``ref`` names no model at all.
    """
    name = str(ref)
    for known in _known():
        if name in (known.name, *known.other_names):
            return FoundModel(known.model, _verified(known))
    folder = Path(name).expanduser()
    if folder.exists() or isinstance(ref, Path) or _looks_like_a_path(name):
        return FoundModel(folder.resolve().name, check_folder(folder))
    return FoundModel(name, _hub_folder(name, allow_download=allow_download))


def check_folder(folder: Path) -> Path:
    """``folder`` when it holds a CTranslate2 Whisper model; ``InputError`` lists what lacks."""
    if not folder.exists():
        raise InputError(f"{folder}: there is no such folder; check the name of the model.")
    if folder.is_file():
        raise InputError(f"{folder}: is a file; give the folder that holds model.bin.")
    lacks = [n for n in ("model.bin", "config.json", "tokenizer.json") if not _has(folder, n)]
    if not any(folder.glob("vocabulary.*")):
        lacks.append("vocabulary.txt or vocabulary.json")
    if lacks:
        raise InputError(
            f"{folder}: holds no Whisper model for CTranslate2 (lacks {', '.join(lacks)}); give "
            "the folder of a converted model, or a name that “plessor models” lists."
        )
    return folder


def user_cache() -> Path:
    """Where joined models are kept: ``PLESSOR_CACHE``, else the system's place for caches.

    Linux follows the XDG Base Directory Specification 0.8.
    """
    own = os.environ.get("PLESSOR_CACHE")
    if own:
        return Path(own)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData/Local") / "plessor"
    if sys.platform == "darwin":
        return Path.home() / "Library/Caches/plessor"
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if Path(base).is_absolute() else Path.home() / ".cache") / "plessor"


@cache
def _known() -> tuple[_Known, ...]:
    return tuple(
        _Known(
            name=row["name"],
            other_names=tuple(row["other_names"]),
            model=row["model"],
            what=row["what"],
            licence=row["licence"],
            extra=row["extra"],
            files=tuple(
                _File(f["name"], f["size"], f["sha256"], tuple((p, q) for p, q in f["parts"]))
                for f in row["files"]
            ),
        )
        for row in json.loads(read_text("models/models.json"))["models"]
    )


def _verified(known: _Known) -> Path:
    """The folder of a known model, every file of it verified."""
    if not known.installed():
        raise MissingError(
            f"The model “{known.name}” is not on this machine; install it with {known.how}."
        )
    if any(len(file.parts) > 1 for file in known.files):
        return _joined(known)
    places = [place for file in known.files for place in file.places() or ()]
    for file, place in zip(known.files, places, strict=True):
        if _digest(place) != file.sha256:
            raise _damaged(known, file)
    return places[0].parent


def _joined(known: _Known) -> Path:
    """The cached folder in which the parts are joined, made when it is not there or not right."""
    key = hashlib.sha256("".join(f.sha256 for f in known.files).encode()).hexdigest()[:12]
    folder = user_cache() / "models" / f"{known.model}-{key}"
    if _is_right(folder, known):
        return folder
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        making = Path(tempfile.mkdtemp(prefix=f"{folder.name}-", dir=folder.parent))
        try:
            for file in known.files:
                if _join(file, making / file.name) != file.sha256:
                    raise _damaged(known, file)
            if folder.exists() and not _is_right(folder, known):
                shutil.rmtree(folder)
            with contextlib.suppress(OSError):  # another process was quicker, which is as good
                making.rename(folder)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    except OSError as error:
        raise MissingError(
            f"The model “{known.name}” could not be put together in {folder.parent} "
            f"({error.strerror}); make room there, or set PLESSOR_CACHE to another folder."
        ) from error
    if not _is_right(folder, known):
        raise MissingError(f"{folder}: could not be written; set PLESSOR_CACHE to another folder.")
    return folder


def _join(file: _File, target: Path) -> str:
    """Write the parts of ``file`` one after the other; the SHA-256 of the whole."""
    digest = hashlib.sha256()
    with target.open("wb") as out:
        for place in file.places() or ():
            for chunk in _chunks(place):
                digest.update(chunk)
                out.write(chunk)
    return digest.hexdigest()


def _is_right(folder: Path, known: _Known) -> bool:
    try:
        return all(_digest(folder / f.name) == f.sha256 for f in known.files)
    except OSError:
        return False


def _hub_folder(name: str, *, allow_download: bool) -> Path:
    from faster_whisper import available_models
    from faster_whisper.utils import download_model
    from huggingface_hub.errors import LocalEntryNotFoundError

    names = available_models()
    if name not in names and not _HUB_NAME.fullmatch(name):
        near = nearest(name, [n for m in _known() for n in (m.name, *m.other_names)] + list(names))
        hint = f"; did you mean “{near}”?" if near else "; “plessor models” lists those known."
        raise InputError(f"There is no model “{name}”{hint}")
    with contextlib.suppress(LocalEntryNotFoundError, InputError, ValueError):
        return check_folder(Path(download_model(name, local_files_only=True)))
    if not allow_download:
        raise MissingError(
            f"The model “{name}” is not on this machine, and nothing is fetched unasked; give "
            "--allow-download to fetch it once, or a folder that holds it."
        )
    try:
        return check_folder(Path(download_model(name)))
    except InputError:
        raise
    except Exception as error:  # the hub's library raises errors of many other libraries
        raise MissingError(
            f"The model “{name}” could not be fetched ({type(error).__name__}); check the name "
            "and the connection, or give a folder that holds it."
        ) from error


def _looks_like_a_path(name: str) -> bool:
    return name.startswith((".", "~", "/")) or "\\" in name or name.count("/") > 1


def _has(folder: Path, name: str) -> bool:
    return (folder / name).is_file()


def _inside(package: str, path: str) -> Path | None:
    """A file inside an installed package, found without importing it."""
    spec = importlib.util.find_spec(package)
    for place in (spec.submodule_search_locations or ()) if spec else ():
        if (file := Path(place, path)).is_file():
            return file
    return None


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _chunks(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            yield chunk


def _damaged(known: _Known, file: _File) -> MissingError:
    return MissingError(
        f"The model “{known.name}” is not as published ({file.name} has another SHA-256); put it "
        f"back with pip install --force-reinstall 'plessor[{known.extra}]'."
    )
