"""Changes against an earlier record, finding by finding."""

import datetime as dt

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret import Change, interpret
from plessor.pipeline.record import Audio, Record


def changes(now: Record, then: Record) -> tuple[Change, ...]:
    return interpret(now, earlier=then).changes


# One MRC step is within examiner variation (Paternostro-Sluga 2008); tone and reflexes have a
# normal in the middle, so that both directions away from it are worse.
@pytest.mark.parametrize(
    ("place", "then", "now", "kind", "within"),
    [
        ("power grip left", "3", "3", "same", False),
        ("power grip left", "2", "4", "better", False),
        ("power grip left", "3", "4", "better", True),
        ("power grip left", "4", "2", "worse", False),
        ("power grip left", "5", "4+", "new", True),
        ("power grip left", "5", "2", "new", False),
        ("power grip left", "2", "normal", "gone", False),
        ("power grip left", "reduced", "3", "not_comparable", False),
        ("reflex knee_jerk left", "absent", "reduced", "better", True),
        ("reflex knee_jerk left", "absent", "increased", "changed", False),
        ("reflex knee_jerk left", "normal", "absent", "new", False),
        ("tone lower_limb left", "reduced", "increased", "changed", False),
        ("tone lower_limb left", "increased", "normal", "gone", True),
        ("wasting hand left", "mild", "marked", "worse", False),
        ("wasting hand left", "absent", "present", "new", False),
        ("wasting hand left", "mild", "present", "not_comparable", False),
        ("pinprick T6 left", "absent", "normal", "gone", False),
        ("pinprick T6 left", "reduced", "increased", "changed", False),
        ("plantar_response none left", "flexor", "extensor", "new", False),
        ("plantar_response none left", "extensor", "equivocal", "changed", False),
        ("gait none none", "waddling", "toe_walking", "not_comparable", False),
        ("gait none none", "waddling", "normal", "gone", False),
        ("finger_nose none left", "unable", "impaired", "better", True),
    ],
)
def test_change_is_named_and_held_against_examiner_variation(
    make_record, place, then, now, kind, within
) -> None:
    (found,) = changes(make_record(f"{place} {now}"), make_record(f"{place} {then}"))
    assert (found.kind, found.within_variation) == (kind, within)
    assert (found.earlier, found.later) == (then, now)
    assert (found.findings, found.earlier_findings) == ((0,), (0,))


def test_each_finding_is_judged_by_its_own_age(make_record) -> None:
    # An extensor response is accepted to two years (reference/age_norms.csv, plantar_response).
    row = "plantar_response none both extensor"
    found = changes(make_record(row, age_months=40), make_record(row, age_months=8))
    assert {c.kind for c in found} == {"new"}
    found = changes(make_record(row, age_months=20), make_record(row, age_months=8))
    assert {c.kind for c in found} == {"same"}


@pytest.mark.parametrize(
    ("then", "now", "reason"),
    [
        ("power grip left 3", "reflex knee_jerk left normal", "not_recorded_earlier"),
        ("power grip left 3", "power grip right 3", "not_recorded_earlier"),
        ("power grip left not_examined", "power grip left 3", "not_recorded_earlier"),
        ("power grip unstated 3", "power grip unstated 4", "side_not_stated"),
    ],
)
def test_what_one_record_lacks_is_not_comparable(make_record, then, now, reason) -> None:
    found = changes(make_record(now), make_record(then))
    assert {c.kind for c in found} == {"not_comparable"}
    assert found[0].reason == reason


def test_a_region_speaks_for_its_parts(make_record) -> None:
    then, now = make_record("power upper_limb left 5"), make_record("power grip left 2")
    (found,) = changes(now, then)
    assert (found.kind, found.earlier_at, found.later_at) == ("new", "upper_limb", "grip")


def test_what_was_compared_is_stated_and_what_cannot_be_is_told(make_record) -> None:
    then = make_record("power grip both 3", "reflex knee_jerk left normal", narration="first")
    now = make_record("power grip both 4", "gait none none normal", age_months=470)
    earlier = interpret(now, earlier=then).earlier
    assert earlier is not None
    assert (earlier.narration, earlier.compared) == ("first", 2)
    assert (earlier.only_earlier, earlier.only_later) == (1, 1)
    assert earlier.disagreements == ("the age in the record given as the earlier one is higher",)


@pytest.mark.parametrize(
    ("then", "now", "told"),
    [
        ((60, "2026-01-10"), (63, "2026-04-10"), None),
        ((60, "2026-01-10"), (60, "2026-01-10"), None),
        ((60, None), (84, None), None),
        ((60, "2026-01-10"), (90, "2026-04-10"), "the ages do not differ by the time"),
        ((60, "2026-04-10"), (60, "2026-01-10"), "has the later date"),
    ],
)
def test_dates_and_ages_that_disagree_are_told(make_record, then, now, told) -> None:
    records = [
        make_record(age_months=age, date=dt.date.fromisoformat(date) if date else None)
        for age, date in (now, then)
    ]
    earlier = interpret(records[0], earlier=records[1]).earlier
    assert earlier is not None
    assert bool(earlier.disagreements) is (told is not None)
    assert told is None or told in earlier.disagreements[0]


def test_the_same_recording_is_told(make_record) -> None:
    audio = Audio(file="a.wav", sha256="0" * 64, duration_s=1.0)
    record = make_record("power grip left 3", audio=audio)
    earlier = interpret(record, earlier=record).earlier
    assert earlier is not None and "same recording" in earlier.disagreements[0]


quickly = settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=80)
OPPOSITE = {"better": "worse", "worse": "better", "new": "gone", "gone": "new"}


@quickly
@given(st.from_type(Record))
def test_nothing_has_changed_in_one_and_the_same_record(record: Record) -> None:
    told = {c.kind for c in changes(record, record)}
    assert told <= {"same", "not_comparable"}


@quickly
@given(st.from_type(Record), st.from_type(Record))
def test_the_way_back_is_the_opposite_change(one: Record, other: Record) -> None:
    def by_place(found: tuple[Change, ...]) -> dict[tuple[str, str, str], str]:
        return {(c.modality, c.segment, c.side): c.kind for c in found if c.kind in OPPOSITE}

    there, back = by_place(changes(one, other)), by_place(changes(other, one))
    assert {key: OPPOSITE[kind] for key, kind in there.items()} == back
