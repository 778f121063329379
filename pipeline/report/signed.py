"""Whether a record is signed, and how that is said: on every output, in the same words."""

from __future__ import annotations

from typing import Literal

from ..record import Record

State = Literal["unsigned", "signed", "altered"]


def state_of(record: Record) -> State:
    """The state of ``record`` as a code."""
    return "unsigned" if record.signature is None else "signed"


def state_words(record: Record) -> str:
    """The state of ``record`` as a sentence."""
    signature = record.signature
    if signature is None:
        return "Unsigned: nobody has checked and signed this record."
    return f"Signed by {signature.who}, {signature.when:%Y-%m-%d %H:%M %Z}."
