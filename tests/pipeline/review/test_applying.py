"""Each edit: what it changes, that it changes nothing else, and what is refused.

The expected codes follow the vocabulary and the record's own validation; wording is ours.
"""

from __future__ import annotations

import datetime as dt

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.record import Origin, Record
from plessor.pipeline.review import EditError, apply, sign

WHO = "A. Reader"


@pytest.fixture
def done(edit, when):
    """Applies an edit written as the page sends it."""

    def applied(record: Record, kind: str, **fields: object) -> Record:
        return apply(record, edit(kind, **fields), who=WHO, when=when)

    return applied


def test_a_changed_finding_is_the_reviewers_and_keeps_its_evidence(visit, done, when) -> None:
    record = visit()
    after = done(record, "change_finding", finding=0, field="side", value="right")
    finding = after.findings[0]
    assert finding.side == "right"
    assert finding.evidence == record.findings[0].evidence
    assert finding.confidence == 1.0
    assert finding.origin == Origin(by="reviewer", who=WHO, when=when)
    assert after.model_copy(update={"findings": record.findings}) == record
    assert after.findings[1:] == record.findings[1:]


@pytest.mark.parametrize(
    ("field", "value", "also", "wanted"),
    [
        ("grade", "4", {}, {"grade": "4", "status": "observed"}),
        ("segment", "grip", {}, {"segment": "grip"}),
        ("certainty", "possible", {}, {"certainty": "possible"}),
        ("note", "  after a splint ", {}, {"note": "after a splint"}),
        ("status", "not_examined", {}, {"status": "not_examined", "grade": None}),
        (
            "modality",
            "reflex",
            {"segment": "knee_jerk", "grade": "absent"},
            {"modality": "reflex", "segment": "knee_jerk", "grade": "absent", "side": "left"},
        ),
        (
            "status",
            "not_assessable",
            {"grade": None, "note": "in plaster"},
            {"status": "not_assessable", "note": "in plaster", "grade": None},
        ),
    ],
)
def test_every_field_of_a_finding_changes(visit, done, field, value, also, wanted) -> None:
    after = done(visit(), "change_finding", finding=0, field=field, value=value, also=also)
    finding = after.findings[0].model_dump()
    assert {key: finding[key] for key in wanted} == wanted


def test_a_grade_makes_a_finding_observed_again(visit, done) -> None:
    record = done(visit(), "change_finding", finding=0, field="status", value="not_examined")
    after = done(record, "change_finding", finding=0, field="grade", value="5")
    assert (after.findings[0].status, after.findings[0].grade) == ("observed", "5")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"field": "grade", "value": "6"}, "grade for power “6”"),
        ({"field": "grade", "value": None}, "needs a grade"),
        ({"field": "side", "value": "both"}, "two findings"),
        ({"field": "segment", "value": "knee_jerk"}, "not recorded at “knee_jerk”"),
        ({"field": "modality", "value": "reflex"}, "not recorded at"),
        ({"field": "modality", "value": "powr"}, "the nearest valid one is “power”"),
        ({"field": "status", "value": "observed", "also": {"grade": None}}, "needs a grade"),
        ({"field": "grade", "value": "4", "also": {"status": "not_examined"}}, "no grade"),
        ({"field": "certainty", "value": "perhaps"}, "definite"),
        ({"field": "side", "value": "left"}, "the same already"),
        ({"field": "side", "value": "right", "also": {"side": "left"}}, "two values for side"),
        ({"finding": 3, "field": "side", "value": "left"}, "no finding 3"),
    ],
)
def test_a_change_that_leaves_codes_invalid_is_refused(visit, done, fields, said) -> None:
    with pytest.raises(EditError, match=said):
        done(visit(), "change_finding", **{"finding": 0, **fields})


def test_a_finding_is_added_at_the_end_with_its_words(visit, done, when) -> None:
    record = visit()
    codes = {"modality": "power", "segment": "grip", "side": "left", "grade": "4"}
    after = done(record, "add_finding", **codes, certainty="possible", first_word=14, last_word=16)
    assert after.findings[:-1] == record.findings
    finding = after.findings[-1]
    assert finding.model_dump(include=set(codes)) == codes
    assert (finding.certainty, finding.confidence) == ("possible", 1.0)
    assert finding.origin == Origin(by="reviewer", who=WHO, when=when)
    evidence = finding.evidence
    assert evidence is not None
    assert (evidence.heard, evidence.start_s, evidence.end_s) == ("grip is poor.", 7.0, 8.4)
    without = done(record, "add_finding", **codes)
    assert without.findings[-1].evidence is None
    one = done(record, "add_finding", **codes, first_word=14)
    assert one.findings[-1].evidence.corrected == "grip"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"side": "both"}, "two findings"),
        ({"grade": "6"}, "grade"),
        ({"segment": "knee_jerk"}, "not recorded at"),
        ({"first_word": 20, "last_word": 22}, "no words 20 to 22.*0 to 21"),
        ({"first_word": 5, "last_word": 4}, "no words 5 to 4"),
        ({"segment": "wrist_extension", "grade": "3"}, "recorded already"),
    ],
)
def test_a_finding_that_cannot_be_is_not_added(visit, done, change, said) -> None:
    codes = {"modality": "power", "segment": "grip", "side": "left", "grade": "4"}
    with pytest.raises(EditError, match=said):
        done(visit(), "add_finding", **{**codes, **change})


def test_the_other_side_gets_the_same_finding(visit, done) -> None:
    record = visit()
    after = done(record, "other_side", finding=0)
    assert [f.side for f in after.findings] == ["left", "right", "right", "right"]
    assert after.findings[0] == record.findings[0]
    assert after.findings[3].evidence == record.findings[0].evidence
    with pytest.raises(EditError, match="recorded already"):
        done(after, "other_side", finding=0)


@pytest.mark.parametrize(
    ("side", "said"),
    [("midline", "neither left nor right"), ("none", "neither"), ("unstated", "left or right")],
)
def test_what_has_no_sides_has_no_other_side(make_record, done, side, said) -> None:
    with pytest.raises(EditError, match=said):
        done(make_record(f"tone neck {side} normal"), "other_side", finding=0)


def test_a_rejected_finding_is_kept_with_its_reason_and_comes_back_as_it_was(
    visit, done, when
) -> None:
    record = visit()
    after = done(record, "reject_finding", finding=1, why=" said of the brother ")
    assert after.findings == (record.findings[0], record.findings[2])
    (rejected,) = after.rejected
    assert rejected.finding == record.findings[1]
    assert (rejected.who, rejected.when, rejected.why) == (WHO, when, "said of the brother")
    back = done(after, "restore_finding", rejected=0)
    assert back.findings == (record.findings[0], record.findings[2], record.findings[1])
    assert back.rejected == ()
    with pytest.raises(EditError, match="no rejected finding 0"):
        done(back, "restore_finding", rejected=0)


def test_a_confirmed_finding_changes_in_nothing_but_who_says_so(visit, done, edit, when) -> None:
    record = visit()
    after = done(record, "confirm_finding", finding=0)
    same = after.findings[0].model_copy(
        update={"confidence": 0.55, "origin": record.findings[0].origin}
    )
    assert same == record.findings[0]
    assert (after.findings[0].confidence, after.findings[0].origin.who) == (1.0, WHO)
    with pytest.raises(EditError, match="confirmed this finding already"):
        done(after, "confirm_finding", finding=0)
    other = apply(after, edit("confirm_finding", finding=0), who="B. Reader", when=when)
    assert other.findings[0].origin.who == "B. Reader"


def test_a_stretch_becomes_a_finding_with_its_words(visit, done, when) -> None:
    record = visit()
    codes = {"modality": "power", "segment": "grip", "side": "left", "grade": "3"}
    after = done(record, "resolve_stretch", unresolved=1, **codes)
    assert after.findings[-1].evidence == record.unresolved[1].evidence
    settled = after.unresolved[1].settled
    assert settled is not None
    assert (settled.who, settled.when, settled.how) == (WHO, when, "finding")
    assert after.unresolved[1].evidence == record.unresolved[1].evidence
    fewer = done(record, "resolve_stretch", unresolved=1, **codes, first_word=14, last_word=16)
    assert fewer.findings[-1].evidence.corrected == "grip is poor."
    # one stretch may hold two findings
    twice = done(after, "resolve_stretch", unresolved=1, **{**codes, "side": "right"})
    assert len(twice.findings) == len(record.findings) + 2


def test_a_stretch_is_settled_once(visit, done) -> None:
    record = visit()
    after = done(record, "settle_stretch", unresolved=1)
    assert after.unresolved[1].settled.how == "no_finding"
    assert after.findings == record.findings
    with pytest.raises(EditError, match="settled already"):
        done(after, "settle_stretch", unresolved=1)
    codes = {"modality": "power", "segment": "grip", "side": "left", "grade": "3"}
    resolved = done(after, "resolve_stretch", unresolved=1, **codes)
    assert resolved.unresolved[1].settled.how == "finding"
    with pytest.raises(EditError, match="finding was made of this stretch"):
        done(resolved, "settle_stretch", unresolved=1)
    with pytest.raises(EditError, match="no unresolved stretch 2"):
        done(after, "settle_stretch", unresolved=2)


def test_a_taught_fact_is_changed_confirmed_or_taken_out(visit, done, when) -> None:
    record = visit()
    changed = done(record, "change_claim", claim=0, field="value", value="C6").claims[0]
    assert (changed.subject, changed.value) == ("thumb", "C6")
    assert changed.evidence == record.claims[0].evidence
    assert changed.origin == Origin(by="reviewer", who=WHO, when=when)
    confirmed = done(record, "confirm_claim", claim=0)
    assert (confirmed.claims[0].value, confirmed.claims[0].origin.by) == ("C5", "reviewer")
    assert done(record, "reject_claim", claim=0).claims == ()
    for fields, said in (
        ({"field": "value", "value": "C9"}, "level"),
        ({"field": "value", "value": "C5"}, "the same already"),
        ({"field": "subject", "value": "grip"}, "region"),
        ({"claim": 1, "field": "value", "value": "C6"}, "no taught fact 1"),
    ):
        with pytest.raises(EditError, match=said):
            done(record, "change_claim", **{"claim": 0, **fields})


def test_facts_change_and_are_taken_out(visit, done) -> None:
    record = visit(examiner="B. Reader")
    after = done(record, "change_facts", age_months=90, date="2026-03-04")
    assert (after.age_months, after.date, after.examiner) == (
        90,
        dt.date(2026, 3, 4),
        "B. Reader",
    )
    assert done(after, "change_facts", examiner=None).examiner is None
    assert done(after, "change_facts", examiner="  ").examiner is None
    with pytest.raises(EditError, match="an age, an examiner or a date"):
        done(record, "change_facts")
    with pytest.raises(EditError, match="the same already"):
        done(after, "change_facts", age_months=90)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("change_facts", {"age_months": -1}),
        ("change_facts", {"age_months": 1501}),
        ("change_finding", {"finding": -1, "field": "side", "value": "left"}),
        ("change_finding", {"finding": 0, "field": "origin", "value": "heard"}),
        ("change_finding", {"finding": 0, "field": "side", "value": "left", "also": {"rule": "x"}}),
        ("add_finding", {"modality": "power", "segment": "grip", "side": "left", "confidence": 1}),
        ("sign", {}),
    ],
)
def test_what_is_no_edit_is_not_read_as_one(edit, kind, fields) -> None:
    with pytest.raises(ValueError):
        edit(kind, **fields)


@pytest.mark.parametrize(("who", "zone", "said"), [("", True, "name"), ("A", False, "time zone")])
def test_a_change_needs_a_name_and_a_time_with_its_zone(visit, edit, when, who, zone, said) -> None:
    with pytest.raises(EditError, match=said):
        apply(
            visit(),
            edit("confirm_finding", finding=0),
            who=who,
            when=when if zone else when.replace(tzinfo=None),
        )


def test_nothing_is_built_on_what_was_altered(visit, edit, when) -> None:
    altered = sign(visit(), who=WHO, when=when).model_copy(update={"age_months": 3})
    with pytest.raises(EditError, match="changed after it was signed"):
        apply(altered, edit("confirm_finding", finding=0), who=WHO, when=when)


def test_an_edited_record_is_of_the_version_that_knows_edits(visit, done) -> None:
    record = visit(schema_version="1.0")
    assert done(record, "confirm_finding", finding=0).schema_version == "1.1"


def test_a_refusal_is_an_input_error() -> None:
    """The program and the page tell those as one line (lexicon/errors.py)."""
    assert issubclass(EditError, InputError) and EditError.exit_code == 1
