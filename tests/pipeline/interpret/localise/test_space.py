"""Which fine places a finding speaks of.

Power at a level speaks of the key muscle of ISNCSCI (worksheet, ASIA / ISCoS 2019).
"""

import pytest

KEY_MUSCLES = {
    "C5": "elbow_flexion", "C6": "wrist_extension", "C7": "elbow_extension",
    "C8": "finger_flexion", "T1": "finger_abduction", "L2": "hip_flexion",
    "L3": "knee_extension", "L4": "ankle_dorsiflexion", "L5": "great_toe_extension",
    "S1": "ankle_plantarflexion",
}  # fmt: skip


@pytest.mark.parametrize(("level", "movement"), KEY_MUSCLES.items())
def test_power_at_a_level_is_its_key_muscle(model, level, movement) -> None:
    assert model.space.resolve("power", level) == (movement,)


@pytest.mark.parametrize(
    ("modality", "segment", "holds", "lacks"),
    [
        ("power", "upper_limb", "finger_abduction", "hip_flexion"),
        ("power", "distal_lower_limb", "great_toe_extension", "knee_extension"),
        ("power", "trunk", "trunk_flexion", "neck_flexion"),
        ("reflex", "lower_limb", "ankle_jerk", "biceps_jerk"),
        ("pinprick", "foot", "sole", "lateral_leg"),
        ("pinprick", "trunk", "T8", "L3"),
        ("sensation", "whole_body", "thumb", "knee"),
        ("sensation", "whole_body", "T10", "knee"),
        ("vibration", "great_toe_joint", "great_toe", "heel"),
        ("vibration", "ankle", "medial_leg", "anterior_thigh"),
        ("pinprick", "perianal", "S4", "S1"),
        ("wasting", "hand", "thenar_eminence", "forearm"),
        ("tone", "elbow", "upper_limb", "lower_limb"),
        ("clonus", "ankle", "lower_limb", "upper_limb"),
    ],
)
def test_a_region_speaks_for_its_parts_only(model, modality, segment, holds, lacks) -> None:
    leaves = model.space.resolve(modality, segment)
    assert holds in leaves and lacks not in leaves


def test_every_finding_that_the_record_allows_has_a_place_in_the_space(model) -> None:
    vocabulary = model.space.lexicon.vocabulary
    # Power of the skull base segments and of the upper trunk has no movement in the tables.
    without = {
        (m, s)
        for m in vocabulary.modalities
        for s in vocabulary.segment_kinds
        if vocabulary.takes(m, s) and not model.space.resolve(m, s)
    }
    assert {m for m, _ in without} <= {"power", "reflex"}
    levels = {s for m, s in without if m == "power"}
    assert levels <= {*vocabulary.level_range("C2", "C3"), *vocabulary.level_range("T2", "T12"),
                      "L1", "S2", "S3", "S4", "S5", "perianal"}  # fmt: skip


def test_columns_are_told_apart(model) -> None:
    space = model.space
    columns = [
        space.column(channel, leaf, side)
        for channel, leaves in space.leaves.items()
        for leaf in leaves
        for side in range(2)
    ]
    assert sorted(columns) == list(range(space.size))
