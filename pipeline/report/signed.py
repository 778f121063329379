"""Whether a record is signed, and how that is said: on every output, in the same words."""

from __future__ import annotations

import datetime as dt
from typing import Literal, Protocol

from ..record import Record

State = Literal["unsigned", "signed", "altered"]


class _Signed(Protocol):
    who: str
    when: dt.datetime


def signature_of(record: Record) -> _Signed | None:
    """Who signed and when; None when nobody did."""
    return getattr(record, "signature", None)


def state_of(record: Record) -> State:
    """The state of ``record`` as a code."""
    return "unsigned" if signature_of(record) is None else "signed"


def state_words(record: Record) -> str:
    """The state of ``record`` as a sentence."""
    signature = signature_of(record)
    if signature is None:
        return "Unsigned: nobody has checked and signed this record."
    return f"Signed by {signature.who}, {signature.when:%Y-%m-%d %H:%M %Z}."
