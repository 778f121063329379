"""Whether a record is signed, and how that is said: on every output, in the same words."""

from __future__ import annotations

from ..record import Record, Signature
from ..review.signing import state
from .layout import plain


def state_words(record: Record) -> str:
    """The state of ``record`` as a sentence."""
    signature = record.signature
    if signature is None:
        if record.amends is None:
            return "Unsigned: nobody has checked and signed this record."
        return f"Unsigned amendment of the signed version {record.amends[:12]}."
    if state(record) == "altered":
        return (
            f"ALTERED after it was signed {_signed_by(signature)}: not what was signed, not to "
            "be relied on."
        )
    amends = f"as an amendment of the version {record.amends[:12]} " if record.amends else ""
    return f"Signed {amends}{_signed_by(signature)}."


def _signed_by(signature: Signature) -> str:
    """ "on 2026-03-04 at 10:30 UTC by A. Reader": numbers after a name that is written from
    right to left would be shown before it."""
    return f"on {f'{signature.when:%Y-%m-%d at %H:%M %Z}'.rstrip()} by {plain(signature.who)}"
