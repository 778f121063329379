"""Items of a record by their place, or a sentence that says that there is none; changed words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, TypeVar

from pydantic import BaseModel

from ..record import Evidence, Record
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


def changed_words(record: Record) -> tuple[tuple[int, int], ...]:
    """First and last word of each stretch that a reviewer changed, or took back to as heard."""
    return tuple(
        (c.first_word, c.last_word)
        for c in record.corrections
        if c.decided is not None and c.decided.how in ("made", "taken_back")
    )


def is_on(evidence: Evidence | None, stretches: Iterable[tuple[int, int]]) -> bool:
    """Whether ``evidence`` has a word in common with one of ``stretches``."""
    return evidence is not None and any(
        first <= evidence.last_word and last >= evidence.first_word for first, last in stretches
    )
