"""One sentence, its findings: place, side and grade as the annotation guide asks for them.

Every expectation is written from the annotation guide (the house rule book of the record), not
from what the program does. Where another source decides, it is named beside the rows.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

Found = Callable[[str], set[str]]

# The place is the most specific one spoken; a level where a level is spoken.
PLACES = [
    ("Pinprick is reduced over the left thumb, that is C six.", "pinprick C6 left reduced"),
    ("Pinprick is reduced over the left thumb.", "pinprick thumb left reduced"),
    ("Light touch is absent over the sole of the right foot.", "light_touch sole right absent"),
    ("Sensation is reduced over the right lateral forearm.",
     "sensation lateral_forearm right reduced"),
    ("Vibration is absent at the left great toe.", "vibration great_toe left absent"),
    ("Joint position sense is impaired at the right big toe joint.",
     "proprioception great_toe_joint right reduced"),
    ("Proprioception is normal over the right great toe.", "proprioception great_toe right normal"),
    ("There is wasting of the left shin.", "wasting leg left present"),
    ("There is wasting of the right lower leg.", "wasting leg right present"),
    ("There is moderate wasting of the left leg.", "wasting lower_limb left moderate"),
    ("There is wasting of the right arm.", "wasting upper_limb right present"),
    ("Tone is increased in both upper limbs.", "tone upper_limb both increased"),
    ("Tone is reduced in the legs.", "tone lower_limb both reduced"),
    ("Tone is normal in all four limbs.",
     "tone upper_limb both normal; tone lower_limb both normal"),
    ("Pes cavus on the left.", "deformity foot left present"),
    ("There is clonus at the right ankle.", "clonus ankle right present"),
]  # fmt: skip

# Power takes a movement; a muscle is the movement that it is the usual test of.
POWER = [
    ("Left elbow flexion four.", "power elbow_flexion left 4"),
    ("Right deltoid four plus.", "power shoulder_abduction right 4+"),
    ("Left biceps four out of five.", "power elbow_flexion left 4"),
    ("Right triceps three out of five.", "power elbow_extension right 3"),
    ("Left quadriceps four minus.", "power knee_extension left 4-"),
    ("Right hamstrings four.", "power knee_flexion right 4"),
    ("Left tibialis anterior two.", "power ankle_dorsiflexion left 2"),
    ("Right gastrocnemius five.", "power ankle_plantarflexion right 5"),
    ("Left iliopsoas three.", "power hip_flexion left 3"),
    ("Interossei four minus on the right.", "power finger_abduction right 4-"),
    ("C five, deltoid, four on the left.", "power shoulder_abduction left 4"),
    ("Power on the right at C five is four.", "power C5 right 4"),
    ("Power in the left arm is four out of five.", "power upper_limb left 4"),
    ("Power is full in both legs.", "power lower_limb both normal"),
    ("Grip is strong on both sides.", "power grip both normal"),
    ("Hip flexion is weak on the left.", "power hip_flexion left reduced"),
    ("Good strength in the right arm.", "power upper_limb right normal"),
    ("Wrist extension grade three on the left.", "power wrist_extension left 3"),
    ("Ankle dorsiflexion four over five on the right.", "power ankle_dorsiflexion right 4"),
    ("There is only a flicker of the left deltoid.", "power shoulder_abduction left 1"),
    ("Knee extension three on the right, four on the left.",
     "power knee_extension right 3; power knee_extension left 4"),
    ("The legs are weak. Hip flexion three on both sides.", "power hip_flexion both 3"),
    ("No weakness of the right arm.", "power upper_limb right normal"),
    ("Neck flexion is three.", "power neck_flexion midline 3"),
]  # fmt: skip

# Reflexes: names, synonyms and grades of the guide.
REFLEXES = [
    ("Left knee reflex two plus.", "reflex knee_jerk left normal"),
    ("Right patellar reflex is brisk.", "reflex knee_jerk right increased"),
    ("Left brachioradialis reflex one plus.", "reflex supinator_jerk left reduced"),
    ("Achilles reflexes are absent.", "reflex ankle_jerk both absent"),
    ("Biceps jerk is exaggerated on the right.", "reflex biceps_jerk right increased"),
    ("Knee jerks are hyperreflexic.", "reflex knee_jerk both increased"),
    ("Knee jerks three plus.", "reflex knee_jerk both increased"),
    ("Knee jerks four plus.", "reflex knee_jerk both increased"),
    ("Ankle jerks are sluggish.", "reflex ankle_jerk both reduced"),
    ("Ankle jerks are depressed.", "reflex ankle_jerk both reduced"),
    ("Ankle jerks are diminished.", "reflex ankle_jerk both reduced"),
    ("Ankle jerks one plus.", "reflex ankle_jerk both reduced"),
    ("Triceps jerks are present and symmetrical.", "reflex triceps_jerk both normal"),
    ("The left ankle jerk is present.", "reflex ankle_jerk left normal"),
    ("Left knee jerk is a trace.", "reflex knee_jerk left reduced"),
    ("Right ankle jerk zero.", "reflex ankle_jerk right absent"),
    ("Ankle jerks nil on both sides.", "reflex ankle_jerk both absent"),
    ("Knee jerks obtained only with reinforcement.", "reflex knee_jerk both reduced"),
    ("Knee jerk two plus.", "reflex knee_jerk unstated normal"),
    ("Jaw jerk is brisk.", "reflex jaw_jerk midline increased"),
    ("Biceps, triceps and supinator jerks normal on both sides.",
     "reflex biceps_jerk both normal; reflex triceps_jerk both normal; "
     "reflex supinator_jerk both normal"),
    ("Reflexes in the legs are brisk.", "reflex lower_limb both increased"),
    ("No reflexes in the arms.", "reflex upper_limb both absent"),
]  # fmt: skip

SIGNS = [
    ("Plantars are downgoing.", "plantar_response none both flexor"),
    ("Toes down on both sides.", "plantar_response none both flexor"),
    ("Left toe up, right toe down.",
     "plantar_response none left extensor; plantar_response none right flexor"),
    ("Babinski negative on the left.", "plantar_response none left flexor"),
    ("Babinski positive on the right.", "plantar_response none right extensor"),
    ("Babinski is present on the left.", "plantar_response none left extensor"),
    ("The right plantar is mute.", "plantar_response none right absent"),
    ("The left plantar is equivocal.", "plantar_response none left equivocal"),
    ("Muscle bulk is normal in the arms.", "wasting upper_limb both absent"),
    ("Dysmetria on the left.", "past_pointing none left present"),
    ("No dysmetria on the right.", "past_pointing none right absent"),
    ("Steppage gait.", "gait none none high_stepping"),
    ("Pronator drift on the left.", "drift upper_limb left present"),
    ("No pronator drift on either side.", "drift upper_limb both absent"),
    ("Romberg is normal.", "romberg_sign none none absent"),
    ("Romberg is positive.", "romberg_sign none none present"),
    ("Hoffmann normal on both sides.", "hoffmann_sign none both absent"),
    ("Hoffmann sign is present on the left.", "hoffmann_sign none left present"),
    ("Gowers sign is positive.", "gowers_sign none none present"),
    ("Trendelenburg is positive on the right.", "trendelenburg_sign none right present"),
    ("Trendelenburg sign is negative.", "trendelenburg_sign none unstated absent"),
    ("Heel walking is normal.", "heel_walking none none normal"),
    ("Heel walking is impaired on the left.", "heel_walking none left impaired"),
    ("He is unable to heel walk.", "heel_walking none none unable"),
    ("Tandem gait is impaired.", "tandem_gait none none impaired"),
    ("Gait is waddling.", "gait none none waddling"),
    ("The gait is broad based.", "gait none none ataxic"),
    ("His gait is lurching.", "gait none none abnormal"),
    ("Truncal ataxia is present.", "truncal_ataxia none midline present"),
    ("Finger nose test is accurate on both sides.", "finger_nose none both normal"),
    ("Heel shin is clumsy on the right.", "heel_shin none right impaired"),
    ("Three beats of clonus at the left ankle.", "clonus ankle left present"),
]  # fmt: skip

PRESENCE = [
    ("No wasting of the hands.", "wasting hand both absent"),
    ("There is wasting of the left hand.", "wasting hand left present"),
    ("There is definite wasting of the left hand.", "wasting hand left present"),
    ("Clear wasting of the left hand.", "wasting hand left present"),
    ("Obvious wasting of the left thigh.", "wasting thigh left present"),
    ("Slight wasting of the right thigh.", "wasting thigh right mild"),
    ("A little wasting of the right thigh.", "wasting thigh right mild"),
    ("Marked wasting of both calves.", "wasting calf both marked"),
    ("Fasciculations in the legs.", "fasciculation lower_limb both present"),
    ("There is a fine tremor of the left hand.", "tremor hand left present"),
    ("A coarse tremor of both hands.", "tremor hand both present"),
    ("Fasciculation of the tongue is present.", "fasciculation tongue midline present"),
    ("No scoliosis.", "deformity spine midline absent"),
    ("No wasting, fasciculation or tremor of the right hand.",
     "wasting hand right absent; fasciculation hand right absent; tremor hand right absent"),
]  # fmt: skip

SENSATION = [
    ("C five to T one normal to pinprick on the left.",
     "; ".join(f"pinprick {level} left normal" for level in ("C5", "C6", "C7", "C8", "T1"))),
    ("Light touch is preserved in the right arm.", "light_touch upper_limb right normal"),
    ("Light touch is intact in both legs.", "light_touch lower_limb both normal"),
    ("Vibration reduced at both ankles.", "vibration ankle both reduced"),
    ("Sensation is intact.", "sensation whole_body unstated normal"),
    ("Sensation is intact throughout.", "sensation whole_body both normal"),
    ("Tone is normal.", "tone whole_body unstated normal"),
    ("Tone is normal and symmetrical.", "tone whole_body both normal"),
    ("Power five throughout.", "power whole_body both 5"),
    ("Perianal pinprick is absent on both sides.", "pinprick perianal both absent"),
    ("Graphaesthesia is impaired in the left hand.", "graphaesthesia hand left reduced"),
]  # fmt: skip

# Lists, negations, corrections and talk, from telegraphic to conversational.
OTHER_WAYS = [
    ("Tone is not increased in the legs.", "tone lower_limb both normal"),
    ("The knee jerks are not brisk.", "reflex knee_jerk both normal"),
    ("The plantars are not extensor.", "plantar_response none both flexor"),
    ("Sensation is not reduced in the left hand.", "sensation hand left normal"),
    ("No weakness.", "power whole_body unstated normal"),
    ("No tremor, no wasting and no fasciculation in either hand.",
     "tremor hand both absent; wasting hand both absent; fasciculation hand both absent"),
    ("There is neither wasting nor fasciculation of the tongue.",
     "wasting tongue midline absent; fasciculation tongue midline absent"),
    ("Wasting: none. Fasciculation: none.",
     "wasting whole_body unstated absent; fasciculation whole_body unstated absent"),
    ("Left knee jerk brisk, right knee jerk normal, ankle jerks symmetrical and "
     "normal.",
     "reflex knee_jerk left increased; reflex knee_jerk right normal; "
     "reflex ankle_jerk both normal"),
    ("Hip flexion four on the left and five on the right.",
     "power hip_flexion left 4; power hip_flexion right 5"),
    ("Upper limbs: tone normal, power five throughout, reflexes two plus and "
     "symmetrical.",
     "tone upper_limb both normal; power upper_limb both 5; reflex upper_limb both normal"),
    ("Tone normal power five throughout reflexes two plus symmetrical plantars down.",
     "tone whole_body unstated normal; power whole_body both 5; "
     "reflex whole_body both normal; plantar_response none both flexor"),
    ("Light touch and pinprick are normal in both legs.",
     "light_touch lower_limb both normal; pinprick lower_limb both normal"),
    ("Pinprick is reduced from L four to S one on the right.",
     "pinprick L4 right reduced; pinprick L5 right reduced; pinprick S1 right reduced"),
    ("Pinprick absent at L4, L5 and S1 on the left.",
     "pinprick L4 left absent; pinprick L5 left absent; pinprick S1 left absent"),
    ("He walks with a high stepping gait.", "gait none none high_stepping"),
    ("He cannot walk on his heels.", "heel_walking none none unable"),
    ("He was unable to tandem walk.", "tandem_gait none none unable"),
    ("Five beats of clonus at both ankles.", "clonus ankle both present"),
    ("Sustained clonus on the left.", "clonus ankle left present"),
    ("Mild spasticity of the left arm, marked spasticity of the left leg.",
     "spasticity upper_limb left mild; spasticity lower_limb left marked"),
    ("Cogwheel rigidity at the right wrist.", "rigidity wrist right present"),
    ("Clasp knife tone at the left elbow.", "spasticity elbow left present"),
    ("Hypotonia of the trunk.", "tone trunk midline reduced"),
    ("Hypotonia throughout.", "tone whole_body both reduced"),
    ("Areflexia throughout.", "reflex whole_body both absent"),
    ("Hyperreflexia in the left leg.", "reflex lower_limb left increased"),
    ("Finger tapping is slow on the left.", "finger_tapping none left impaired"),
    ("Rapid alternating movements are clumsy on the left.",
     "rapid_alternating_movement none left impaired"),
    ("No dysdiadochokinesia on either side.", "dysdiadochokinesia none both absent"),
    ("Intention tremor on the right.", "intention_tremor none right present"),
    ("Abdominal reflexes are absent.", "abdominal_reflex none both absent"),
    ("Cremasteric reflexes present on both sides.", "cremasteric_reflex none both present"),
    ("Grasp reflexes are present.", "grasp_reflex none both present"),
    ("Contracture of both ankles.", "contracture ankle both present"),
    ("There is a scar on the left forearm.", "scar forearm left present"),
    ("There is a slight asymmetry of the legs.", "asymmetry lower_limb both mild"),
    ("Pseudohypertrophy of the calves.", "hypertrophy calf both present"),
    ("Calf hypertrophy on both sides.", "hypertrophy calf both present"),
    ("Thenar wasting on the left.", "wasting thenar_eminence left present"),
    ("First dorsal interosseous is wasted on the right.",
     "wasting first_dorsal_interosseous right present"),
    ("Small muscles of both hands are wasted.", "wasting hand_intrinsics both present"),
    ("Two point discrimination is impaired over the left index finger.",
     "two_point_discrimination index_finger left reduced"),
    ("Stereognosis is absent in the right hand.", "stereognosis hand right absent"),
    ("Hyperaesthesia over the sole of the left foot.", "sensation sole left increased"),
    ("Vibration is absent at the toes, reduced at the ankles and normal at the knees.",
     "vibration toes both absent; vibration ankle both reduced; vibration knee both normal"),
    ("Grip: right five, left four.", "power grip right 5; power grip left 4"),
    ("Elbow flexion, right five, left four plus; elbow extension, right five, left "
     "four.",
     "power elbow_flexion right 5; power elbow_flexion left 4+; "
     "power elbow_extension right 5; power elbow_extension left 4"),
    ("Okay so your strength is good in both legs.", "power lower_limb both normal"),
    ("I can see fasciculations in the left thigh.", "fasciculation thigh left present"),
    ("The plantar on the left goes up and on the right goes down.",
     "plantar_response none left extensor; plantar_response none right flexor"),
    ("Right: tone normal, power five, knee jerk two plus. Left: tone increased, power "
     "four, knee jerk three plus.",
     "tone whole_body right normal; power whole_body right 5; "
     "reflex knee_jerk right normal; tone whole_body left increased; "
     "power whole_body left 4; reflex knee_jerk left increased"),
    ("DTRs 2+ throughout.", "reflex whole_body both normal"),
    ("Strength 5/5 in BUE, 4/5 in BLE.", "power upper_limb both 5; power lower_limb both 4"),
    ("Neck extension and trunk flexion are four.",
     "power neck_extension midline 4; power trunk_flexion midline 4"),
    ("Gait could not be assessed, he was too tired.", "gait none none not_assessable"),
    ("Heel shin not tested on the left because of the cast.", "heel_shin none left not_examined"),
    ("Power in the left leg was not formally tested.", "power lower_limb left not_examined"),
    ("I skipped the abdominal reflexes.", "abdominal_reflex none both not_examined"),
    ("The left arm could not be tested for power.", "power upper_limb left not_assessable"),
    ("Tone increased in the right leg, I mean the left leg.", "tone lower_limb left increased"),
    ("Left grip four plus. Correction, four minus.", "power grip left 4-"),
    ("Mum says he drags the left foot. Left ankle dorsiflexion is four.",
     "power ankle_dorsiflexion left 4"),
    ("If he relaxes we can see the knee jerk. There, left knee jerk two plus.",
     "reflex knee_jerk left normal"),
    ("Now the sensation. Light touch intact in both hands.", "light_touch hand both normal"),
    ("All reflexes are absent.", "reflex whole_body unstated absent"),
    ("Sensation to light touch is normal over both feet.", "light_touch foot both normal"),
    ("Joint position sense is lost at the left great toe joint and reduced at the "
     "ankle.",
     "proprioception great_toe_joint left absent; proprioception ankle left reduced"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("sentence", "wanted"), [*PLACES, *POWER, *REFLEXES, *SIGNS, *PRESENCE, *SENSATION, *OTHER_WAYS]
)
def test_a_sentence_gives_its_findings(
    found: Found, rows: Found, sentence: str, wanted: str
) -> None:
    assert found(sentence) == rows(wanted)
