"""HPO terms of single findings. Labels: HPO release 2025-01-16 (tests/lexicon/test_hpo_table)."""

import pytest
from plessor.pipeline.interpret import interpret


@pytest.mark.parametrize(
    ("row", "label"),
    [
        ("reflex knee_jerk left absent", "Absent patellar reflexes"),
        ("reflex lower_limb left absent", "Areflexia of lower limbs"),
        ("reflex adductor_jerk left absent", "Areflexia of lower limbs"),
        ("reflex whole_body both absent", "Areflexia"),
        ("reflex biceps_jerk left increased", "Biceps hyperreflexia"),
        ("plantar_response none left extensor", "Babinski sign"),
        ("plantar_response none left absent", None),
        ("clonus ankle left present", "Ankle clonus"),
        ("clonus wrist left present", "Clonus"),
        ("power elbow_extension left 4", "Triceps weakness"),
        ("power elbow_flexion left 4", "Proximal muscle weakness in upper limbs"),
        ("power wrist_extension left 0", "Wrist drop"),
        ("power wrist_extension left 3", "Distal upper limb muscle weakness"),
        ("power whole_body both reduced", "Generalized muscle weakness"),
        ("power whole_body left reduced", "Muscle weakness"),
        ("power C5 left 4", "Upper limb muscle weakness"),
        ("power grip left 5", None),
        ("tone whole_body both reduced", "Generalized hypotonia"),
        ("tone ankle left increased", "Lower limb hypertonia"),
        ("wasting hand_intrinsics left marked", "Intrinsic hand muscle atrophy"),
        ("wasting hand left absent", None),
        ("hypertrophy calf left present", "Calf muscle hypertrophy"),
        ("vibration ankle left reduced", "Impaired vibration sensation at ankles"),
        ("vibration great_toe_joint left absent", "Abolished vibration sense"),
        ("light_touch thumb left reduced", "Impaired tactile sensation"),
        ("light_touch distal_lower_limb left reduced", "Impaired distal tactile sensation"),
        ("gait none none waddling", "Waddling gait"),
        ("romberg_sign none none present", "Positive Romberg sign"),
        ("gowers_sign none none present", "Gowers sign"),
        ("abnormal_posture shoulder_girdle left present", "Abnormal posturing"),  # winging unsaid
        ("deformity foot left present", "Abnormal foot morphology"),  # high arch unsaid
        ("abdominal_reflex none left present", None),
        ("grasp_reflex none left present", "Grasp reflex"),
        ("finger_nose none left unable", None),  # dysmetria is not shown by not doing it
    ],
)
def test_finding_carries_the_closest_term_that_is_true(make_record, row, label) -> None:
    labels = {p.label for p in interpret(make_record(row)).phenotypes}
    assert labels == ({label} if label else set())


# What is no finding at an age: reference/age_norms.csv with its sources.
@pytest.mark.parametrize(
    ("row", "age_months", "carries"),
    [
        ("plantar_response none both extensor", 10, False),
        ("plantar_response none both extensor", 24, True),
        ("grasp_reflex none both present", 3, False),
        ("grasp_reflex none both present", 6, True),
        ("tandem_gait none none impaired", 70, False),
        ("tandem_gait none none unable", 70, True),
        ("gait none none toe_walking", 30, False),
        ("gait none none waddling", 30, True),
        ("reflex ankle_jerk both absent", 800, False),
        ("reflex ankle_jerk both absent", 400, True),
        ("abdominal_reflex none both absent", 400, False),
    ],
)
def test_what_the_age_accepts_carries_no_term(make_record, row, age_months, carries) -> None:
    phenotypes = interpret(make_record(row, age_months=age_months)).phenotypes
    assert bool(phenotypes) is carries


def test_a_difference_between_the_sides_is_never_put_down_to_age(make_record) -> None:
    # Bickley, Bates' Guide: a lasting difference between the sides is a finding.
    uneven = make_record(
        "plantar_response none left extensor", "plantar_response none right flexor", age_months=6
    )
    assert [p.label for p in interpret(uneven).phenotypes] == ["Babinski sign"]
    one_side = make_record(
        "abdominal_reflex none left absent", "abdominal_reflex none right present"
    )
    assert [p.findings for p in interpret(one_side).phenotypes] == [(0,)]


def test_brisk_reflexes_alone_in_a_child_carry_no_term(make_record) -> None:
    record = make_record("reflex knee_jerk both increased", age_months=84)
    assert interpret(record).phenotypes == ()


def test_doubt_stays_with_the_term(make_record) -> None:
    record = make_record("wasting hand left present", "wasting hand right present")
    doubted = record.findings[0].model_copy(update={"certainty": "possible"})
    record = record.model_copy(update={"findings": (doubted, record.findings[1])})
    found = interpret(record).phenotypes
    assert [(p.certainty, p.findings) for p in found] == [("possible", (0,)), ("definite", (1,))]
