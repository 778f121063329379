"""Coverage: which expected steps were done, on which side.

Expectations are common bedside practice unless a source stands beside them.
"""

import re

import pytest
from plessor.lexicon import InputError, load
from plessor.lexicon.rules import load_rules
from plessor.pipeline.interpret import Coverage, InterpretOptions, StepCoverage, interpret
from plessor.pipeline.record import Record

UPPER = InterpretOptions(examination="upper_limbs")
LOWER = InterpretOptions(examination="lower_limbs")


def coverage_of(record: Record, options: InterpretOptions | None = None) -> Coverage:
    coverage = interpret(record, options=options).coverage
    assert coverage is not None
    return coverage


def step(coverage: Coverage, name: str) -> StepCoverage:
    return next(s for s in coverage.steps if s.step == name)


def in_state(coverage: Coverage, state: str) -> set[str]:
    return {s.step for s in coverage.steps if s.state == state}


@pytest.mark.parametrize(
    ("row", "steps"),
    [
        ("power elbow_flexion both 4", {"power_elbow"}),
        # ISNCSCI key muscles: C5 elbow flexors, C6 wrist extensors, T1 finger abductors
        ("power C5 both 4", {"power_elbow"}),
        ("power C6 both 4", {"power_wrist"}),
        ("power T1 both 4", {"power_hand"}),
        ("power T4 both 4", set()),
        (
            "power upper_limb both 5",
            {"power_shoulder", "power_elbow", "power_wrist", "power_hand"},
        ),
        ("power proximal_upper_limb both 5", {"power_shoulder", "power_elbow"}),
        ("power grip both 5", {"power_hand"}),
        ("reflex upper_limb both normal", {"biceps_jerk", "triceps_jerk", "supinator_jerk"}),
        ("reflex biceps_jerk both normal", {"biceps_jerk"}),
        ("reflex finger_jerk both normal", set()),
        ("wasting first_dorsal_interosseous both absent", {"inspection_upper"}),
        ("tone wrist both normal", {"tone_upper"}),
        ("spasticity elbow both absent", {"tone_upper"}),
        ("past_pointing none both absent", {"finger_nose"}),
        ("pinprick C6 both normal", {"pain_upper"}),
        ("sensation upper_limb both normal", {"touch_upper"}),
        ("vibration thumb_joint both normal", {"position_upper"}),
        ("plantar_response none both flexor", set()),
        ("pinprick L5 both normal", set()),
    ],
)
def test_coverage_counts_what_was_examined_in_the_arms(make_record, row, steps) -> None:
    assert in_state(coverage_of(make_record(row), UPPER), "done") == steps


@pytest.mark.parametrize(
    ("row", "steps"),
    [
        ("power lower_limb both 5", {"power_hip", "power_knee", "power_ankle"}),
        ("power ankle_dorsiflexion both 5", {"power_ankle"}),
        ("power L3 both 5", {"power_knee"}),  # ISNCSCI key muscle: knee extensors
        ("reflex whole_body both normal", {"knee_jerk", "ankle_jerk"}),
        ("plantar_response none both flexor", {"plantar_response"}),
        ("gait none none normal", {"gait"}),
        ("toe_walking none none normal", {"heel_toe_walking"}),
        ("proprioception great_toe_joint both normal", {"position_lower"}),
        ("sensation perianal both normal", set()),
    ],
)
def test_coverage_counts_what_was_examined_in_the_legs(make_record, row, steps) -> None:
    assert in_state(coverage_of(make_record(row), LOWER), "done") == steps


def test_coverage_tells_one_side_from_both(make_record) -> None:
    record = make_record(
        "reflex biceps_jerk left normal",
        "reflex triceps_jerk both normal",
        "finger_nose none right normal",
        "finger_nose none left not_assessable",
        "tone upper_limb unstated normal",
    )
    coverage = coverage_of(record, UPPER)
    biceps, finger_nose = step(coverage, "biceps_jerk"), step(coverage, "finger_nose")
    assert (biceps.state, biceps.left, biceps.right) == ("one_side_only", "done", "not_done")
    assert (finger_nose.state, finger_nose.left) == ("one_side_only", "not_assessable")
    assert step(coverage, "triceps_jerk").state == "done"
    tone = step(coverage, "tone_upper")
    assert (tone.state, tone.side_not_stated) == ("done", True)


def test_coverage_never_counts_what_was_said_not_to_be_done(make_record) -> None:
    record = make_record(
        "sensation upper_limb both not_examined",
        "reflex biceps_jerk both not_assessable",
        "power upper_limb both 5",
    )
    coverage = coverage_of(record, UPPER)
    assert in_state(coverage, "not_examined") == {"touch_upper", "pain_upper", "position_upper"}
    assert in_state(coverage, "not_assessable") == {"biceps_jerk"}


def test_coverage_prefers_a_result_to_an_earlier_refusal(make_record) -> None:
    record = make_record("reflex knee_jerk both not_examined", "reflex knee_jerk both normal")
    assert step(coverage_of(record, LOWER), "knee_jerk").state == "done"


# Ages: reference/age_norms.csv, whose sources stand there. Tandem gait: Podiapaedia; pinprick:
# Mulcahey et al. 2011; gait: CDC milestones 2022 (walks alone by 18 months).
@pytest.mark.parametrize(
    ("name", "age_months", "state"),
    [
        ("tandem_gait", 59, "not_expected"),
        ("tandem_gait", 60, "not_done"),
        ("pain_lower", 47, "not_expected"),
        ("pain_lower", 48, "not_done"),
        ("gait", 17, "not_expected"),
        ("gait", 18, "not_done"),
        ("knee_jerk", 1, "not_done"),
        ("tandem_gait", None, "not_done"),
    ],
)
def test_coverage_does_not_miss_what_the_age_cannot_give(
    make_record, name, age_months, state
) -> None:
    record = make_record("tone lower_limb both normal", age_months=age_months)
    found = step(coverage_of(record, LOWER), name)
    assert found.state == state
    has_norm = any(row.table == "reference/age_norms.csv" for row in found.rows)
    assert has_norm is (state == "not_expected")


def test_coverage_counts_what_a_young_child_did_all_the_same(make_record) -> None:
    record = make_record("tandem_gait none none normal", age_months=40)
    assert step(coverage_of(record, LOWER), "tandem_gait").state == "done"


ARMS = ("tone upper_limb both normal", "power upper_limb both 5")
LEGS = ("tone lower_limb both normal", "power lower_limb both 5")


@pytest.mark.parametrize(
    ("rows", "examination"),
    [
        (ARMS, "upper_limbs"),
        (LEGS, "lower_limbs"),
        ((*ARMS, *LEGS), "full"),
        ((*ARMS, "plantar_response none both flexor"), "upper_limbs"),
        ((*ARMS, "gait none none normal"), "upper_limbs"),
        ((*ARMS, "tone lower_limb both not_examined", "power L2 both not_examined"), "upper_limbs"),
        (("gait none none normal",), "lower_limbs"),
        (("reflex knee_jerk left normal",), "lower_limbs"),
        (("reflex knee_jerk left normal", "reflex biceps_jerk left normal"), "full"),
        (("tone whole_body both normal",), "full"),
        (("power face left normal",), "full"),
    ],
)
def test_coverage_infers_the_examination(make_record, rows, examination) -> None:
    coverage = coverage_of(make_record(*rows))
    assert (coverage.examination, coverage.chosen) == (examination, False)


def test_coverage_takes_the_examination_that_was_chosen(make_record) -> None:
    coverage = coverage_of(make_record(*ARMS), LOWER)
    assert (coverage.examination, coverage.chosen) == ("lower_limbs", True)
    assert in_state(coverage, "done") == set()


def test_coverage_of_nothing_is_not_judged(make_record) -> None:
    assert interpret(make_record()).coverage is None
    chosen = interpret(make_record(), options=UPPER).coverage
    assert chosen is not None and {s.state for s in chosen.steps} == {"not_done"}


def test_options_refuse_an_unknown_examination() -> None:
    with pytest.raises(InputError, match="upper_limbs"):
        InterpretOptions(examination="upper_limb")  # type: ignore[arg-type]


# What the rows of reference/age_norms.csv say of a test that cannot be expected at an age.
CANNOT = re.compile(
    r"not (reliable|possible|testable|expected)|watch for|a quarter|may not|reach for a toy"
    r"|formal grades not reliable|knee present; triceps and supinator often not obtained"
)


@pytest.mark.parametrize("options", [UPPER, LOWER])
@pytest.mark.parametrize("age_months", [*range(0, 121, 1), 300, 900])
def test_steps_are_expected_exactly_when_the_age_norms_allow(
    make_record, options, age_months
) -> None:
    steps = {s.id: s for s in load_rules().steps}
    found = coverage_of(make_record(age_months=age_months), options)
    for judged in found.steps:
        norm = steps[judged.step].norm
        rows = [n for n in load().tables.age_norms if n.sign == norm and n.holds_at(age_months)]
        cannot = any(CANNOT.match(n.expected) for n in rows)
        assert judged.state == ("not_expected" if cannot else "not_done"), judged.step


def test_a_toddler_is_asked_for_movement_against_gravity_and_no_grades(make_record) -> None:
    # Mulcahey et al. 2006/2007: no child under four could take part in the motor examination.
    record = make_record("power grip both normal", age_months=24)
    found = coverage_of(record, UPPER)
    assert step(found, "power_arms_young").state == "done"
    assert step(found, "power_hand").state == "done"
    assert in_state(found, "not_expected") >= {"power_shoulder", "power_elbow", "power_wrist"}
    older = {s.step for s in coverage_of(make_record(age_months=48), UPPER).steps}
    assert "power_arms_young" not in older


def test_full_examination_is_both_limbs(make_record) -> None:
    full = InterpretOptions(examination="full")
    for age_months in (10, 480):
        record = make_record(age_months=age_months)
        steps = [s.step for s in coverage_of(record, full).steps]
        assert sorted(steps) == sorted(
            s.step for options in (UPPER, LOWER) for s in coverage_of(record, options).steps
        )
