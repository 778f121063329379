"""Contrasts, scores, levels and changes in words."""

import pytest
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record

MRC_SUM = (
    "shoulder_abduction", "elbow_flexion", "wrist_extension",
    "hip_flexion", "knee_extension", "ankle_dorsiflexion",
)  # fmt: skip


def texts(record: Record, kind: str, earlier: Record | None = None) -> list[str]:
    result = interpret(record, earlier=earlier)
    return [s.text for s in result.sentences if s.kind == kind]


def test_proximal_weakness_is_told_for_both_sides_at_once(make_record) -> None:
    record = make_record("power hip_flexion both 3", "power ankle_dorsiflexion both 5")
    assert texts(record, "comparison")[-1] == (
        "Power: weaker proximally in the leg than distally on both sides (mean 3 against 5), by "
        "more than one step."
    )


def test_sides_that_differ_are_told_apart(make_record) -> None:
    record = make_record(
        "power hip_flexion both 5", "power ankle_dorsiflexion left 2",
        "power ankle_dorsiflexion right 4",
    )  # fmt: skip
    told = texts(record, "comparison")
    assert any("distally in the leg" in t and "on the left (mean 2 against 5)" in t for t in told)
    assert any("on the right (mean 4 against 5), by one step at most" in t for t in told)


def test_arm_and_leg_are_told_apart_when_they_differ(make_record) -> None:
    record = make_record("reflex biceps_jerk left normal", "reflex knee_jerk left absent")
    assert texts(record, "comparison")[-1] == (
        "Tendon reflex: weaker in the leg than in the arm on the left (mean 0 against 2), by more "
        "than one step."
    )


def test_means_that_hardly_differ_are_not_told(make_record) -> None:
    record = make_record("power hip_flexion left 4", "power ankle_dorsiflexion left 4+")
    assert interpret(record).contrasts and texts(record, "comparison") == []


def test_a_whole_score_is_told_with_its_sides_and_its_reading_of_signs(make_record) -> None:
    plain = make_record(*(f"power {m} both 5" for m in MRC_SUM))
    assert texts(plain, "score") == ["MRC sum score: 60 of 60 (left 30, right 30 of 30)."]
    signed = make_record(*(f"power {m} both 4-" for m in MRC_SUM))
    (told,) = texts(signed, "score")
    assert told.startswith("MRC sum score: 48 of 60") and "a plus or a minus" in told


def test_what_a_score_lacks_is_told_where_little_is_lacking(make_record) -> None:
    rows = [f"power {m} both 5" for m in MRC_SUM[:-1]]
    record = make_record(*rows, "power ankle_dorsiflexion both reduced")
    assert texts(record, "score") == [
        "MRC sum score: not given, since no grade of their own was recorded for ankle "
        "dorsiflexion on both sides (no number was given)."
    ]
    assert texts(make_record(*rows[:3]), "score") == []


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (
            ("pinprick T5 both normal", "pinprick T6 both absent"),
            "Lowest normal segment on both sides by pinprick: T5 (first abnormal: T6). "
            "Provisional: pinprick and light touch were not both recorded at every segment above.",
        ),
        (
            ("pinprick T5 left normal", "pinprick T8 left absent"),
            "Lowest normal segment on the left by pinprick: T5 (first abnormal: T8). Provisional: "
            "not recorded in between: T6 and T7; pinprick and light touch were not both recorded "
            "at every segment above.",
        ),
        (
            ("pinprick C6 left reduced", "pinprick C7 left normal"),
            "Pinprick on the left: abnormal at C6 and normal again at C7, so no level is given.",
        ),
        (
            ("light_touch T8 right absent",),
            "Light touch on the right: T8 is the highest segment recorded as abnormal; no normal "
            "segment above it was recorded, so no level is given.",
        ),
    ],
)
def test_sensory_levels_are_told_with_what_is_open(make_record, rows, told) -> None:
    assert texts(make_record(*rows), "score") == [told]


def test_changes_are_told_by_kind_and_within_examiner_variation(make_record) -> None:
    then = make_record(
        "power grip left 2", "power hip_flexion both 4", "wasting hand left absent",
        "plantar_response none left extensor", "gait none none waddling", narration="spring",
    )  # fmt: skip
    now = make_record(
        "power grip left 4", "power hip_flexion both 3", "wasting hand left marked",
        "plantar_response none left flexor", "gait none none waddling",
    )  # fmt: skip
    assert texts(now, "change", then) == [
        "Held against the earlier record “spring”: 6 findings can be compared. That both are of "
        "the same child is not checked.",
        "New: wasting in the hand on the left from absent to marked.",
        "No longer found: plantar response on the left from extensor to flexor.",
        "Better: power in grip on the left from 2 to 4.",
        "By one step at most, which is within examiner variation: power in hip flexion on both "
        "sides from 4 to 3.",
        "Unchanged: 1 of 6.",
    ]


def test_records_that_cannot_go_together_are_told(make_record) -> None:
    then, now = make_record(age_months=90), make_record(age_months=80)
    assert any(
        t.startswith("Check the two records: the age in the record")
        for t in texts(now, "change", then)
    )
    assert texts(now, "change") == []
