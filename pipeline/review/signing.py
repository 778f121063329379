"""What a signature covers, and whether a record still is what was signed.

The content of a record is its JSON without the signature, in the one form that RFC 8785 (JSON
Canonicalization Scheme) gives it, so that it has the same SHA-256 after any way through files
and databases. Members that hold their default are left out: a later version of the record that
brings new fields does not alter what was signed under an earlier one.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
from typing import Any, Literal

from ..record import Record, Signature
from .edits import EditError

State = Literal["unsigned", "signed", "altered"]


def canonical(record: Record) -> bytes:
    """The content of ``record`` as canonical JSON (RFC 8785), UTF-8.

    Raises ``EditError`` for a record that JSON cannot hold, such as one with an infinite time.
    """
    content = record.model_dump(mode="json", exclude_defaults=True, exclude={"signature"})
    # its default changes from version to version
    content["schema_version"] = record.schema_version
    return _written(content).encode()


def digest(record: Record) -> str:
    """The SHA-256 of the content of ``record``, as 64 hexadecimal digits."""
    return hashlib.sha256(canonical(record)).hexdigest()


def state(record: Record) -> State:
    """Whether ``record`` is signed; ``altered``: it is no longer what was signed."""
    if record.signature is None:
        return "unsigned"
    return "signed" if digest(record) == record.signature.sha256 else "altered"


def sign(record: Record, *, who: str, when: dt.datetime) -> Record:
    """``record`` with the signature of ``who``; ``EditError`` when it has one already."""
    require_signer(who, when)
    if record.signature is not None:
        if state(record) == "altered":
            raise EditError(ALTERED)
        raise EditError(f"This version is signed already, by {record.signature.who}.")
    signature = Signature(who=who, when=when, sha256=digest(record))
    return record.model_copy(update={"signature": signature})


#: Why nothing is built on a record whose signature does not hold.
ALTERED = (
    "This record was changed after it was signed, so it cannot be relied on or edited; go back to "
    "the version that was signed."
)


def require_signer(who: str, when: dt.datetime) -> None:
    """``EditError`` unless there is a name, and a time with its zone."""
    if not who.strip():
        raise EditError("Give the name of who makes this change.")
    if when.utcoffset() is None:
        raise EditError("The time of a change needs its time zone.")


def _written(value: Any) -> str:
    """Canonical JSON of what ``model_dump`` gives; keys are ASCII and so sort alike anywhere."""
    if isinstance(value, dict):
        members = (f"{_written(k)}:{_written(v)}" for k, v in sorted(value.items()))
        return "{" + ",".join(members) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(_written, value)) + "]"
    if isinstance(value, float):
        return number_text(value)
    return json.dumps(value, ensure_ascii=False)


def number_text(value: float) -> str:
    """A number as ECMAScript writes it (ECMA-262, Number::toString), which RFC 8785 asks for."""
    if not math.isfinite(value):
        raise EditError("The record holds a number that JSON cannot write; mend it first.")
    if value == 0:
        return "0"
    sign = "-" if value < 0 else ""
    # repr gives the fewest digits that read back as the same number, as ECMAScript does
    mantissa, _, exponent = repr(abs(value)).partition("e")
    whole, _, fraction = mantissa.partition(".")
    fraction = "" if fraction == "0" else fraction
    point = len(whole) + int(exponent or 0)
    digits = (whole + fraction).lstrip("0")
    point -= len(whole + fraction) - len(digits)
    digits = digits.rstrip("0")
    size = len(digits)
    if size <= point <= 21:
        return sign + digits + "0" * (point - size)
    if 0 < point <= 21:
        return f"{sign}{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"{sign}0.{'0' * -point}{digits}"
    tail = f".{digits[1:]}" if size > 1 else ""
    return f"{sign}{digits[0]}{tail}e{point - 1:+d}"
