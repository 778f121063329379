"""Every state of the page, held against axe-core's rules (WCAG 2.0 to 2.2, A and AA, and its
best practices), light and dark, on a telephone and on a wall; nothing is cut off at 360 px
(WCAG 1.4.10 asks for 320 px)."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

SIZES = {"narrow": (360, 740), "wide": (1600, 1000)}
AXE = {"resultTypes": ["violations"]}
#: States that show a colour, or a part of the page, which no other shows.
TELLING = ("list", "finding", "codes", "signing", "items", "away", "signed")


@pytest.fixture
def states(reader, review, visit) -> Callable[[], Iterator[str]]:
    """Brings the page from state to state, naming each."""
    first, second = review.add(visit()), review.add(visit(narration="bare", findings=(), words=()))

    def walk() -> Iterator[str]:
        page = reader.page
        page.reload()
        expect(page.locator("table.list")).to_be_visible()
        yield "list"
        reader.open(first)
        yield "record"
        reader.press("n")
        yield "to-check"
        reader.press(f"Shift+{reader.letter_of(0)}")
        yield "finding"
        reader.press("w")
        yield "codes"
        reader.press("Escape", "o")
        yield "note"
        reader.press("Escape", "a")
        yield "new-finding"
        reader.press("Escape", ".")
        yield "signing"
        reader.press("Escape")
        for kind in ("unresolved", "claim", "correction"):
            page.locator(f'[data-focus="{kind}:0"]').click()
        reader.press("j")
        expect(page.locator("#history li").first).to_be_visible()
        yield "items"
        page.route("**/edits", lambda route: route.abort())
        reader.press(f"Shift+{reader.letter_of(0)}", "s")
        expect(page.locator("#notices")).to_contain_text("Kept here")
        yield "away"
        page.unroute("**/edits")
        page.locator('[data-focus="do:aside"]').click()
        reader.press("u" if review.store.load(first).version > 1 else "c")
        yield "changed"
        reader.open(second)
        yield "bare"
        reader.press(".", "Tab", "Space", "Enter")
        if review.record(second).signature is None:
            expect(page.locator("#facts")).to_contain_text("Signed by")
        yield "signed"

    return walk


def _faults(page: Page, **options: object) -> list[str]:
    if not page.evaluate("Boolean(window.axe)"):
        page.evaluate(Axe().axe_script)
    found = page.evaluate("(options) => axe.run(options)", AXE | options)["violations"]
    return [f"{v['id']}: {node['target']}" for v in found for node in v["nodes"]]


@pytest.mark.parametrize("size", SIZES)
def test_page_has_no_fault_that_axe_finds(reader, states, shoot, size) -> None:
    """Every rule in light; in dark, where nothing but colours differs, the rule of contrast;
    on the telephone the states that tell something of their own."""
    page = reader.page
    width, height = SIZES[size]
    page.set_viewport_size({"width": width, "height": height})
    found = {}
    for state in states():
        page.emulate_media(color_scheme="light")
        shoot(page, f"{state}-{size}-light")
        if (size == "wide" or state in TELLING) and (faults := _faults(page)):
            found[state] = faults
        page.emulate_media(color_scheme="dark")
        shoot(page, f"{state}-{size}-dark")
        if (
            size == "wide"
            and state in TELLING
            and (faults := _faults(page, runOnly=["color-contrast"]))
        ):
            found[f"{state}, dark"] = faults
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found[f"{state} is wider than the window"] = []
    assert found == {}


def test_page_shows_where_the_focus_is(reader, review, visit) -> None:
    """WCAG 2.4.7 and 2.4.11: every stop of the tabulator is marked and in sight."""
    page = reader.page
    reader.open(review.add(visit()))
    hidden = []
    for _ in range(60):
        reader.press("Tab")
        state = page.evaluate(
            "() => { const a = document.activeElement; const r = a.getBoundingClientRect();"
            " const at = document.elementFromPoint(r.x + r.width / 2,"
            " r.y + Math.min(r.height / 2, 12));"
            " return {name: a.outerHTML.slice(0, 80), body: a === document.body,"
            " drawn: getComputedStyle(a).outlineStyle !== 'none',"
            " seen: Boolean(at) && (a.contains(at) || at.contains(a))}; }"
        )
        if state["body"]:
            break
        if not (state["drawn"] and state["seen"]):
            hidden.append(state["name"])
    assert hidden == []


def test_page_targets_are_large_enough(reader, review, visit) -> None:
    """WCAG 2.5.8: 24 by 24 CSS pixels at least; 1.4.10: nothing to scroll sideways at 320."""
    reader.page.set_viewport_size({"width": 360, "height": 740})
    reader.open(review.add(visit()))
    reader.press(f"Shift+{reader.letter_of(0)}")
    small = reader.page.evaluate(
        "() => [...document.querySelectorAll("
        "'button, a[href], input:not([type=checkbox]), summary')]"
        ".filter((n) => n.checkVisibility() && !n.matches('.skip'))"
        ".filter((n) => { const r = n.getBoundingClientRect();"
        " return r.width < 24 || r.height < 24; })"
        ".map((n) => n.outerHTML.slice(0, 90))"
    )
    assert small == []
    reader.page.set_viewport_size({"width": 320, "height": 640})
    assert reader.page.evaluate("document.documentElement.scrollWidth") == 320


def test_page_prints_without_what_is_only_for_the_screen(reader, review, visit, shoot) -> None:
    page = reader.page
    reader.open(review.add(visit()))
    page.emulate_media(media="print")
    for part in ("#bar", "#check", "#keys", "#export"):
        expect(page.locator(part)).to_be_hidden()
    for part in ("#table table", "#text", "#interpretation"):
        expect(page.locator(part)).to_be_visible()
    shoot(page, "printed")
