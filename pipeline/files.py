"""Reads the files that a person names: narrations and records.

All the ways in which a file can disappoint are told apart here, each in one sentence that
names the file, so that the stages behind meet only text and records. A sentence may quote a
code or a key, never the words of a narration.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from ..lexicon import InputError, nearest
from .record import (
    Claim,
    Correction,
    Decided,
    Evidence,
    Finding,
    Record,
    Rejected,
    Settled,
    Signature,
    Unresolved,
    Word,
)

#: A narration of a megabyte would take a day to speak: such a file is something else.
MAX_TEXT_BYTES = 2_000_000

_MODELS: dict[str, type[BaseModel]] = {
    "findings": Finding,
    "claims": Claim,
    "corrections": Correction,
    "unresolved": Unresolved,
    "words": Word,
    "evidence": Evidence,
    "rejected": Rejected,
    "finding": Finding,
    "settled": Settled,
    "decided": Decided,
    "signature": Signature,
}


def read_bytes(path: Path) -> bytes:
    """The content of ``path``; ``InputError`` when it is missing, a folder or unreadable."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such file; check the name.") from None
    except IsADirectoryError:
        raise InputError(f"{path}: this is a folder; name the files in it.") from None
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(f"{path}: cannot be read ({reason}).") from error


def decode_text(content: bytes, *, name: str) -> str:
    """The text of ``content``, which must be UTF-8 and hold words; ``name`` is for messages."""
    if len(content) > MAX_TEXT_BYTES:
        raise InputError(
            f"{name}: is too long for one narration ({len(content) / 1e6:.1f} MB); split it into "
            f"files of at most {MAX_TEXT_BYTES / 1e6:.0f} MB."
        )
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            f"{name}: is not UTF-8 text (at byte {error.start + 1}); save it as UTF-8, or use "
            "“plessor hear” if it is a recording."
        ) from None
    if "\0" in text:
        raise InputError(
            f"{name}: is not a text (it holds zero bytes); save it as UTF-8, or use "
            "“plessor hear” if it is a recording."
        )
    if not text.strip():
        raise InputError(f"{name}: holds no words.")
    return text


def read_narration(path: Path) -> str:
    """The text of a narration's file, UTF-8 with or without a byte order mark."""
    return decode_text(read_bytes(path), name=str(path))


def read_records(path: Path) -> tuple[Record, ...]:
    """The records of a file: one JSON document, or one record a line.

    A JSON document is a record or a list of records. A record without ``narration`` takes the
    file's name without its ending. ``InputError`` names the first fault and its place.
    """
    return decode_records(read_bytes(path), name=str(path), narration=path.stem)


def decode_records(content: bytes, *, name: str, narration: str = "") -> tuple[Record, ...]:
    """The records in ``content``, as ``read_records`` reads them from a file."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            f"{name}: is not UTF-8 text (at byte {error.start + 1}), so not a record."
        ) from None
    if not text.strip():
        raise InputError(f"{name}: is empty; a record is one JSON object.")
    return tuple(
        record if record.narration else record.model_copy(update={"narration": narration})
        for place, value in _documents(text, name)
        for record in [_record(value, place)]
    )


def _documents(text: str, name: str) -> Iterator[tuple[str, Any]]:
    """Each record of the text as plain JSON, with its place for messages."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > 1 and _is_json(lines[0][1]):
        for number, line in lines:
            yield f"{name}: line {number}", _parsed(line, f"{name}: line {number}")
        return
    whole = _parsed(text, name)
    if isinstance(whole, list):
        yield from ((f"{name}: record {n}", value) for n, value in enumerate(whole, 1))
    else:
        yield name, whole


def _is_json(line: str) -> bool:
    try:
        json.loads(line)
    except (ValueError, RecursionError):
        return False
    return True


def _parsed(text: str, place: str) -> Any:
    try:
        parsed = json.loads(text, parse_float=_finite, parse_constant=_finite)
        if "\\ud" in text.lower():  # an escape that may be half of a character
            json.dumps(parsed, ensure_ascii=False).encode()
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise InputError(f"{place}: not JSON ({error.msg.lower()} at {where}).") from None
    except RecursionError:
        raise InputError(f"{place}: not a record (nested too deeply).") from None
    except UnicodeEncodeError:
        raise InputError(f"{place}: not a record (half of a character in a text).") from None
    except ValueError:
        raise InputError(f"{place}: not a record (a number out of all bounds).") from None
    return parsed


def _finite(number: str) -> float:
    """A number that JSON can write again: not infinite, and not "NaN"."""
    value = float(number)
    if not math.isfinite(value):
        raise ValueError
    return value


def _record(value: Any, place: str) -> Record:
    if not isinstance(value, dict):
        raise InputError(f"{place}: not a record; a record is one JSON object.")
    try:
        return Record.model_validate(value)
    except ValidationError as error:
        raise InputError(f"{place}: {fault_of(error)}") from None


def fault_of(error: ValidationError) -> str:
    """The first fault of a record as one sentence, with its place and how many more there are."""
    faults = error.errors(include_url=False, include_input=False)
    first = faults[0]
    where = "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in first["loc"]).lstrip(".")
    if first["type"] == "extra_forbidden":
        key = str(first["loc"][-1])
        near = nearest(key, _keys(first["loc"]))
        said = f"unknown key “{key}”" + (f"; the nearest valid one is “{near}”" if near else "")
        where = where[: -len(key)].rstrip(".")
    elif first["type"] == "missing":
        said = "is missing"
    else:
        said = first["msg"].removeprefix("Value error, ")
        said = said[:1].lower() + said[1:]
    more = f" ({len(faults) - 1} more to mend after it)" if len(faults) > 1 else ""
    return f"{where + ': ' if where else ''}{said}{more}."


def _keys(loc: tuple[int | str, ...]) -> tuple[str, ...]:
    """The keys that are valid where ``loc`` points."""
    parents = [part for part in loc[:-1] if isinstance(part, str)]
    model = _MODELS.get(parents[-1], Record) if parents else Record
    return tuple(model.model_fields)
