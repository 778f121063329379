"""A reviewer corrects, hears, signs and hands on, with the keyboard alone.

What was saved is read from the store, not from the page.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import expect


@pytest.fixture
def reader(shared_reader):
    return shared_reader


@pytest.fixture
def opened(reader, review, visit, write_sound):
    sound = write_sound("visit.wav", seconds=20.0)
    id = review.add(visit(sound), audio=sound)
    reader.open(id)
    return id


def test_page_corrects_a_wrong_side_with_two_keys(reader, review, opened) -> None:
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    reader.told("left")
    reader.saved(2)
    finding = review.record(opened).findings[0]
    assert (finding.side, finding.grade, finding.origin.by) == ("left", "3", "reviewer")
    assert finding.evidence == review.store.load(opened, version=1).record.findings[0].evidence


def test_page_goes_from_the_wrong_side_to_a_signed_report(reader, review, opened) -> None:
    page = reader.page
    reader.press(f"Shift+{reader.letter_of(0)}")
    expect(page.locator(".word.picked")).to_have_text(["left", "wrist", "extension", "three"])
    with page.expect_response(re.compile("/clip")) as clip:
        reader.press("p")
    asked = parse_qs(urlsplit(clip.value.url).query)
    assert (float(asked["start_s"][0]), float(asked["end_s"][0])) == (0.0, 1.9)
    assert clip.value.headers["content-type"] == "audio/wav"
    reader.press("s")
    reader.saved(2)
    reader.press(".")
    expect(page.locator("dialog")).to_contain_text("still open to check")
    page.keyboard.insert_text("B. Signer")  # over the name that stands there, which is selected
    reader.press("Tab", "Space", "Enter")
    expect(page.locator("#facts")).to_contain_text("Signed by B. Signer")
    signature = review.record(opened).signature
    assert signature is not None and signature.who == "B. Signer"
    reader.press("h")
    with page.expect_download() as download:
        reader.press("Enter")
    text = download.value.path().read_text(encoding="utf-8")
    assert "wrist extension" in text and "B. Signer" in text


def test_page_makes_an_amendment_of_a_signed_record(reader, review, opened) -> None:
    page = reader.page
    reader.press(".", "Tab", "Space", "Enter")
    expect(page.locator("#facts")).to_contain_text("Signed by A. Reader")
    signed = review.store.load(opened).version
    reader.press(f"Shift+{reader.letter_of(1)}", "c")
    expect(page.locator("dialog")).to_contain_text("amendment")
    reader.press("Escape")
    assert review.store.load(opened).version == signed
    reader.press("c", "Enter")
    expect(page.locator("#facts")).to_contain_text("Amendment, not signed")
    record = review.record(opened)
    assert record.findings[1].certainty == "possible"
    assert record.amends == review.store.load(opened, version=signed).record.signature.sha256


def test_page_offers_only_valid_codes_and_takes_them_by_their_letters(
    reader, review, opened
) -> None:
    page = reader.page
    reader.press(f"Shift+{reader.letter_of(2)}", "g")
    expect(page.get_by_role("option")).to_have_text(
        ["absent", "reduced", "normal", re.compile("increased")]
    )
    reader.press("Escape", "g", "n")
    reader.saved(2)
    reader.press(f"Shift+{reader.letter_of(1)}", "w", "e", "f")
    reader.saved(3)
    reader.press("4", "-")
    reader.saved(4)
    findings = review.record(opened).findings
    assert findings[2].grade == "normal"
    assert (findings[1].segment, findings[1].grade) == ("elbow_flexion", "4-")


def test_page_keeps_keys_that_are_typed_faster_than_it_saves(reader, review, opened) -> None:
    page = reader.page
    page.route("**/edits", lambda route: (page.wait_for_timeout(300), route.continue_()))
    first, second = reader.letter_of(0), reader.letter_of(1)
    reader.press(f"Shift+{first}", "s", f"Shift+{second}", "4", "Enter", "c")
    reader.saved(4)
    findings = review.record(opened).findings
    assert [(f.side, f.grade, f.certainty) for f in findings[:2]] == [
        ("left", "3", "definite"),
        ("right", "4", "possible"),
    ]


def test_page_changes_the_codes_that_no_longer_fit_with_the_modality(
    reader, review, opened
) -> None:
    reader.press(f"Shift+{reader.letter_of(2)}", "m")
    reader.page.keyboard.type("pin")
    reader.page.keyboard.type("thumb")  # a knee jerk is no place of pinprick
    reader.press("Enter")  # since there is its joint too
    reader.saved(2)
    finding = review.record(opened).findings[2]
    assert (finding.modality, finding.segment, finding.grade) == ("pinprick", "thumb", "increased")


def test_page_rejects_restores_and_undoes(reader, review, opened) -> None:
    page = reader.page
    reader.press(f"Shift+{reader.letter_of(0)}", "x", "x")  # the second takes nothing out
    reader.saved(2)
    expect(page.locator("#rejected")).to_contain_text("wrist extension")
    assert len(review.record(opened).findings) == 2
    page.locator('[data-focus="rejected:0"]').focus()
    reader.press("Enter", "y")
    reader.saved(3)
    assert len(review.record(opened).findings) == 3
    reader.press("u")
    reader.saved(4)
    assert [len(review.record(opened).findings), len(review.record(opened).rejected)] == [2, 1]


def test_page_turns_chosen_words_of_a_stretch_into_a_finding(reader, review, opened) -> None:
    page = reader.page
    page.locator('[data-focus="unresolved:0"]').focus()
    reader.press("Enter", "v", "Shift+ArrowLeft", "Shift+ArrowLeft")
    expect(page.locator(".word.picked")).to_have_text(["grip", "on", "the", "right"])
    reader.press("f", "Enter", "Enter", "Enter", "2")  # what, where and side were said
    reader.saved(2)
    record = review.record(opened)
    made = record.findings[-1]
    assert (*made.key, made.grade) == ("power", "grip", "right", "2")
    assert made.evidence is not None and made.evidence.corrected == "grip on the right"
    assert record.unresolved[0].settled is not None


def test_page_adds_a_finding_on_both_sides(reader, review, opened) -> None:
    reader.press("a", "g", "a")  # gait
    expect(reader.page.get_by_role("combobox")).to_be_focused()
    reader.press("Escape", "a")
    reader.page.keyboard.type("woh")  # walking on heels, which has no place
    reader.page.keyboard.type("bo")
    reader.page.keyboard.type("n")
    reader.press("Enter")
    reader.saved(3)
    made = [f for f in review.record(opened).findings if f.modality == "heel_walking"]
    assert sorted(f.side for f in made) == ["left", "right"]


def test_page_decides_on_words_facts_and_claims(reader, review, opened) -> None:
    page = reader.page
    page.locator('[data-focus="correction:0"]').focus()
    reader.press("Enter", "x")
    reader.saved(2)
    assert review.record(opened).words[1].text == "risk"
    page.locator('[data-focus="claim:0"]').focus()
    reader.press("Enter", "g")
    page.keyboard.type("c6")
    reader.saved(3)
    assert review.record(opened).claims[0].value == "C6"
    reader.press("i")
    page.keyboard.type("5y4m")
    reader.press("Enter")
    reader.saved(4)
    assert review.record(opened).age_months == 64


def test_page_goes_through_what_is_to_check_and_ends(reader, review, opened) -> None:
    page = reader.page
    count = int(page.locator("#check .count").inner_text())
    assert count >= 4  # a contradiction, an unsure finding, a stretch, a claim, the age
    seen = []
    for _ in range(count):
        reader.press("n")
        seen.append(page.locator("#check [aria-current=true]").inner_text())
    assert len(set(seen)) == count
    reader.press("n")
    reader.told("From the other end of the list")


def test_page_keys_can_be_turned_off_and_arrows_go_on_working(reader, review, opened) -> None:
    page = reader.page
    page.locator('[data-focus="shortcuts"]').focus()
    reader.press("Space")
    page.locator('[data-finding="0"]').focus()
    reader.press("Enter", "s", "x", "n")
    reader.press("ArrowDown")
    expect(page.locator('[data-finding="1"]')).to_be_focused()
    assert review.store.load(opened).version == 1
    page.locator('[data-focus="field:side"]').focus()
    reader.press("Enter")
    page.keyboard.type("le")
    reader.saved(2)
    assert review.record(opened).findings[1].side == "left"
    page.reload()
    expect(page.locator('[data-focus="shortcuts"]')).not_to_be_checked()


def test_page_interprets_again_after_a_change(reader, review, opened) -> None:
    interpretation = reader.page.locator("#interpretation")
    assert "exclude each other" in interpretation.inner_text()  # right: three, and five
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    reader.saved(2)
    expect(interpretation).not_to_contain_text("exclude each other")


def test_page_and_readme_list_the_same_keys(reader, opened) -> None:
    readme = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
    table = readme.partition("| key | does |")[2].partition("\n\n")[0]
    first_cells = (row.split("|")[1] for row in table.splitlines() if row.startswith("|"))
    written = {key for cell in first_cells for key in re.findall("`([^`])`", cell)}
    listed = {k for k in reader.page.locator("#keys dt kbd").all_inner_texts() if len(k) == 1}
    assert written == listed


def test_page_lists_every_key_that_it_takes(reader, opened) -> None:
    listed = reader.page.locator("#keys dt kbd").all_inner_texts()
    named = {k for k in listed if len(k) == 1}
    buttons = reader.page.locator("button[aria-keyshortcuts]").all()
    used = {b.get_attribute("aria-keyshortcuts") for b in buttons}
    assert {k for k in used if len(k) == 1} <= named
    assert len(listed) == len(set(listed))


def test_page_shows_the_history_of_a_change(reader, review, opened) -> None:
    reader.press(f"Shift+{reader.letter_of(0)}", "s")
    reader.saved(2)
    reader.press("j")
    event = review.store.history(opened)[-1]
    expect(reader.page.locator("#history li").first).to_contain_text(event.after)
    assert json.loads(review.record(opened).model_dump_json())["findings"][0]["side"] == "left"


def test_page_opens_the_first_record_with_tab_and_enter_and_comes_back_to_it(
    reader, opened
) -> None:
    page = reader.page
    page.goto(page.url.split("#")[0] + "#/")
    expect(page.locator(f'[data-focus="record:{opened}"]')).to_be_focused()
    page.locator("h1").focus()
    reader.press("Tab")
    expect(page.locator(".list a").first).to_be_focused()
    reader.press("Enter")
    expect(page.locator("#table h2")).to_be_visible()


def test_page_marks_no_code_that_nobody_said(reader, review, opened) -> None:
    reader.press("a")
    expect(reader.page.get_by_role("option", selected=True)).to_have_count(0)
    reader.press("Enter")
    reader.told("Nothing is marked yet")
    reader.press("ArrowDown")
    expect(reader.page.get_by_role("option", selected=True)).to_have_count(1)
    reader.press("Escape")
    reader.told("No finding was added.")
    assert review.store.load(opened).version == 1


def test_page_leaves_what_is_selected_with_escape(reader, opened) -> None:
    chip = reader.page.locator('[data-finding="0"]')
    reader.press(f"Shift+{reader.letter_of(0)}")
    expect(chip).to_have_attribute("aria-expanded", "true")
    reader.press("Escape")
    expect(chip).to_have_attribute("aria-expanded", "false")
    reader.press("s")  # turns over nothing
    reader.told("Select a finding first.")


def test_page_tells_what_is_open_before_signing_and_what_was_done_to_the_eye(
    reader, review, opened
) -> None:
    page = reader.page
    reader.press(".")
    texts = page.locator("#check .todo li").all_inner_texts()
    assert texts
    expect(page.locator("dialog li")).to_have_text(texts[:5])
    reader.press("Escape")
    expect(page.locator("#live")).to_be_visible()
    reader.told("Not signed.")
    assert review.record(opened).signature is None
