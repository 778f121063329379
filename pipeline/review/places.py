"""Items of a record by their place, or a sentence that says that there is none."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, TypeVar

from pydantic import BaseModel

from ..record import Record
from .edits import EditError

_Item = TypeVar("_Item")
List = Literal["findings", "claims", "unresolved", "rejected", "corrections"]


def at(items: Sequence[_Item], place: int, what: str) -> _Item:
    """Item ``place`` of ``items``; ``EditError`` when there is none."""
    if 0 <= place < len(items):
        return items[place]
    raise EditError(f"There is no {what} {place} in this record; load it again.")


def put(record: Record, name: List, place: int, item: BaseModel | None) -> Record:
    """``record`` with ``item`` at ``place`` of a list, or without that place for None."""
    items = getattr(record, name)
    new = (*items[:place], *(() if item is None else (item,)), *items[place + 1 :])
    return record.model_copy(update={name: new})
