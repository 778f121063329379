"""Several sentences, their findings: what is carried, copied, taken back, or no finding at all.

Every expectation is written from the annotation guide (the house rule book of the record).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from plessor.pipeline.extract import Extraction

Found = Callable[[str], set[str]]

CARRIED = [
    ("On the left: elbow flexion four. Biceps jerk two plus.",
     "power elbow_flexion left 4; reflex biceps_jerk left normal"),
    ("On the left: elbow flexion four. On the right: elbow flexion five.",
     "power elbow_flexion left 4; power elbow_flexion right 5"),
    ("Legs now: tone normal both sides.", "tone lower_limb both normal"),
    ("Arms. Tone normal. Power five.", "tone upper_limb both normal; power upper_limb both 5"),
    ("Legs: tone normal.", "tone lower_limb both normal"),
    ("Left leg: tone increased. Knee jerk three plus. Gait is hemiplegic.",
     "tone lower_limb left increased; reflex knee_jerk left increased; gait none none hemiplegic"),
    ("Right arm: tone normal. Tongue is not wasted.",
     "tone upper_limb right normal; wasting tongue midline absent"),
    ("On the right: knee jerk two plus. Jaw jerk normal.",
     "reflex knee_jerk right normal; reflex jaw_jerk midline normal"),
    ("Arms: power five throughout. Legs: power four throughout.",
     "power upper_limb both 5; power lower_limb both 4"),
    ("Left arm first. Tone normal. Now the right arm. Tone increased.",
     "tone upper_limb left normal; tone upper_limb right increased"),
]  # fmt: skip

RESTS = [
    ("Power five throughout the arms except four in left wrist extension.",
     "power upper_limb both 5; power wrist_extension left 4"),
    ("Pinprick is absent at C six on both sides. Otherwise normal from C five to C seven.",
     "pinprick C6 both absent; pinprick C5 both normal; pinprick C7 both normal"),
    ("On the left: light touch is reduced at L five. Otherwise normal from L four to S one.",
     "light_touch L5 left reduced; light_touch L4 left normal; light_touch S1 left normal"),
    ("Reflexes two plus in the arms apart from an absent left triceps jerk.",
     "reflex upper_limb both normal; reflex triceps_jerk left absent"),
]  # fmt: skip

COPIED = [
    ("On the left: hip flexion four, knee extension five. The same on the right.",
     "power hip_flexion both 4; power knee_extension both 5"),
    ("Left elbow flexion four minus, likewise on the other side.", "power elbow_flexion both 4-"),
    ("No wasting of the left hand. The same on the right.", "wasting hand both absent"),
    ("On the right: knee jerk two plus, ankle jerk one plus. Likewise on the other side.",
     "reflex knee_jerk both normal; reflex ankle_jerk both reduced"),
]  # fmt: skip

CORRECTED = [
    ("Knee jerk absent on the left, sorry, right.", "reflex knee_jerk right absent"),
    ("Left hip flexion three, make that four.", "power hip_flexion left 4"),
    ("Left hip flexion three. Make that four.", "power hip_flexion left 4"),
    ("Right elbow extension four, no, four minus.", "power elbow_extension right 4-"),
    ("The left knee jerk is absent. Sorry, I meant the ankle.", "reflex ankle_jerk left absent"),
    ("Pinprick is reduced at C five, correction, C six on the left.", "pinprick C6 left reduced"),
    ("Tone is increased in the left leg. Sorry, the right leg.", "tone lower_limb right increased"),
    ("Left grip four. Scratch that. Right grip four.", "power grip right 4"),
]  # fmt: skip

NOT_DONE = [
    ("I did not test vibration.", "vibration whole_body unstated not_examined"),
    ("Gait not assessed.", "gait none none not_examined"),
    ("Romberg was not done.", "romberg_sign none none not_examined"),
    ("Vibration was not tested in the left leg.", "vibration lower_limb left not_examined"),
    ("The left ankle jerk could not be assessed because of the cast.",
     "reflex ankle_jerk left not_assessable"),
    ("Power in the right arm could not be assessed.", "power upper_limb right not_assessable"),
    ("Legs: tone normal. Vibration not tested.",
     "tone lower_limb both normal; vibration lower_limb both not_examined"),
    ("I could not assess the gait.", "gait none none not_assessable"),
    ("Plantars were not examined.", "plantar_response none both not_examined"),
]  # fmt: skip

# Only what was observed on this child, today, is a finding.
NOTHING = [
    "Push against me with your left arm.",
    "Pull me towards you, don't let me win.",
    "Squeeze my fingers, nice and hard.",
    "Is there any wasting of the left hand?",
    "What is the root of the knee jerk?",
    "Good, well done, very strong.",
    "Grade three is movement against gravity.",
    "If the reflexes were brisk you would look for clonus.",
    "His mother reports weakness of the left leg.",
    "I will check the reflexes next.",
    "Last year the reflexes were absent.",
    "The boy in the next bed had absent ankle jerks.",
    "His brother has wasting of both calves.",
    "This looks like a C seven radiculopathy.",
    "Impression: spastic diplegia.",
    "Suppose the left plantar is extensor.",
    "At his last visit the left ankle jerk was absent.",
    "The referral letter says that the knee jerks are brisk, I disagree.",
    "We tap the tendon to get a reflex.",
    "",
]

CLAIMS = [
    ("The thumb is C six.", "dermatome thumb C6"),
    ("Pinprick is reduced over the left thumb, that is C six.", "dermatome thumb C6"),
    ("Close your eyes and tell me when I touch your thumb, that's C six.", "dermatome thumb C6"),
    ("The knee jerk is L three and L four.", "reflex_root knee_jerk L3; reflex_root knee_jerk L4"),
    ("The ankle jerk tests S one.", "reflex_root ankle_jerk S1"),
    ("Elbow extension is C seven.", "myotome elbow_extension C7"),
    ("Deltoid is C five.", "myotome shoulder_abduction C5"),
    # Recorded as spoken, even when wrong.
    ("The knee jerk is S one.", "reflex_root knee_jerk S1"),
    ("Grade three is movement against gravity.", "grade_meaning mrc 3"),
    ("Grade one means a flicker of contraction.", "grade_meaning mrc 1"),
    ("Two plus is a normal reflex.", "grade_meaning reflex normal"),
    ("The knee jerk is two plus on both sides.", ""),
    ("A waddling gait is one where the hips drop.", ""),
    ("Power is four at C five on the left.", ""),
]


@pytest.mark.parametrize(("said", "wanted"), [*CARRIED, *RESTS, *COPIED, *CORRECTED, *NOT_DONE])
def test_what_was_said_gives_its_findings(
    found: Found, rows: Found, said: str, wanted: str
) -> None:
    assert found(said) == rows(wanted)


@pytest.mark.parametrize("said", NOTHING)
def test_talk_that_is_no_observation_gives_no_finding(found: Found, said: str) -> None:
    assert found(said) == set()


def test_the_same_child_earlier_the_same_day_is_a_finding(found: Found, rows: Found) -> None:
    said = "This morning the left ankle jerk was absent."
    assert found(said) == rows("reflex ankle_jerk left absent")


@pytest.mark.parametrize(
    ("said", "possible"),
    [
        ("Perhaps a little wasting of the left hand.", True),
        ("Possibly some wasting of the left hand.", True),
        ("There is definite wasting of the left hand.", False),
        ("There is wasting of the left hand.", False),
    ],
)
def test_a_hedge_makes_a_possible_finding(
    extraction: Callable[[str], Extraction], said: str, possible: bool
) -> None:
    (finding,) = extraction(said).findings
    assert (finding.modality, finding.segment, finding.side) == ("wasting", "hand", "left")
    assert finding.grade == "present"
    assert finding.certainty == ("possible" if possible else "definite")


def test_why_something_was_not_assessable_is_kept(
    extraction: Callable[[str], Extraction],
) -> None:
    (finding,) = extraction("The left knee jerk could not be assessed because of pain.").findings
    assert finding.status == "not_assessable"
    assert "pain" in (finding.note or "")


@pytest.mark.parametrize(("said", "wanted"), CLAIMS)
def test_what_is_taught_is_a_claim(claimed: Found, said: str, wanted: str) -> None:
    assert claimed(said) == {c.strip() for c in wanted.split(";") if c.strip()}
