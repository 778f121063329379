"""A record as the document that is kept, and what the list shows of it.

The document is the record's JSON. It is read again before it is kept: what would not come back
as it was (a time of infinity, say, which JSON cannot write) is refused, not lost.
"""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from ..files import fault_of
from ..record import Record
from .faults import StoreError


def written(record: Record) -> str:
    """The document of ``record``; ``StoreError`` when it would not come back the same."""
    document = record.model_dump_json()
    try:
        same = Record.model_validate_json(document) == record
    except ValidationError:
        same = False
    if not same:
        raise StoreError(
            "The record holds a value that JSON cannot keep, such as an infinite time; mend it."
        )
    return document


def read(document: str, *, place: str) -> Record:
    """The record of ``document``; ``place`` is for messages."""
    try:
        return Record.model_validate_json(document)
    except ValidationError as error:
        raise StoreError(f"{place}: {fault_of(error)}") from None


def shown(record: Record) -> dict[str, Any]:
    """What the list shows of a record."""
    from ..review import state  # with much behind it, which a list does not need

    return {
        "narration": plain(record.narration),
        "state": state(record),
        "age_months": record.age_months,
        "examiner": plain(record.examiner),
        "date": None if record.date is None else record.date.isoformat(),
        "findings": len(record.findings),
    }


def plain(text: str | None) -> Any:
    """Text as every database takes it: no zero bytes, no halves of a character."""
    if text is None:
        return None
    return text.replace("\0", "\ufffd").encode("utf-8", "replace").decode("utf-8")
