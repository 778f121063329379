"""Other voices than careful dictation: run-on talk, notes in short forms, calls to the patient.

Every expectation is written from the annotation guide (the house rule book of the record);
the wordings are invented.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

Found = Callable[[str], set[str]]

SPOKEN = [
    ("Tone's up in the left arm and in the left leg.",
     "tone upper_limb left increased; tone lower_limb left increased"),
    ("Deltoid four, triceps five on the right.",
     "power shoulder_abduction right 4; power elbow_extension right 5"),
    ("The ankle jerk was absent last year but today it is two plus.",
     "reflex ankle_jerk unstated normal"),
    ("Left knee jerk two plus. And the right knee jerk. Also two plus.",
     "reflex knee_jerk both normal"),
    ("Hip flexion on the left is four. Now the right leg. Also four.", "power hip_flexion both 4"),
    ("Look at this gait. It is waddling.", "gait none none waddling"),
    ("I'm going to tap your knees now. They are brisk.", "reflex knee_jerk both increased"),
    ("She walks on her toes.", "gait none none toe_walking"),
    ("She can walk on her toes and heels.",
     "toe_walking none none normal; heel_walking none none normal"),
    ("Tiptoes he does fine, heels he can't do.",
     "toe_walking none none normal; heel_walking none none unable"),
    ("Tone is normal rather than increased.", "tone whole_body unstated normal"),
    ("Biceps both four.", "power elbow_flexion both 4"),
    ("Finger abduction and grip are both five on the left.",
     "power finger_abduction left 5; power grip left 5"),
    ("Plantar flexion five and five.", "power ankle_plantarflexion both 5"),
    ("Pinprick is reduced in a stocking distribution up to the knees.",
     "pinprick distal_lower_limb both reduced"),
    ("Pinprick is dull on the lateral aspect of the right leg, everywhere else is normal.",
     "pinprick lateral_leg right reduced; pinprick whole_body both normal"),
    ("Upper limb reflexes normal.", "reflex upper_limb both normal"),
    ("The right upper limb reflexes are normal.", "reflex upper_limb right normal"),
    ("Left knee jerk brisk, and so is the left ankle jerk.",
     "reflex knee_jerk left increased; reflex ankle_jerk left increased"),
    ("Biceps and knee jerks on the left are brisk. The right-sided ones are normal.",
     "reflex biceps_jerk left increased; reflex knee_jerk left increased; "
     "reflex biceps_jerk right normal; reflex knee_jerk right normal"),
    ("The arms are normal, by which I mean tone, power and reflexes.",
     "tone upper_limb both normal; power upper_limb both normal; reflex upper_limb both normal"),
    ("Rigidity in the right arm, marked at the wrist.", "rigidity wrist right marked"),
    ("Rigidity at the right wrist and none at the left wrist.",
     "rigidity wrist right present; rigidity wrist left absent"),
    ("A little weak on the right with shoulder abduction, I'd say a four.",
     "power shoulder_abduction right 4"),
    ("Elbows: flexion four, extension five, both sides.",
     "power elbow_flexion both 4; power elbow_extension both 5"),
    ("There is no active wrist extension on the left.", "power wrist_extension left absent"),
    ("Plantars. Both are up.", "plantar_response none both extensor"),
    ("Power. I could not grade it in the left arm.", "power upper_limb left not_assessable"),
    ("A mild tremor of the left hand, see how it beats?", "tremor hand left mild"),
]  # fmt: skip

RUN_ON = [
    ("tone normal power five throughout plantars both down no clonus light touch intact everywhere",
     "tone whole_body unstated normal; power whole_body both 5; "
     "plantar_response none both flexor; clonus ankle unstated absent; "
     "light_touch whole_body both normal"),
    ("this is the left arm elbow flexion four minus no four elbow extension five and grip five",
     "power elbow_flexion left 4; power elbow_extension left 5; power grip left 5"),
    ("hip flexion five knee extension five ankle dorsiflexion five all on the left and on the "
     "right hip flexion four knee extension three",
     "power hip_flexion left 5; power knee_extension left 5; power ankle_dorsiflexion left 5; "
     "power hip_flexion right 4; power knee_extension right 3"),
    ("now kick out straight good lad knee extension five both sides pull your foot up towards "
     "you ankle dorsiflexion four on the right five on the left",
     "power knee_extension both 5; power ankle_dorsiflexion right 4; "
     "power ankle_dorsiflexion left 5"),
    ("triceps jerk absent left two plus right supinator jerk two plus both sides tone normal",
     "reflex triceps_jerk left absent; reflex triceps_jerk right normal; "
     "reflex supinator_jerk both normal; tone whole_body unstated normal"),
    ("clonus left ankle present right ankle absent plantars extensor both sides tone up both legs",
     "clonus ankle left present; clonus ankle right absent; plantar_response none both extensor; "
     "tone lower_limb both increased"),
    ("grasp reflex still there on both sides he can't be tested for vibration and tone is normal",
     "grasp_reflex none both present; vibration whole_body unstated not_assessable; "
     "tone whole_body unstated normal"),
    ("right leg pinprick normal at l two reduced at l five left leg pinprick normal l two to "
     "l five",
     "pinprick L2 right normal; pinprick L5 right reduced; pinprick L2 left normal; "
     "pinprick L3 left normal; pinprick L4 left normal; pinprick L5 left normal"),
]  # fmt: skip

NOTES = [
    ("DTRs 2+ symmetric. Toes downgoing b/l. No focal deficits.",
     "reflex whole_body both normal; plantar_response none both flexor"),
    ("Sensation intact to LT.", "light_touch whole_body unstated normal"),
    ("Sens decreased LT L arm.", "light_touch upper_limb left reduced"),
    ("UE strength 5/5, LE strength 4/5.", "power upper_limb both 5; power lower_limb both 4"),
    ("LUE 4/5 prox, 3/5 distal.",
     "power proximal_upper_limb left 4; power distal_upper_limb left 3"),
    ("Delt 5/5, tri 4/5, IO 3/5 b/l.",
     "power shoulder_abduction both 5; power elbow_extension both 4; "
     "power finger_abduction both 3"),
    ("+Hoffmann b/l. Babinski neg b/l.",
     "hoffmann_sign none both present; plantar_response none both flexor"),
    ("4 beats clonus L ankle, none on R.",
     "clonus ankle left present; clonus ankle right absent"),
    ("Able to heel and toe walk. Unable to tandem.",
     "heel_walking none none normal; toe_walking none none normal; tandem_gait none none unable"),
    ("RUE strength 4/5, otherwise 5/5.", "power upper_limb right 4; power whole_body both 5"),
    ("Sensation is intact to light touch, pinprick and vibration.",
     "light_touch whole_body unstated normal; pinprick whole_body unstated normal; "
     "vibration whole_body unstated normal"),
    ("Strength is 5/5 in the bilateral deltoids, biceps and wrist extensors.",
     "power shoulder_abduction both 5; power elbow_flexion both 5; power wrist_extension both 5"),
    ("Reflexes are 2+ and symmetric in the biceps, patella and Achilles.",
     "reflex biceps_jerk both normal; reflex knee_jerk both normal; "
     "reflex ankle_jerk both normal"),
    ("Strength 4+/5 left iliopsoas, otherwise 5/5 throughout.",
     "power hip_flexion left 4+; power whole_body both 5"),
    ("Moderate weakness of left hip flexors at 3/5.", "power hip_flexion left 3"),
    ("Reflexes absent at the right knee and ankle, 2+ on the left.",
     "reflex knee_jerk right absent; reflex ankle_jerk right absent; "
     "reflex knee_jerk left normal; reflex ankle_jerk left normal"),
    ("No sensory deficits. No motor deficits.",
     "sensation whole_body unstated normal; power whole_body unstated normal"),
    # denied is what follows, which is nothing examined: not that there is no sensation
    ("No sensory symptoms. No motor abnormality.", ""),
    ("Strength is 5 out of 5 in all muscle groups of the lower extremities.",
     "power lower_limb both 5"),
    ("Sensory: decreased LT in a stocking distribution.",
     "light_touch distal_lower_limb both reduced"),
    ("MAE, moves all extremities well.", ""),
    ("Straight leg raise positive on the left.", ""),
]  # fmt: skip

CALLS = [
    ("So you do have some decreased sensation in your left foot there.",
     "sensation foot left reduced"),
    ("Your reflexes are two plus and equal.", "reflex whole_body both normal"),
    ("Your strength looks good, five out of five.", "power whole_body unstated 5"),
    ("I don't feel any weakness in the quads.", "power knee_extension both normal"),
    ("I can't get a triceps reflex on the left.", "reflex triceps_jerk left absent"),
    ("It's a little weak on the left, the dorsiflexion, I'd call that a four out of five.",
     "power ankle_dorsiflexion left 4"),
    ("Good. So all five out of five in your legs.", "power lower_limb both 5"),
    ("You're a little weak in your left hand.", "power hand left reduced"),
    ("Push your arms out. Good strength there.", ""),
    ("Squeeze my hands. Strong!", ""),
]  # fmt: skip

NOT_OF_A_PATIENT = [
    "I'm going to be the patient today. The gait is broad based. The left arm is weak.",
    "You know, I examined a man on Thursday who had brisk knee jerks.",
    "A waddling child has weak hips.",
    "when you're grading power people get hung up on four minus and four plus and so on you see",
    "say you found deltoid weak and the biceps jerk gone you'd be thinking of the root yes",
]

CLAIMED = [
    ("What is a tendon reflex? Biceps is C five.", "reflex_root biceps_jerk C5"),
    ("Now reflexes. Knee is L three and L four.",
     "reflex_root knee_jerk L3; reflex_root knee_jerk L4"),
    ("Stand on your toes, S one, which is ankle plantarflexion.",
     "myotome ankle_plantarflexion S1"),
    ("Pinprick over the middle finger on the left, C seven, is reduced.",
     "dermatome middle_finger C7"),
    ("The pinprick is reduced at the toes. What is the sensory level? T eight.", ""),
    ("it matters so three is movement against gravity and five is full strength for that child",
     "grade_meaning mrc 3; grade_meaning mrc 5"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "wanted"), [*SPOKEN, *RUN_ON, *NOTES, *CALLS])
def test_another_voice_gives_the_same_findings(
    found: Found, rows: Found, said: str, wanted: str
) -> None:
    assert found(said) == rows(wanted)


@pytest.mark.parametrize("said", NOT_OF_A_PATIENT)
def test_talk_about_nobody_here_gives_no_finding(found: Found, said: str) -> None:
    assert found(said) == set()


@pytest.mark.parametrize(("said", "wanted"), CLAIMED)
def test_what_is_taught_in_passing_is_a_claim(claimed: Found, said: str, wanted: str) -> None:
    assert claimed(said) == {c.strip() for c in wanted.split(";") if c.strip()}
