"""What the audit trail is told of an edit: wording is ours (house)."""

from __future__ import annotations

import pytest
from plessor.pipeline.review import Change, EditError, apply, describe

GRIP = {"modality": "power", "segment": "grip", "side": "left", "grade": "3"}
WRIST = "left power (wrist extension): 3"


@pytest.mark.parametrize(
    ("kind", "fields", "wanted"),
    [
        (
            "change_finding",
            {"finding": 0, "field": "side", "value": "right"},
            Change(f"change finding: {WRIST}", "side left", "side right"),
        ),
        (
            "change_finding",
            {"finding": 0, "field": "status", "value": "not_examined", "also": {"grade": None}},
            Change(
                f"change finding: {WRIST}",
                "status observed; grade 3",
                "status not examined; grade none",
            ),
        ),
        ("add_finding", GRIP, Change("add finding", "", "left power (grip): 3")),
        (
            "add_finding",
            {**GRIP, "grade": None, "status": "not_examined"},
            Change("add finding", "", "left power (grip): not examined"),
        ),
        (
            "other_side",
            {"finding": 0},
            Change("other side", WRIST, "right power (wrist extension): 3"),
        ),
        ("reject_finding", {"finding": 0}, Change("reject finding", WRIST, "")),
        (
            "confirm_finding",
            {"finding": 0},
            Change(f"confirm finding: {WRIST}", "heard, confidence 0.55", "reviewer"),
        ),
        (
            "settle_stretch",
            {"unresolved": 1},
            Change("settle stretch", "His grip is poor.", "nothing to record"),
        ),
        (
            "resolve_stretch",
            {"unresolved": 1, **GRIP},
            Change("resolve stretch", "His grip is poor.", "left power (grip): 3"),
        ),
        (
            "change_claim",
            {"claim": 0, "field": "value", "value": "C6"},
            Change("change claim: dermatome", "thumb: C5", "thumb: C6"),
        ),
        ("confirm_claim", {"claim": 0}, Change("confirm claim: thumb: C5", "heard", "reviewer")),
        ("reject_claim", {"claim": 0}, Change("reject claim", "thumb: C5", "")),
        (
            "change_words",
            {"first_word": 1, "last_word": 2, "text": " wrist  flexion "},
            Change("change words: from word 1", "risk extension", "wrist flexion"),
        ),
        (
            "decide_correction",
            {"correction": 0, "accept": True},
            Change("decide correction: from word 1", "risk", "wrist"),
        ),
        (
            "decide_correction",
            {"correction": 0, "accept": False},
            Change("decide correction: from word 1", "risk", "risk"),
        ),
        (
            "change_facts",
            {"age_months": 90, "date": "2026-03-04"},
            Change(
                "change facts",
                "age months not recorded; date not recorded",
                "age months 90; date 2026-03-04",
            ),
        ),
    ],
)
def test_an_edit_is_told_with_what_was_before_and_is_after(visit, edit, kind, fields, wanted):
    assert describe(visit(), edit(kind, **fields)) == wanted


def test_a_restored_finding_is_told(visit, edit, when) -> None:
    rejected = apply(visit(), edit("reject_finding", finding=0), who="A. Reader", when=when)
    restored = describe(rejected, edit("restore_finding", rejected=0))
    assert restored == Change("restore finding", "", WRIST)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("reject_finding", {"finding": 9}),
        ("restore_finding", {"rejected": 0}),
        ("settle_stretch", {"unresolved": 9}),
        ("reject_claim", {"claim": 9}),
        ("decide_correction", {"correction": 9, "accept": True}),
        ("change_words", {"first_word": 9, "last_word": 99, "text": "x"}),
    ],
)
def test_what_is_not_there_cannot_be_told(visit, edit, kind, fields) -> None:
    with pytest.raises(EditError):
        describe(visit(), edit(kind, **fields))
