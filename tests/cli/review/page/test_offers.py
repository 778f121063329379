"""After words were changed: what was heard can be kept, and what they say now can be added."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from plessor.pipeline.correct.personal import read_personal

SAID = (
    "left wrist extension three right wrist extension five knee jerk brisk on the left "
    "ankle clownus on the right now the thumb is C six hop down now"
)


@pytest.fixture
def reader(shared_reader):
    return shared_reader


@pytest.fixture
def changed(personal, reader, review, visit) -> str:
    """A record of which the words “ankle clownus” were just put right, by keyboard alone."""
    id = review.add(visit(said=SAID, age_months=70))
    reader.open(id)
    reader.page.locator('[data-focus="unresolved:0"]').focus()
    reader.press("Enter", "v", "ArrowLeft", "ArrowRight")
    expect(reader.page.locator(".word.picked")).to_have_text(["clownus"])
    reader.press("e")
    reader.page.keyboard.type("clonus")
    reader.press("Enter")
    reader.saved(2)
    expect(reader.page.locator("#offers")).to_contain_text(
        "clonus, ankle, right: present",
        timeout=20_000,  # words are read for the first time
    )
    return id


def test_page_keeps_what_was_heard_for_next_time_when_asked_to(reader, review, changed) -> None:
    assert read_personal().variants == ()
    reader.press("k")
    reader.told("Kept for next time: “clownus” will be read as “clonus”.")
    assert read_personal().variants == (("clownus", "clonus"),)
    assert review.store.load(changed).version == 2  # the change itself was made once


def test_page_adds_what_the_changed_words_say_at_one_key_only(reader, review, changed) -> None:
    assert len(review.record(changed).findings) == 3  # nothing by itself
    reader.press("q")
    reader.saved(3)
    record = review.record(changed)
    assert (*record.findings[-1].key, record.findings[-1].grade) == (
        "clonus",
        "ankle",
        "right",
        "present",
    )
    assert record.unresolved[0].settled is not None
    expect(reader.page.locator("#offers")).to_be_hidden()


def test_page_leaves_out_what_is_not_wanted(reader, review, changed) -> None:
    reader.press("z", "z", "q")
    reader.told("No finding is offered")
    assert review.store.load(changed).version == 2


@pytest.mark.parametrize("size", [(360, 740), (1600, 1000)])
def test_page_has_no_fault_that_axe_finds_where_it_offers(reader, changed, size) -> None:
    reader.page.set_viewport_size({"width": size[0], "height": size[1]})
    found = Axe().run(reader.page, options={"resultTypes": ["violations"]}).response["violations"]
    reader.page.set_viewport_size({"width": 1400, "height": 900})
    assert [(fault["id"], fault["nodes"][0]["target"]) for fault in found] == []
