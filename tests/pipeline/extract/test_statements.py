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


@pytest.mark.parametrize(
    ("sentence", "wanted"), [*PLACES, *POWER, *REFLEXES, *SIGNS, *PRESENCE, *SENSATION]
)
def test_a_sentence_gives_its_findings(
    found: Found, rows: Found, sentence: str, wanted: str
) -> None:
    assert found(sentence) == rows(wanted)
