"""Who is let in, and who is not.

Held against: Fetch Metadata Request Headers (W3C Working Draft), RFC 6265bis for the cookie,
CSP Level 3 for the policy, RFC 6454 for what an origin is.
"""

from __future__ import annotations

import asyncio
import json
import re
from concurrent.futures import ThreadPoolExecutor
from urllib.request import Request

import pytest
from plessor.cli.review import bodies
from plessor.cli.review.security import Guard, Keys

PORT = 8912  # as in conftest
HOST = f"127.0.0.1:{PORT}"
ORIGIN = {"origin": f"http://{HOST}"}
EVERYWHERE = ["/", "/static/page.js", "/api/setup", "/api/records", "/api/records/x/clip", "/nope"]
BODY = {"version": 1, "who": "A. Reviewer"}


@pytest.mark.parametrize(
    "host",
    [
        "rebound.example",  # DNS rebinding: the browser keeps the name of the other site
        f"rebound.example:{PORT}",
        f"127.0.0.1.rebound.example:{PORT}",
        "127.0.0.1",
        "127.0.0.1:1",
        f"0.0.0.0:{PORT}",
        f"127.0.0.2:{PORT}",
        f"user@127.0.0.1:{PORT}",
        "",
    ],
)
@pytest.mark.parametrize("path", ["/", "/api/records"])
def test_another_host_is_refused_even_with_the_session(session, host, path) -> None:
    assert session.get(path, headers={"host": host}).status_code == 421


def test_another_host_is_refused_even_with_the_link(stranger, keys) -> None:
    for host in (f"rebound.example:{PORT}", "127.0.0.1:1", ""):
        answer = stranger.get("/", params={"token": keys.link}, headers={"host": host})
        assert answer.status_code == 421
        assert "set-cookie" not in answer.headers


def test_two_host_headers_are_refused(session) -> None:
    answer = session.get("/api/records", headers=[("host", HOST), ("host", HOST)])
    assert answer.status_code == 400


@pytest.mark.parametrize("path", EVERYWHERE)
def test_nothing_is_answered_without_the_session(stranger, path) -> None:
    for cookie in ("", f"plessor-{PORT}=", f"plessor-{PORT}=wrong", "plessor-1=x; ; =;"):
        answer = stranger.get(path, headers={"cookie": cookie})
        assert answer.status_code == 403
        assert "open the link" in answer.text


def test_a_wrong_token_opens_nothing(stranger, keys) -> None:
    for token in ("", "wrong", keys.link[:-1], keys.link + "x", "é"):
        answer = stranger.get("/", params={"token": token})
        assert answer.status_code == 403
        assert "set-cookie" not in answer.headers


def test_the_token_opens_the_page_alone(stranger, keys) -> None:
    assert stranger.get("/api/records", params={"token": keys.link}).status_code == 403
    assert stranger.post("/", params={"token": keys.link}, headers=ORIGIN).status_code == 403


def test_the_link_leads_to_the_page_and_the_token_leaves_the_address(stranger, keys) -> None:
    answer = stranger.get("/", params={"token": keys.link})
    assert (answer.status_code, answer.headers["location"]) == (303, keys.root)
    cookie = answer.headers["set-cookie"]
    assert {"HttpOnly", "SameSite=Strict", f"Path={keys.root}"} <= set(re.split("; ?", cookie))
    assert keys.link not in cookie + answer.headers["location"]
    assert stranger.get(f"{keys.root}api/records").status_code == 200


def test_no_other_server_of_this_machine_is_handed_the_session(stranger, keys) -> None:
    """Python's jar follows RFC 6265 here as browsers do: ports are not told apart, paths are."""
    jar = stranger.cookies.jar
    stranger.get("/", params={"token": keys.link})
    for path in ("/", "/api/records", "/static/main.js", keys.root[:-2], "/x/"):
        for port in (PORT, PORT + 1):
            request = Request(f"http://127.0.0.1:{port}{path}")
            jar.add_cookie_header(request)
            assert not request.has_header("Cookie")
    request = Request(f"http://127.0.0.1:{PORT + 1}{keys.root}api/records")
    jar.add_cookie_header(request)  # what a path that is no secret would not prevent
    assert keys.cookie in request.get_header("Cookie")


def test_neither_the_cookie_nor_the_folder_is_enough(session, stranger, keys) -> None:
    cookie = {"cookie": f"plessor-{PORT}={keys.cookie}"}
    stranger.cookies.clear()
    assert stranger.get("/api/records", headers=cookie).status_code == 200
    assert stranger.get("/api/records").status_code == 403
    stranger.base_url = f"http://{HOST}"
    for path in ("/", "/api/records", f"/x{keys.root}", keys.root[:-1], f"/{keys.root}", "/x/"):
        assert stranger.get(path, headers=cookie).status_code == 403, path


def test_the_link_that_starts_the_browser_works_once(keys) -> None:
    token = keys.one_use()
    assert keys.opens(token)
    assert not keys.opens(token)
    assert keys.opens(keys.link)
    assert keys.opens(keys.link)


def test_a_link_for_one_use_that_two_have_seen_leaves_both_outside(stranger, keys) -> None:
    token = keys.one_use()
    for status in (303, 403, 403):
        answer = stranger.get("/", params={"token": token})
        assert answer.status_code == status
        if status == 303:
            stolen = answer.headers["location"]
            assert stranger.get(f"{stolen}api/records").status_code == 200
    assert stranger.get(f"{stolen}api/records").status_code == 403
    answer = stranger.get("/", params={"token": keys.link})  # who sees the terminal gets in
    assert stranger.get(f"{answer.headers['location']}api/records").status_code == 200


def test_two_sessions_have_keys_of_their_own() -> None:
    one, other = Keys(), Keys()
    assert len({k for keys in (one, other) for k in (keys.link, keys.cookie, keys.root)}) == 6
    for secret in (one.link, one.cookie, one.root, one.one_use()):
        assert secret not in repr(one)
        assert len(secret) >= 43  # 256 bits in base64


WRITES = ["/api/records", "/api/records/{id}/edits", "/api/records/{id}/undo", "/api/x"]
ELSEWHERE = [
    {},
    {"origin": "null"},
    {"origin": "http://rebound.example"},
    {"origin": f"https://{HOST}"},
    {"origin": "http://127.0.0.1:1"},
    {"origin": f"http://localhost:{PORT}"},  # the same machine, and yet another origin
    {"origin": f"http://{HOST}.rebound.example"},
    {**ORIGIN, "sec-fetch-site": "cross-site"},
    {**ORIGIN, "sec-fetch-site": "same-site"},
    {**ORIGIN, "sec-fetch-site": "none"},
]


@pytest.mark.parametrize("headers", ELSEWHERE)
@pytest.mark.parametrize("path", WRITES)
def test_a_write_from_elsewhere_is_refused(session, store, add, path, headers) -> None:
    id = add()
    answer = session.client.post(path.format(id=id), json=BODY, headers=headers)
    assert answer.status_code == 403
    assert list(answer.json()) == ["message"]
    assert store.load(id).version == 1


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_other_sites_cannot_read_or_embed(session, site) -> None:
    for path in EVERYWHERE[1:]:
        assert session.get(path, headers={"sec-fetch-site": site}).status_code == 403


@pytest.mark.parametrize("site", ["same-origin", "none"])
def test_our_page_and_a_typed_address_can_read(session, site) -> None:
    assert session.get("/api/records", headers={"sec-fetch-site": site}).status_code == 200


@pytest.mark.parametrize(
    "kind",
    [
        "application/x-www-form-urlencoded",  # these three a form of any site can send
        "multipart/form-data; boundary=x",
        "text/plain",
        "text/plain; application/json",
        "application/json; charset=utf-16",
        "application/jsonp",
        "",
    ],
)
def test_anything_but_json_is_refused(session, kind) -> None:
    headers = {**ORIGIN, "content-type": kind}
    answer = session.client.post("/api/records", content=json.dumps({}), headers=headers)
    assert answer.status_code == 415


def test_compressed_bodies_are_refused(session) -> None:
    assert session.post("/api/records", {}, **{"content-encoding": "gzip"}).status_code == 415


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT"])
def test_other_methods_are_refused(session, method) -> None:
    answer = session.client.request(method, "/api/records", headers=ORIGIN)
    assert answer.status_code == 405
    assert "access-control-allow-origin" not in answer.headers


def test_a_body_that_is_too_long_is_refused_whatever_it_claims(session, monkeypatch) -> None:
    monkeypatch.setattr(bodies, "MAX_BYTES", 1_000)
    headers = {**ORIGIN, "content-type": "application/json"}

    def pieces():
        yield from [b"x" * 300] * 4

    for content in (b"x" * 1_001, pieces()):
        answer = session.client.post("/api/records", content=content, headers=headers)
        assert answer.status_code == 413
        assert "longer than" in answer.json()["message"]
    answer = session.client.post("/api/records", content=b"x" * 1_000, headers=headers)
    assert answer.status_code == 422


@pytest.mark.parametrize("path", ["/", "/api/records", "/api/nothing", "/static/nothing.js"])
def test_every_answer_binds_the_browser(session, stranger, path) -> None:
    for answer in (session.get(path), session.get(path, headers={"host": "rebound.example"})):
        headers = answer.headers
        policy = dict(
            part.strip().partition(" ")[::2]
            for part in headers["content-security-policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
        assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cache-control"] == "no-store"
        assert headers["cross-origin-resource-policy"] == "same-origin"


@pytest.mark.parametrize(
    "headers",
    [
        {"host": HOST},
        {"host": HOST, "origin": f"http://{HOST}"},
        {"host": HOST, "cookie": "{cookie}"},
        {"host": HOST, "cookie": "{cookie}", "origin": "http://rebound.example"},
        {"host": "rebound.example", "cookie": "{cookie}", "origin": "http://rebound.example"},
    ],
)
def test_a_websocket_from_elsewhere_is_closed_before_it_is_open(keys, headers) -> None:
    assert _websocket(keys, headers) == [{"type": "websocket.close", "code": 1008}]


def test_a_websocket_of_our_page_is_let_through(keys) -> None:
    headers = {"host": HOST, "cookie": "{cookie}", "origin": f"http://{HOST}"}
    assert _websocket(keys, headers) == [{"type": "websocket.accept"}]


def _websocket(keys: Keys, headers: dict[str, str]) -> list[dict]:
    sent = []

    async def app(scope, receive, send) -> None:
        await send({"type": "websocket.accept"})

    async def receive() -> dict:
        return {"type": "websocket.connect"}

    async def send(message) -> None:
        sent.append(message)

    guard = Guard(app, keys=keys, port=PORT)
    cookie = f"{guard.cookie_name}={keys.cookie}"
    pairs = [(k.encode(), v.format(cookie=cookie).encode()) for k, v in headers.items()]
    path = f"{keys.root}api/live"
    scope = {"type": "websocket", "path": path, "headers": pairs}
    with ThreadPoolExecutor(1) as apart:  # the browser's loop may be running in this thread
        apart.submit(asyncio.run, guard(scope, receive, send)).result()
    return sent
