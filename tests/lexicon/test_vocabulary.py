"""The codes of the record."""

import pytest
from plessor.lexicon import load, nearest

VOCABULARY = load().vocabulary


def test_levels_are_the_28_dermatomes_of_the_spinal_cord_standard_with_s4_and_s5_apart() -> None:
    # ISNCSCI worksheet: C2 to C8, T1 to T12, L1 to L5, S1 to S4-5.
    bounds = {"C": (2, 8), "T": (1, 12), "L": (1, 5), "S": (1, 5)}
    expected = [f"{part}{n}" for part, (a, b) in bounds.items() for n in range(a, b + 1)]
    assert list(VOCABULARY.levels) == expected


@pytest.mark.parametrize(
    ("first", "last", "levels"),
    [
        ("C5", "T1", ("C5", "C6", "C7", "C8", "T1")),
        ("T1", "C5", ("C5", "C6", "C7", "C8", "T1")),
        ("T12", "L1", ("T12", "L1")),
        ("S4", "S4", ("S4",)),
    ],
)
def test_level_range_holds_both_ends(first: str, last: str, levels: tuple[str, ...]) -> None:
    assert VOCABULARY.level_range(first, last) == levels


@pytest.mark.parametrize(
    ("code", "near"),
    [("elbow_flexon", "elbow_flexion"), ("kneejerk", "knee_jerk"), ("qqqq", None)],
)
def test_nearest_names_a_close_code_or_none(code: str, near: str | None) -> None:
    assert nearest(code, VOCABULARY.segment_kinds) == near


@pytest.mark.parametrize(
    ("modality", "segment", "fits"),
    [
        ("power", "elbow_flexion", True),
        ("power", "C5", True),
        ("power", "knee_jerk", False),
        ("reflex", "knee_jerk", True),
        ("reflex", "C5", False),
        ("plantar_response", "none", True),
        ("plantar_response", "foot", False),
        ("vibration", "great_toe_joint", True),
        ("clonus", "ankle", True),
        ("clonus", "foot", False),
    ],
)
def test_takes_knows_the_places_of_a_modality(modality: str, segment: str, fits: bool) -> None:
    assert VOCABULARY.takes(modality, segment) is fits


def test_every_modality_has_a_scale_a_group_and_places_that_exist() -> None:
    for modality in VOCABULARY.modalities.values():
        assert modality.scale in VOCABULARY.scales
        assert modality.group in VOCABULARY.groups
        assert set(modality.segments) <= {*VOCABULARY.segments, "none"}
