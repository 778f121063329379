"""Which change an undo takes back, and what it means for a signature.

Changes lie on a stack: a save puts one on it, an undo takes the uppermost off. So undoing twice
goes back two changes, and a change made after an undo is undone first.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..record import Record
from .stored import Event


def last_change(history: Iterable[Event]) -> Event | None:
    """The last change of a record's whole history that is not undone; None when all are."""
    stack: list[Event] = []
    for event in history:
        if event.kind == "save":
            stack.append(event)
        elif event.kind == "undo" and stack:
            stack.pop()
    return stack[-1] if stack else None


def amended(before: Record, *, current: Record) -> Record:
    """The content to go back to; it amends what is signed now, or what ``current`` amends.

    Going back to a version that was signed is to let that signature stand again.
    """
    signed = current.amends if current.signature is None else current.signature.sha256
    if before.signature is not None or signed is None or before.amends == signed:
        return before
    return before.model_copy(update={"amends": signed})
