"""Proximal against distal and arm against leg.

Which pattern goes with which: proximal weakness in muscle disease, distal in length-dependent
neuropathy (reference/patterns.csv, myopathy and polyneuropathy_length_dependent).
"""

import pytest
from plessor.pipeline.interpret import Contrast, interpret


def contrasts(record, modality: str = "power") -> dict[tuple[str, str], Contrast]:
    found = interpret(record).contrasts
    return {(c.first_at, c.side): c for c in found if c.modality == modality}


PROXIMAL = (
    "power shoulder_abduction both 3", "power elbow_flexion both 4", "power grip both 5",
    "power hip_flexion both 3", "power hip_extension both 3", "power knee_extension both 4",
    "power ankle_dorsiflexion both 5", "power ankle_plantarflexion both 5",
)  # fmt: skip


def test_proximal_weakness_is_seen_in_arm_and_leg(make_record) -> None:
    found = contrasts(make_record(*PROXIMAL))
    arm, leg = found["proximal_upper_limb", "left"], found["proximal_lower_limb", "right"]
    assert (arm.first.lowest, arm.first.count, arm.second.lowest) == (3.5, 2, 5)
    assert (leg.first.lowest, leg.first.count, leg.second.count) == (3.33, 3, 2)
    for contrast in (arm, leg):
        assert (contrast.relation, contrast.size) == ("first_less", "more_than_one_step")


def test_distal_weakness_is_the_other_way_round(make_record) -> None:
    record = make_record("power hip_flexion left 5", "power ankle_dorsiflexion left 2")
    found = contrasts(record)["proximal_lower_limb", "left"]
    assert (found.relation, found.size) == ("second_less", "more_than_one_step")


def test_arm_is_held_against_leg(make_record) -> None:
    record = make_record("power upper_limb left 5", "power hip_flexion left 2")
    assert contrasts(record)["upper_limb", "left"].relation == "second_less"
    jerks = make_record("reflex biceps_jerk left normal", "reflex knee_jerk left absent")
    assert contrasts(jerks, "reflex")["upper_limb", "left"].size == "more_than_one_step"


def test_a_region_speaks_for_a_part_without_a_grade_of_its_own(make_record) -> None:
    found = contrasts(make_record("power lower_limb left 5", "power ankle_dorsiflexion left 3"))
    leg = found["proximal_lower_limb", "left"]
    assert (leg.first.lowest, leg.second.lowest, leg.relation) == (5, 3, "second_less")


def test_one_step_at_most_is_sized_so(make_record) -> None:
    found = contrasts(make_record("power hip_flexion left 4", "power ankle_dorsiflexion left 5"))
    assert found["proximal_lower_limb", "left"].size == "one_step"


def test_a_word_that_may_mean_the_same_decides_nothing(make_record) -> None:
    found = contrasts(make_record("power hip_flexion left 4", "power toe_flexion left reduced"))
    leg = found["proximal_lower_limb", "left"]
    assert (leg.relation, leg.size, leg.second.lowest) == ("unclear", "not_sized", 1)


@pytest.mark.parametrize(
    "rows",
    [
        ("power lower_limb left 4",),  # one statement for both parts
        ("power hip_flexion left 4", "power hip_extension left 3"),
        ("power hip_flexion left 4", "power ankle_dorsiflexion right 3"),
        ("power hip_flexion left 4", "power ankle_dorsiflexion left not_examined"),
        ("power hip_flexion unstated 4", "power ankle_dorsiflexion unstated 3"),
        ("power knee_flexion left 2", "power knee_flexion left 5", "power toe_flexion left 5"),
        ("reflex finger_jerk left absent", "reflex knee_jerk left normal"),  # absent in health
        ("plantar_response none left extensor", "hoffmann_sign none left absent"),
    ],
)
def test_what_cannot_be_contrasted_is_not(make_record, rows) -> None:
    assert interpret(make_record(*rows)).contrasts == ()
