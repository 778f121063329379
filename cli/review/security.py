"""Who may talk to the review server, decided before any of its code sees a request.

The server listens on the loopback, which every program and every web page on this machine can
reach: a page of another site can send requests there, and by DNS rebinding it can even make
its own name point there. So each request must be addressed to the loopback by name and port
(Host), carry the session cookie that only the link printed at the start hands out, and, when
it writes, come from our own page (Origin, Sec-Fetch-Site) as JSON, which no form can send.
Plain ASGI, so that WebSockets are guarded as well as HTTP. Nothing of a request is logged.

Browsers send a cookie to every port of its host: a server that another user of this machine
runs would be handed the session by whoever visits it. So all addresses of a session lie below
a folder with a secret name, to which its cookie is bound: no request elsewhere carries it.

After: Fetch Metadata Request Headers (W3C), RFC 6265bis (SameSite), CSP Level 3 (W3C), and
"Cross-Site Request Forgery Prevention" and "WebSocket Security" of the OWASP cheat sheets.
"""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from .answers import Answer, Refusal
from .bodies import read_body, replay

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

_READING = ("GET", "HEAD")
_WRITING = ("POST",)
_OPEN_THE_LINK = (
    "This page belongs to a review session: open the link that “plessor review” printed."
)
_ELSEWHERE = "This request came from another site and was refused."


def _root() -> str:
    return f"/{secrets.token_urlsafe()}/"


@dataclass
class Keys:
    """What opens a session: the printed link, a link used once, and what they lead to.

    ``root`` is the folder of the session's addresses, ``cookie`` what its requests carry. The
    link handed to the browser works once, because other users of the machine may see the
    command line that starts the browser.
    """

    link: str = field(default_factory=secrets.token_urlsafe, repr=False)
    root: str = field(default_factory=_root, repr=False)
    cookie: str = field(default_factory=secrets.token_urlsafe, repr=False)
    #: Tokens for a single use, and whether they were used.
    _once: dict[str, bool] = field(default_factory=dict, repr=False)

    def one_use(self) -> str:
        """A new token that opens the session a single time."""
        token = secrets.token_urlsafe()
        self._once[token] = False
        return token

    def opens(self, token: str) -> bool:
        """Whether ``token`` opens the session; one for a single use is used up.

        Used twice, it was seen by two, and nobody knows whether the first was the reviewer:
        both stay outside, as the session moves to where only the printed link leads.
        """
        if _same(token, self.link):
            return True
        for one, used in self._once.items():
            if _same(token, one):
                self._once[one] = True
                if used:
                    self.root, self.cookie = _root(), secrets.token_urlsafe()
                return not used
        return False


class Guard:
    """Lets through what may reach ``app``, and adds the headers that bind the browser.

    Bodies are read here, to their limit, before ``app`` is called, which sees addresses as if
    there were no secret folder. ``port`` is the one the server listens on.
    """

    def __init__(self, app: ASGIApp, *, keys: Keys, port: int) -> None:
        self._app, self._keys = app, keys
        names = ("127.0.0.1", "localhost")
        self._hosts = {f"{name}:{port}" for name in names} | (set(names) if port == 80 else set())
        self.cookie_name = f"plessor-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Guard one connection."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "websocket":
            await self._websocket(scope, receive, send)
        else:
            await self._http(scope, receive, send)

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        answer = Answer(send)
        try:
            headers = _Headers(scope)
            self._check_host(headers)
            if (token := _token(scope)) is not None:
                await self._open(token, answer)
                return
            scope = self._inside(scope, headers)
            self._check_site(scope, headers)
            if scope["method"] in _WRITING:
                self._check_write(headers)
            elif scope["method"] not in _READING:
                raise Refusal(405, "The review server reads with GET and writes with POST only.")
            body = await read_body(receive, stated=headers.only("content-length"))
            await self._app(scope, replay(body, receive), answer)
        except Refusal as refusal:
            await answer.refuse(refusal, plain=scope["path"].endswith("/"))

    async def _websocket(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            headers = _Headers(scope)
            self._check_host(headers)
            scope = self._inside(scope, headers)
            self._check_origin(headers)
        except Refusal:
            await receive()  # the request to connect; closing it unaccepted answers 403
            await send({"type": "websocket.close", "code": 1008})
            return
        await self._app(scope, receive, send)

    def _check_host(self, headers: _Headers) -> None:
        if headers.only("host").lower() not in self._hosts:
            raise Refusal(421, "The review server answers to 127.0.0.1 and localhost only.")

    def _inside(self, scope: Scope, headers: _Headers) -> Scope:
        """``scope`` with its address inside the session; ``Refusal`` for who is not in it."""
        root, path = self._keys.root, scope["path"]
        # Other servers on this machine share the jar and may have put anything into it.
        held = (pair.strip() for line in headers.every("cookie") for pair in line.split(";"))
        wanted = f"{self.cookie_name}={self._keys.cookie}"
        has_cookie = any(_same(pair, wanted) for pair in held)
        if not (has_cookie and _same(path[: len(root)], root)):
            raise Refusal(403, _OPEN_THE_LINK)
        return {**scope, "path": path[len(root) - 1 :]}

    def _check_site(self, scope: Scope, headers: _Headers) -> None:
        """Other sites may send a person to our page, and nothing else."""
        site = headers.only("sec-fetch-site")
        if scope["path"] != "/" and site not in ("", "same-origin", "none"):
            raise Refusal(403, _ELSEWHERE)

    def _check_origin(self, headers: _Headers) -> None:
        if headers.only("origin").lower() != f"http://{headers.only('host').lower()}":
            raise Refusal(403, _ELSEWHERE)

    def _check_write(self, headers: _Headers) -> None:
        self._check_origin(headers)
        if headers.only("sec-fetch-site") not in ("", "same-origin"):
            raise Refusal(403, _ELSEWHERE)
        kind, _, rest = headers.only("content-type").lower().partition(";")
        if kind.strip() != "application/json" or rest.strip() not in ("", "charset=utf-8"):
            raise Refusal(415, "The review server takes JSON only (application/json, UTF-8).")
        if headers.only("content-encoding") not in ("", "identity"):
            raise Refusal(415, "The review server takes JSON as it is, not compressed.")

    async def _open(self, token: str, answer: Answer) -> None:
        if not self._keys.opens(token):
            raise Refusal(403, _OPEN_THE_LINK)
        root = self._keys.root.encode()
        cookie = f"{self.cookie_name}={self._keys.cookie}; HttpOnly; SameSite=Strict; Path="
        await answer.whole(303, b"", (b"location", root), (b"set-cookie", cookie.encode() + root))


class _Headers:
    """The headers of one request; one that must be single and is not is no header at all."""

    def __init__(self, scope: Scope) -> None:
        self._pairs: list[tuple[bytes, bytes]] = list(scope["headers"])

    def every(self, name: str) -> list[str]:
        """All values of a header."""
        return [v.decode("latin-1") for k, v in self._pairs if k.lower() == name.encode()]

    def only(self, name: str) -> str:
        """The value of a header, "" when it is missing; sent twice it is refused."""
        values = self.every(name)
        if len(values) > 1:
            raise Refusal(400, f"The header {name} was sent more than once.")
        return values[0].strip() if values else ""


def _token(scope: Scope) -> str | None:
    """The token of the link that opens a session, None for any other request."""
    if scope["method"] != "GET" or scope["path"] != "/" or not scope["query_string"]:
        return None
    values = parse_qs(scope["query_string"].decode("latin-1")).get("token")
    return values[0] if values else None


def _same(given: str, secret: str) -> bool:
    return hmac.compare_digest(given.encode("utf-8", "replace"), secret.encode())
