"""Rows of the database as what the store gives back.

The database may hold what Plessor never wrote, a time that is none say, where somebody changed
it by other means: that is told, and nothing of it is shown.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from sqlalchemy import Row

from .faults import StoreError
from .stored import Event, Summary

_Made = TypeVar("_Made")


def summaries(rows: Iterable[Row[Any]], *, name: str) -> list[Summary]:
    """The lines of the list; ``name`` is the store's, for messages."""
    return _all(_summary, rows, name)


def events(rows: Iterable[Row[Any]], *, name: str) -> list[Event]:
    """The events of the audit trail; ``name`` is the store's, for messages."""
    return _all(_event, rows, name)


def _all(make: Callable[[Row[Any]], _Made], rows: Iterable[Row[Any]], name: str) -> list[_Made]:
    try:
        return [make(row) for row in rows]
    except (TypeError, ValueError):
        raise StoreError(
            f"{name}: holds what Plessor did not write; “plessor store verify” tells where."
        ) from None


def _summary(row: Row[Any]) -> Summary:
    return Summary(
        id=row.id,
        narration=row.narration,
        version=row.version,
        when=dt.datetime.fromisoformat(row.at),
        who=row.who,
        state=row.state,
        age_months=row.age_months,
        examiner=row.examiner,
        date=None if row.date is None else dt.date.fromisoformat(row.date),
        findings=row.findings,
    )


def _event(row: Row[Any]) -> Event:
    return Event(
        number=row.number,
        record=row.record_id,
        version=row.version,
        kind=row.kind,
        when=dt.datetime.fromisoformat(row.at),
        who=row.who,
        what=row.what,
        before=row.before,
        after=row.after,
        why=row.why,
        source=row.source,
        undoes=row.undoes,
        document=row.document,
        previous=row.previous,
        sha256=row.sha256,
    )
