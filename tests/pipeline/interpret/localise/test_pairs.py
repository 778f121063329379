"""Two lesions are offered only when one does not do.

Carpal tunnel syndrome on both sides is common; a median lesion does not touch the other hand
(O'Brien 2010, Aids to the Examination of the Peripheral Nervous System, 5th ed.).
"""

from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record


def pair_of(findings):
    return interpret(Record(narration="x", age_months=480, findings=findings)).two_sites


def test_two_nerves_of_two_limbs_are_two_lesions(written) -> None:
    found = pair_of(
        written(
            "power finger_abduction left 2; power finger_adduction left 2;"
            " power thumb_abduction left 5;"
            "pinprick little_finger left absent; pinprick thumb left normal;"
            " power finger_flexion left 5;"
            "power ankle_dorsiflexion right 1; power great_toe_extension right 1;"
            "power ankle_eversion right 2; power ankle_inversion right 5;"
            " reflex ankle_jerk both normal;"
            "reflex knee_jerk both normal; plantar_response none both flexor;"
            "light_touch dorsum_of_foot right absent; light_touch sole right normal;"
            "power ankle_dorsiflexion left 5; power finger_abduction right 5"
        )
    )
    assert found is not None and found.decibans >= 5
    names = {(s.site, s.which, s.side) for s in (found.first, found.second)}
    assert names == {("nerve", "ulnar", "left"), ("nerve", "common_fibular", "right")}
    assert found.explained


def test_one_lesion_that_explains_all_is_not_split(written) -> None:
    assert (
        pair_of(
            written(
                "power elbow_extension left 3; power finger_extension left 4;"
                " power wrist_flexion left 4;"
                "reflex triceps_jerk left absent; pinprick middle_finger left reduced;"
                "power finger_abduction left 5; reflex biceps_jerk left normal"
            )
        )
        is None
    )


def test_a_normal_examination_has_no_pair(written) -> None:
    assert pair_of(written("power upper_limb both 5; reflex knee_jerk both normal")) is None
