"""What the page must not do, and what it must not lose.

Script in a record stays text (OWASP cross-site scripting: HTML body and attribute contexts);
nothing is fetched from elsewhere; a conflict is shown; a change made while the program is away
is kept and saved later.
"""

from __future__ import annotations

import datetime as dt
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

from playwright.sync_api import expect
from plessor.pipeline.formats import FORMATS
from plessor.pipeline.record import Word

MARKUP = '<img src=x onerror="window.hit=1"><script>window.hit=1</script>'


def test_page_shows_script_in_a_record_as_text(reader, review, visit) -> None:
    plain = visit()
    hostile = plain.model_copy(
        update={
            "narration": MARKUP,
            "examiner": '"><svg onload=window.hit=1>',
            "words": (Word(text="<b>left</b>", heard=MARKUP), *plain.words[1:]),
            "findings": (
                plain.findings[0].model_copy(update={"note": MARKUP}),
                *plain.findings[1:],
            ),
            "unresolved": (plain.unresolved[0].model_copy(update={"reason": MARKUP}),),
        }
    )
    id = review.add(hostile)
    reader.page.reload()
    expect(reader.page.locator("table.list")).to_contain_text(MARKUP)
    reader.open(id)
    page = reader.page
    for place in ("h1", "#table", "#unresolved"):
        expect(page.locator(place)).to_contain_text(MARKUP)
    expect(page.locator("#text")).to_contain_text("<b>left</b>")
    expect(page.locator("#facts")).to_contain_text("<svg onload")
    assert page.evaluate("window.hit") is None
    assert page.locator("main script, main img[src=x], main b").count() == 0


def test_page_asks_nobody_but_the_program(reader, review, visit, write_sound) -> None:
    sound = write_sound("visit.wav", seconds=20.0)
    id = review.add(visit(sound), audio=sound)
    reader.open(id)
    reader.press("n", "p", f"Shift+{reader.letter_of(0)}", "s", "j")
    reader.saved(2)
    elsewhere = [u for u in reader.requests if not u.startswith((f"{review.origin}/", "data:"))]
    assert elsewhere == []
    assert len(reader.requests) > 20


def test_browser_hands_the_session_to_no_other_port(reader, review) -> None:
    """Cookies do not tell ports apart (RFC 6265, section 8.5); another user may listen there."""
    seen = []

    class Listener(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            seen.append((self.path, self.headers.get("Cookie", "")))
            self.send_response(200)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    with HTTPServer(("127.0.0.1", 0), Listener) as other:
        threading.Thread(target=other.serve_forever, daemon=True).start()
        origin = f"http://127.0.0.1:{other.server_port}"
        for path in ("/", "/api/records", "/static/main.js"):
            reader.page.goto(origin + path)
            assert reader.page.evaluate("document.cookie") == ""
        cookies = reader.page.context.cookies(f"{origin}{review.keys.root}")
        other.shutdown()
    assert {path for path, _ in seen} >= {"/", "/api/records", "/static/main.js"}
    assert all(review.keys.cookie not in cookie for _, cookie in seen)
    assert [c["value"] for c in cookies] == [review.keys.cookie]  # the folder alone keeps it in


def test_page_runs_no_inline_script_or_style(reader, review, visit) -> None:
    reader.open(review.add(visit()))
    page = reader.page
    page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'window.hit = 1';"
        " document.body.append(s); }"
    )
    assert page.evaluate("window.hit") is None
    assert [f for f in reader.faults if "Content Security Policy" in f]
    reader.faults.clear()


def test_page_shows_a_conflict_and_applies_the_change_again(reader, review, visit) -> None:
    page = reader.page
    id = review.add(visit())
    reader.open(id)
    stored = review.store.load(id)
    findings = stored.record.findings
    other = stored.record.model_copy(update={"findings": (findings[2], *findings[:2])})
    review.store.save(
        id,
        other,
        base_version=1,
        who="C. Other",
        when=dt.datetime.now(dt.UTC),
        what="order",
        before="",
        after="",
        why=None,
    )
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    expect(page.locator("#notices")).to_contain_text("Somebody else")
    expect(page.locator("#notices")).to_contain_text("Kept here")
    reader.saved(2)
    assert review.store.load(id).version == 2
    reader.press("r")
    reader.saved(3)
    expect(page.locator("#notices")).to_be_empty()
    changed = review.record(id).findings
    assert (changed[1].grade, changed[1].side) == ("3", "left")
    assert changed[0] == findings[2] and changed[2] == findings[1]


def test_page_keeps_a_change_while_the_program_is_away(reader, review, visit) -> None:
    page = reader.page
    id = review.add(visit())
    reader.open(id)
    review.stop()
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    expect(page.locator("#notices")).to_contain_text("Not saved. The program does not answer")
    reader.press("c")
    expect(page.locator("#notices")).to_contain_text("still waiting to be saved")
    reader.press("r")
    expect(page.locator("#notices")).to_contain_text("Kept here: power, wrist extension, left: 3")
    review.start_again()
    reader.press("r")
    reader.saved(2)
    expect(page.locator("#notices")).to_be_empty()
    finding = review.record(id).findings[0]
    assert (finding.side, finding.certainty) == ("left", "definite")


def test_page_keeps_a_change_for_the_record_that_it_was_made_in(reader, review, visit) -> None:
    page = reader.page
    first, second = review.add(visit()), review.add(visit(narration="second"))
    reader.open(first)
    page.route("**/edits", lambda route: route.abort())
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    expect(page.locator("#notices")).to_contain_text("Kept here")
    page.unroute("**/edits")
    reader.open(second)
    reader.press("r")
    expect(page.locator("h1")).to_have_text("Examination visit")
    reader.press("r")
    reader.saved(2)
    assert review.record(first).findings[0].side == "left"
    assert review.store.load(second).version == 1


def test_page_signs_only_the_record_that_was_asked_about(reader, review, visit) -> None:
    first, second = review.add(visit()), review.add(visit(narration="second"))
    reader.open(first)
    reader.press(".")
    expect(reader.page.locator("dialog")).to_be_visible()
    reader.page.evaluate(f"location.hash = '#/record/{second}'")
    expect(reader.page.locator("h1")).to_have_text("Examination second")
    expect(reader.page.locator("dialog")).to_have_count(0)
    assert [review.store.load(id).version for id in (first, second)] == [1, 1]


def test_page_asks_before_it_is_left_with_an_unsaved_change(reader, review, visit) -> None:
    page = reader.page
    reader.open(review.add(visit()))
    page.route("**/edits", lambda route: route.abort())
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    expect(page.locator("#notices")).to_contain_text("Kept here")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.close(run_before_unload=True)
    page.wait_for_timeout(300)
    assert asked == ["beforeunload"]


def test_page_shows_what_was_asked_for_last(reader, review, visit) -> None:
    """An answer that is slow must not take the place of a later one."""
    page = reader.page
    id = review.add(visit())
    page.route("**/api/records", lambda route: (page.wait_for_timeout(400), route.continue_()))
    page.evaluate("location.hash = '#/'")
    page.evaluate(f"location.hash = '#/record/{id}'")
    expect(page.locator("#table h2")).to_be_visible()
    page.wait_for_timeout(600)
    expect(page.locator("h1")).to_have_text("Examination visit")


def test_page_tells_why_a_change_is_refused(reader, review, visit) -> None:
    page = reader.page
    id = review.add(visit())
    reader.open(id)
    page.route(
        "**/edits",
        lambda route: route.continue_(
            post_data=route.request.post_data.replace('"left"', '"nowhere"')
        ),
    )
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    expect(page.locator("#notices")).to_contain_text("Not changed.")
    assert review.store.load(id).version == 1


def test_page_hands_on_every_format(reader, review, visit) -> None:
    reader.open(review.add(visit()))
    links = reader.page.locator("#export a")
    assert links.all_inner_texts() == list(FORMATS)
    with reader.page.expect_download() as download:
        links.first.press("Enter")
    assert download.value.path().stat().st_size > 100
    # A headless browser may hold back a file that comes so soon after another: what the page
    # hands over is seen without it.
    reader.page.evaluate(
        """() => { window.handed = []; const make = URL.createObjectURL;
            URL.createObjectURL = (blob) => { window.handed.push(blob.size); return make(blob); };
        }"""
    )
    for number, (format, link) in enumerate(zip(FORMATS, links.all(), strict=True), start=1):
        with reader.page.expect_response(f"**/export/{format}") as given:
            link.press("Enter")
        name = given.value.headers["content-disposition"].split('"')[1]
        expect(reader.page.locator("body")).to_contain_text(f"{name} is handed to the browser.")
        reader.page.wait_for_function("(n) => window.handed.length === n", arg=number)
        assert given.value.ok and reader.page.evaluate("window.handed.at(-1)") > 100
