"""Words that a reviewer changes, and what becomes of everything that points at words."""

from __future__ import annotations

import pytest
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record
from plessor.pipeline.review import EditError, apply, attention, suggest

WHO = "A. Reader"


@pytest.fixture
def changed(edit, when):
    """Writes other words, as the page sends it."""

    def write(record: Record, first: int, last: int, text: str) -> Record:
        change = edit("change_words", first_word=first, last_word=last, text=text)
        return apply(record, change, who=WHO, when=when)

    return write


@pytest.fixture
def decided(edit, when):
    """Decides a correction, as the page sends it."""

    def decide(record: Record, place: int, accept: bool) -> Record:
        change = edit("decide_correction", correction=place, accept=accept)
        return apply(record, change, who=WHO, when=when)

    return decide


def said(record: Record, first: int, last: int) -> list[tuple[str, str | None]]:
    return [(w.text, w.heard) for w in record.words[first : last + 1]]


def ranges(record: Record) -> list[tuple[int, int]]:
    every = [f.evidence for f in record.findings]
    every += [u.evidence for u in record.unresolved] + [c.evidence for c in record.claims]
    return [(e.first_word, e.last_word) for e in every if e]


def test_one_word_for_another(visit, changed, when) -> None:
    record = visit()
    after = changed(record, 1, 1, "wrist")
    assert said(after, 0, 2) == [("Left", None), ("wrist", "risk"), ("extension", None)]
    assert (after.heard, after.corrected) == (
        record.heard,
        record.heard.replace("risk", "wrist", 1),
    )
    evidence = after.findings[0].evidence
    assert evidence.heard == "Left risk extension three."
    assert evidence.corrected == "Left wrist extension three."
    assert ranges(after) == ranges(record)
    own = after.corrections[-1]
    assert (own.heard, own.became, own.first_word, own.last_word) == ("risk", "wrist", 1, 1)
    assert own.made and own.decided and (own.decided.who, own.decided.how) == (WHO, "made")
    # the suggestion for the same word is answered by that
    assert after.corrections[0].decided.how == "replaced"
    assert [f.model_copy(update={"evidence": None}) for f in after.findings] == [
        f.model_copy(update={"evidence": None}) for f in record.findings
    ]


def test_words_that_stay_the_same_are_no_part_of_the_change(visit, changed) -> None:
    after = changed(visit(), 0, 3, "Left wrist extension three.")
    assert [w.heard for w in after.words[:4]] == [None, "risk", None, None]
    assert [w.start_s for w in after.words] == [w.start_s for w in visit().words]


@pytest.mark.parametrize(
    ("first", "last", "text", "words", "growth"),
    [
        # more words
        (1, 1, "wrist and", [("Left", None), ("wrist", "risk"), ("and", "")], 1),
        # fewer words
        (1, 2, "wrist", [("Left", None), ("wrist", "risk extension"), ("three.", None)], -1),
        # words that only come: a neighbour holds what was heard
        (1, 2, "risk of extension", [("Left", None), ("risk", "risk"), ("of", "")], 1),
        # words that only go
        (1, 2, "extension", [("Left", "Left risk"), ("extension", None), ("three.", None)], -1),
        (0, 1, "risk", [("risk", "Left risk"), ("extension", None)], -1),
        (0, 0, "Oh left", [("Oh", "Left"), ("left", ""), ("risk", None)], 1),
    ],
)  # fmt: skip
def test_words_come_and_go_and_ranges_follow(
    visit, changed, first, last, text, words, growth
) -> None:
    record = visit()
    after = changed(record, first, last, text)
    assert said(after, 0, len(words) - 1) == words
    assert len(after.words) == len(record.words) + growth
    assert after.heard == record.heard
    # the first finding's words hold the change, all others come after it
    assert ranges(after)[0] == (0, 3 + growth)
    assert ranges(after)[1:3] == [(a + growth, b + growth) for a, b in ranges(record)[1:3]]
    for before, now in zip(record.findings[1:], after.findings[1:], strict=True):
        assert now.evidence.corrected == before.evidence.corrected
        assert (now.evidence.start_s, now.evidence.end_s) == (
            before.evidence.start_s,
            before.evidence.end_s,
        )


def test_a_range_that_a_change_cuts_grows_to_all_of_it(visit, changed) -> None:
    """Words 3 and 4 become one, and each belonged to another finding."""
    after = changed(visit(), 3, 4, "three-right")
    one, two = (f.evidence for f in after.findings[:2])
    assert (one.first_word, one.last_word) == (0, 3)
    assert (two.first_word, two.last_word) == (3, 6)
    assert one.heard.endswith("three. Right") and two.heard.startswith("three. Right")
    assert (after.words[3].start_s, after.words[3].end_s) == (1.5, 2.4)


def test_a_stretch_that_was_changed_before_is_changed_as_a_whole(visit, changed) -> None:
    once = changed(visit(), 1, 2, "wrist flexion of")
    twice = changed(once, 2, 2, "extension")
    assert said(twice, 0, 4) == [
        ("Left", None),
        ("wrist", "risk extension"),
        ("extension", ""),
        ("of", ""),
        ("three.", None),
    ]
    assert [c.decided.how for c in twice.corrections] == ["replaced", "replaced", "made"]
    assert [c.made for c in twice.corrections] == [False, False, True]


def test_words_written_as_they_were_heard_are_heard_again(visit, changed) -> None:
    record = visit()
    back = changed(changed(record, 1, 2, "wrist"), 1, 1, "risk extension")
    assert said(back, 0, 3) == said(record, 0, 3)
    assert (back.corrected, ranges(back)) == (record.corrected, ranges(record))


@pytest.mark.parametrize(
    ("first", "last", "text", "why"),
    [
        (1, 1, "", "cannot be taken out"),
        (1, 1, " \n ", "cannot be taken out"),
        (1, 1, "risk", "same already"),
        (0, 3, " Left  risk extension three. ", "same already"),
        (3, 2, "x", "no words 3 to 2"),
        (21, 22, "x", "no words 21 to 22 in this record; its words are numbered 0 to 21"),
    ],
)
def test_words_that_cannot_be_written_are_refused(visit, changed, first, last, text, why) -> None:
    with pytest.raises(EditError, match=why):
        changed(visit(), first, last, text)


def test_a_record_without_words_has_none_to_change(make_record, changed) -> None:
    with pytest.raises(EditError, match="no words"):
        changed(make_record("power grip left 4"), 0, 0, "x")


def test_a_suggestion_is_made(visit, decided) -> None:
    record = visit()
    after = decided(record, 0, True)
    assert said(after, 0, 2) == [("Left", None), ("wrist", "risk"), ("extension", None)]
    (correction,) = after.corrections
    assert correction.made and (correction.decided.who, correction.decided.how) == (WHO, "made")
    assert after.corrected.startswith("Left wrist extension")
    assert after.findings[0].evidence.heard.startswith("Left risk")
    assert (after.findings[0].grade, after.findings[0].confidence) == ("3", 0.55)


def test_a_suggestion_keeps_mark_and_capital_of_what_it_replaces(visit, decided) -> None:
    record = visit()
    first = record.corrections[0].model_copy(
        update={"heard": "Left", "became": "lift", "first_word": 0, "last_word": 0}
    )
    last = first.model_copy(
        update={"heard": "three.", "became": "free", "first_word": 3, "last_word": 3}
    )
    record = record.model_copy(update={"corrections": (first, last)})
    after = decided(decided(record, 0, True), 1, True)
    assert said(after, 0, 3) == [
        ("Lift", "Left"),
        ("risk", None),
        ("extension", None),
        ("free.", "three."),
    ]


def test_a_suggestion_is_declined(visit, decided) -> None:
    record = visit()
    after = decided(record, 0, False)
    assert after.words == record.words
    assert not after.corrections[0].made
    assert after.corrections[0].decided.how == "declined"
    with pytest.raises(EditError, match="decided so already"):
        decided(after, 0, False)
    assert decided(after, 0, True).words[1].text == "wrist"


def test_what_was_made_is_confirmed_or_taken_back(visit, decided, changed) -> None:
    record = visit()
    made = changed(record, 1, 1, "wrist of")
    heard = made.model_copy(
        update={"corrections": (made.corrections[1].model_copy(update={"decided": None}),)}
    )
    agreed = decided(heard, 0, True)
    assert agreed.words == heard.words and agreed.corrections[0].decided.how == "confirmed"
    with pytest.raises(EditError, match="decided so already"):
        decided(agreed, 0, True)
    back = decided(heard, 0, False)
    assert said(back, 0, 2) == [("Left", None), ("risk", None), ("extension", None)]
    assert ranges(back) == ranges(record)
    assert not back.corrections[0].made and back.corrections[0].decided.how == "taken_back"


def test_corrections_that_were_made_at_once_are_taken_back_at_once(visit, decided, changed) -> None:
    made = changed(visit(), 1, 2, "wrist")
    one = made.corrections[1].model_copy(update={"decided": None})
    both = made.model_copy(update={"corrections": (one, one.model_copy(update={"term": "wrist"}))})
    back = decided(both, 0, False)
    assert [c.decided.how for c in back.corrections] == ["taken_back", "taken_back"]
    assert [c.made for c in back.corrections] == [False, False]
    assert back.corrected == visit().corrected


def test_a_correction_of_words_that_are_others_by_now_is_refused(visit, decided, changed) -> None:
    record = changed(visit(), 1, 1, "fist")
    with pytest.raises(EditError, match="others by now"):
        decided(record, 0, True)


def test_a_finding_on_changed_words_is_to_be_checked_and_not_changed(visit, changed, edit, when):
    """Words and findings are two things: whoever mends the words must look at the finding."""
    record = visit()
    after = changed(record, 3, 3, "four.")
    assert after.findings[0].grade == "3"
    items = attention(after, interpret(after))
    assert [(i.kind, i.finding) for i in items if i.kind == "words_changed"] == [
        ("words_changed", 0)
    ]
    checked = apply(after, edit("confirm_finding", finding=0), who=WHO, when=when)
    assert not any(i.kind == "words_changed" for i in attention(checked, interpret(checked)))


def test_changed_words_suggest_findings_and_record_none(visit, changed, edit, when) -> None:
    record = visit()
    assert suggest(record) == ()
    after = changed(record, 1, 3, "wrist extension four.")
    (found,) = suggest(after)
    assert (found.key, found.grade) == (("power", "wrist_extension", "left"), "4")
    assert found.evidence.first_word == 0
    assert len(after.findings) == len(record.findings)
    fixed = apply(
        after, edit("change_finding", finding=0, field="grade", value="4"), who=WHO, when=when
    )
    assert suggest(fixed) == ()
