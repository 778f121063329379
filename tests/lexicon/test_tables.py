"""The reference tables against the published standards that they carry over."""

import pytest
from plessor.lexicon import load

TABLES = load().tables

# ISNCSCI (ASIA / ISCoS), worksheet, key muscles. C8 is the finger flexor of the middle finger,
# T1 the abductor of the little finger, L5 the long toe extensors.
KEY_MUSCLES = {
    "C5": "elbow_flexion",
    "C6": "wrist_extension",
    "C7": "elbow_extension",
    "C8": "finger_flexion",
    "T1": "finger_abduction",
    "L2": "hip_flexion",
    "L3": "knee_extension",
    "L4": "ankle_dorsiflexion",
    "L5": "great_toe_extension",
    "S1": "ankle_plantarflexion",
}

# ISNCSCI (ASIA / ISCoS), worksheet and key sensory points sheet (2008): a word of each point.
KEY_POINTS = {
    "C2": "occipital protuberance",
    "C3": "supraclavicular fossa",
    "C4": "acromioclavicular joint",
    "C5": "lateral (radial) side of the antecubital fossa",
    "C6": "thumb",
    "C7": "middle finger",
    "C8": "little finger",
    "T1": "medial (ulnar) side of the antecubital fossa",
    "T2": "apex of the axilla",
    "T3": "third intercostal space",
    "T4": "nipple level",
    "T5": "half way between nipple and xiphisternum",
    "T6": "xiphisternum",
    "T7": "quarter of the way from xiphisternum to umbilicus",
    "T8": "half way from xiphisternum to umbilicus",
    "T9": "three quarters of the way from xiphisternum to umbilicus",
    "T10": "umbilicus",
    "T11": "half way from umbilicus to inguinal ligament",
    "T12": "midpoint of the inguinal ligament",
    "L1": "half way between the key points of T12 and L2",
    "L2": "half way between the inguinal ligament and the medial femoral condyle",
    "L3": "medial femoral condyle",
    "L4": "medial malleolus",
    "L5": "dorsum of the foot at the third metatarsophalangeal joint",
    "S1": "lateral side of the heel",
    "S2": "popliteal fossa",
    "S3": "ischial tuberosity",
    "S4": "perianal",
    "S5": "perianal",
}


@pytest.mark.parametrize(("level", "movement"), KEY_MUSCLES.items())
def test_key_muscles_are_those_of_the_spinal_cord_standard(level: str, movement: str) -> None:
    assert TABLES.movements[movement].isncsci_level == level
    assert level in TABLES.movements[movement].roots


def test_no_other_movement_is_called_a_key_muscle() -> None:
    named = {m.isncsci_level: m.code for m in TABLES.movements.values() if m.isncsci_level}
    assert named == KEY_MUSCLES


@pytest.mark.parametrize(("level", "words"), KEY_POINTS.items())
def test_key_points_are_those_of_the_spinal_cord_standard(level: str, words: str) -> None:
    points = [
        row
        for row in TABLES.dermatomes
        if row.site_kind == "isncsci_key_point" and row.level == level
    ]
    assert len(points) == 1
    assert words in points[0].key_point


# Medical Research Council 1976, Memorandum No. 45: 0 no contraction; 1 flicker or trace of
# contraction; 2 active movement with gravity eliminated; 3 active movement against gravity;
# 4 active movement against gravity and resistance; 5 normal power. 4-, 4 and 4+: slight,
# moderate and strong resistance. The table says the same in words of its own.
MRC = {
    "0": "no contraction",
    "1": "twitch",
    "2": "only when its weight is carried",
    "3": "lifts its own weight, gives way",
    "4": "holds against a push, but less than it should",
    "5": "full power",
    "4-": "slight resistance",
    "4+": "strong resistance",
}


@pytest.mark.parametrize(("grade", "words"), MRC.items())
def test_mrc_grades_mean_what_the_published_scale_says(grade: str, words: str) -> None:
    row = next(r for r in TABLES.scales if (r.scale, r.grade) == ("mrc", grade))
    assert row.record_grade == grade
    assert words in row.meaning
    assert row.source_kind == "published"


def test_mrc_numbers_outside_the_published_scale_are_not_called_published() -> None:
    habits = {r.grade for r in TABLES.scales if r.scale == "mrc" and r.source_kind != "published"}
    assert habits == {"3-", "3+", "5-", "normal", "reduced", "absent"}


# NINDS Myotatic Reflex Scale (Hallett 1993, Neurology 43:2723): 0 absent; 1 slight, less than
# normal, includes a trace or with reinforcement; 2 lower half of normal; 3 upper half of
# normal; 4 enhanced, more than normal.
@pytest.mark.parametrize(
    ("grade", "recorded"),
    [("0", "absent"), ("1", "reduced"), ("2", "normal"), ("3", "normal"), ("4", "increased")],
)
def test_reflex_grades_are_those_of_the_ninds_scale(grade: str, recorded: str) -> None:
    rows = [r for r in TABLES.scales if (r.scale, r.grade) == ("tendon_reflex_ninds", grade)]
    assert [r.record_grade for r in rows] == [recorded]


# StatPearls, Physiology, Deep Tendon Reflexes: biceps C5-C6, brachioradialis C5-C6, triceps
# C7-C8, knee L2-L4, ankle S1-S2.
@pytest.mark.parametrize(
    ("reflex", "roots"),
    [
        ("biceps_jerk", {"C5", "C6"}),
        ("supinator_jerk", {"C5", "C6"}),
        ("triceps_jerk", {"C7", "C8"}),
        ("knee_jerk", {"L2", "L3", "L4"}),
        ("ankle_jerk", {"S1", "S2"}),
    ],
)
def test_reflex_roots_are_those_of_the_handbook(reflex: str, roots: set[str]) -> None:
    row = TABLES.reflexes[reflex]
    assert set(row.roots) <= roots <= {*row.roots, *row.variants}


def test_age_norms_of_a_sign_leave_no_gap_where_they_speak_of_months_in_a_row() -> None:
    for sign in ("plantar_response", "power", "pinprick", "tandem_gait", "grasp_reflex"):
        rows = sorted((n for n in TABLES.age_norms if n.sign == sign), key=lambda n: n.from_months)
        assert rows[0].from_months == 0
        assert [n.to_months for n in rows] == [*(n.from_months for n in rows[1:]), None]
