"""What wants a person's eye, in which order, and when it is done with."""

from __future__ import annotations

import pytest
from plessor.lexicon import load
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import LOW_CONFIDENCE, Record
from plessor.pipeline.review import apply, attention


@pytest.fixture
def after(edit, when):
    """Applies edits written as the page sends them, one after the other."""

    def applied(record: Record, *edits: tuple[str, dict[str, object]]) -> Record:
        for kind, fields in edits:
            record = apply(record, edit(kind, **fields), who="A. Reader", when=when)
        return record

    return applied


def kinds(record: Record) -> list[str]:
    return [item.kind for item in attention(record, interpret(record))]


def test_the_most_dangerous_comes_first(visit) -> None:
    record = visit()
    items = attention(record, interpret(record))
    assert [
        (i.kind, i.finding, i.correction, i.unresolved, i.claim, i.first_word, i.last_word)
        for i in items
    ] == [
        ("contradiction", 1, None, None, None, 4, 7),
        ("low_confidence", 0, None, None, None, 0, 3),
        ("suggested_correction", None, 0, None, None, 1, 1),
        ("unresolved", None, None, 1, None, 13, 16),
        ("other_talk", None, None, 0, None, 0, 0),
        ("contradicted_claim", None, None, None, 0, 18, 21),
        ("missing_age", None, None, None, None, None, None),
    ]
    contradiction, low, suggested, unread, talk, claim, _ = items
    assert contradiction.findings == (1, 2)
    assert contradiction.text == "Contradiction, right knee jerk: increased and absent"
    assert low.text == "Low confidence (0.55), left power (wrist extension): 3"
    assert (low.start_s, low.end_s) == (0.0, 1.9)
    assert suggested.text == "Suggested: heard “risk”, perhaps “wrist”"
    assert (suggested.start_s, suggested.end_s) == (0.5, 0.9)
    assert unread.text == "Not understood: “His grip is poor.”"
    assert talk.text == "History: “Left”"
    # reference/dermatomes.csv, after the ISNCSCI key points: the thumb is C6
    assert {d.level for d in load().tables.dermatomes if d.site == "thumb"} == {"C6"}
    assert claim.text.endswith("thumb: C5, the tables give C6")


def test_within_a_kind_the_order_is_that_of_the_recording(visit) -> None:
    record = visit()
    findings = [f.model_copy(update={"confidence": 0.5}) for f in record.findings]
    turned = record.model_copy(
        update={"findings": (findings[1], findings[0]), "age_months": 90, "unresolved": ()}
    )
    low = [i.finding for i in attention(turned, interpret(turned)) if i.kind == "low_confidence"]
    assert low == [1, 0]


@pytest.mark.parametrize(
    ("kind", "edits"),
    [
        ("contradiction", [("reject_finding", {"finding": 2})]),
        (
            "contradiction",
            [("change_finding", {"finding": 2, "field": "side", "value": "left"})],
        ),
        (
            "contradiction",
            [("confirm_finding", {"finding": 1}), ("confirm_finding", {"finding": 2})],
        ),
        ("low_confidence", [("confirm_finding", {"finding": 0})]),
        (
            "low_confidence",
            [("change_finding", {"finding": 0, "field": "grade", "value": "4"})],
        ),
        ("low_confidence", [("reject_finding", {"finding": 0})]),
        ("suggested_correction", [("decide_correction", {"correction": 0, "accept": False})]),
        ("suggested_correction", [("decide_correction", {"correction": 0, "accept": True})]),
        ("unresolved", [("settle_stretch", {"unresolved": 1})]),
        (
            "unresolved",
            [
                (
                    "resolve_stretch",
                    {
                        "unresolved": 1,
                        "modality": "power",
                        "segment": "grip",
                        "side": "left",
                        "grade": "3",
                    },
                )
            ],
        ),
        ("other_talk", [("settle_stretch", {"unresolved": 0})]),
        ("contradicted_claim", [("confirm_claim", {"claim": 0})]),
        ("contradicted_claim", [("reject_claim", {"claim": 0})]),
        (
            "contradicted_claim",
            [("change_claim", {"claim": 0, "field": "value", "value": "C6"})],
        ),
        ("missing_age", [("change_facts", {"age_months": 90})]),
    ],
)
def test_what_a_person_has_dealt_with_is_off_the_list(visit, after, kind, edits) -> None:
    record = visit()
    assert kind in kinds(record)
    assert kind not in kinds(after(record, *edits))


def test_a_contradiction_stays_until_both_are_confirmed(visit, after) -> None:
    record = after(visit(), ("confirm_finding", {"finding": 1}))
    (item,) = [i for i in attention(record, interpret(record)) if i.kind == "contradiction"]
    assert (item.finding, item.findings) == (2, (1, 2))


def test_a_restored_finding_is_to_be_checked_again(visit, after) -> None:
    record = after(
        visit(), ("reject_finding", {"finding": 0}), ("restore_finding", {"rejected": 0})
    )
    assert "low_confidence" in kinds(record)


def test_the_line_of_low_confidence_is_that_of_the_report(visit) -> None:
    record = visit()
    for confidence, wanted in ((LOW_CONFIDENCE, False), (LOW_CONFIDENCE - 0.01, True)):
        finding = record.findings[0].model_copy(update={"confidence": confidence})
        one = record.model_copy(update={"findings": (finding,)})
        assert ("low_confidence" in kinds(one)) is wanted


def test_a_record_in_order_has_nothing_to_check(make_record) -> None:
    assert kinds(make_record("power grip both 5", age_months=90)) == []


def test_an_empty_record_wants_its_age() -> None:
    assert kinds(Record()) == ["missing_age"]
