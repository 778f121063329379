"""Reads the body of a request to its limit, before anything is made of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .answers import Refusal

if TYPE_CHECKING:
    from starlette.types import Message, Receive

#: A record of a long examination with all its words is well below this; edits are tiny.
MAX_BYTES = 8_000_000
#: What is still taken, and thrown away, so that the sender gets to read the refusal.
_PATIENCE_BYTES = 64_000_000


async def read_body(receive: Receive, *, stated: str) -> bytes:
    """The whole body; ``Refusal`` when it is longer than ``MAX_BYTES``.

    ``stated`` is the length that its header claims, "" when it claims none.
    """
    too_long = Refusal(
        413, f"This is longer than what the review server takes ({MAX_BYTES // 1_000_000} MB)."
    )
    if stated and (not stated.isdecimal() or int(stated) > _PATIENCE_BYTES):
        raise too_long
    taken, length = bytearray(), 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise Refusal(400, "The connection was closed before all of the request came.")
        piece = message.get("body", b"")
        length += len(piece)
        if length > _PATIENCE_BYTES:
            raise too_long
        if length <= MAX_BYTES:
            taken += piece
        if not message.get("more_body", False):
            if length > MAX_BYTES:
                raise too_long
            return bytes(taken)


def replay(body: bytes, receive: Receive) -> Receive:
    """A ``receive`` that gives ``body`` first and then what comes after it."""
    given = False

    async def again() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again
