"""What the review server answers with: headers that bind the browser, errors of one shape.

Every error is ``{"message": "one sentence"}`` in JSON. An error that nobody expected is told
by its type and its place in our code, here and on standard error: its text and its traceback
may hold words of a record.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from ...lexicon.errors import PlessorError
from ..faults import place_of, say

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: The look of a page that only our own files take part in; no inline script, no inline style.
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "media-src 'self' blob:; connect-src 'self'; form-action 'none'; frame-ancestors 'none'; "
    "base-uri 'none'"
)
_ALWAYS = (
    (b"content-security-policy", _POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cache-control", b"no-store"),
)


class Refusal(Exception):  # noqa: N818 -- an answer, not a fault
    """An answer instead of what was asked for: a status of HTTP and one sentence."""

    def __init__(self, status: int, message: str) -> None:
        super().__init__(message)
        self.status, self.message = status, message


class Answer:
    """Sends an answer with the headers that every answer has."""

    def __init__(self, send: Send) -> None:
        self._send, self.begun = send, False

    async def __call__(self, message: Message) -> None:
        """Send one message of an answer."""
        if message["type"] == "http.response.start":
            self.begun = True
            sent = [(k.lower(), v) for k, v in message.get("headers", ())]
            own = {k for k, _ in sent if k == b"content-security-policy"}  # stricter, of an export
            added = [(k, v) for k, v in _ALWAYS if k not in own]
            names = {k for k, _ in added}
            kept = [(k, v) for k, v in sent if k not in names]
            message = {**message, "headers": [*kept, *added]}
        await self._send(message)

    async def whole(self, status: int, body: bytes, *headers: tuple[bytes, bytes]) -> None:
        """Send a whole answer."""
        length = (b"content-length", str(len(body)).encode())
        head = {"type": "http.response.start", "status": status, "headers": [*headers, length]}
        await self(head)
        await self({"type": "http.response.body", "body": body})

    async def refuse(self, refusal: Refusal, *, plain: bool = False) -> None:
        """Send a refusal, unless an answer has begun; ``plain`` where a person reads it."""
        if self.begun:
            return
        kind = b"text/plain; charset=utf-8" if plain else b"application/json"
        body = refusal.message if plain else message_json(refusal.message)
        await self.whole(refusal.status, body.encode(), (b"content-type", kind))


class Quiet:
    """Answers for whatever fails inside ``app``, so that no server logs it with its words."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run one connection."""
        answer = Answer(send)
        try:
            await self._app(scope, receive, answer if scope["type"] == "http" else send)
        except Exception as error:  # the edge of the server: whatever it is, one sentence
            say(error)
            if scope["type"] == "http":
                await answer.refuse(Refusal(500, told(error)))


def told(error: Exception) -> str:
    """One sentence on ``error`` without any words of a record."""
    if isinstance(error, PlessorError):
        return str(error)
    return f"This is a bug in Plessor ({place_of(error)}); what was saved before is safe."


def message_json(message: str) -> str:
    """The one shape of every error."""
    return json.dumps({"message": message}, ensure_ascii=False)
