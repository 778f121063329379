"""Cord syndromes: what is lost lies below the level, on the side where the path runs.

Sensory and motor level: ISNCSCI 2019 (the level is the lowest normal segment, so that the first
affected segment is one lower). Crossing of pain fibres one to two segments above their entry,
of the corticospinal and dorsal paths in the brainstem: Harrison's Manual of Medicine, 19th ed.,
spinal cord diseases.
"""

import pytest
from plessor.pipeline.interpret.localise.damage import SiteKey


def chance(model, key: SiteKey, channel: str, leaf: str, side: int) -> float:
    forms = [i for i, h in enumerate(model.hypotheses) if h.key == key]
    return float(model.down[model.space.column(channel, leaf, side)][forms].mean())


@pytest.mark.parametrize("level", ["C6", "T4", "T10", "L1"])
def test_complete_lesion_spares_above_and_takes_from_the_level_down(model, level) -> None:
    levels = model.space.lexicon.vocabulary.levels
    key, at = SiteKey("cord_complete", level, "none"), levels.index(level)
    for side in range(2):
        assert chance(model, key, "pain", levels[at - 1], side) == 0
        for below in (levels[at], levels[at + 1], "S2"):
            assert chance(model, key, "pain", below, side) > 0.5
            assert chance(model, key, "position", below, side) > 0.5


@pytest.mark.parametrize(
    ("level", "weak", "kept"),
    [
        ("C6", "wrist_extension", "shoulder_shrug"),
        ("C7", "elbow_extension", "shoulder_abduction"),
        ("T4", "hip_flexion", "finger_abduction"),
        ("L1", "knee_extension", "elbow_flexion"),
    ],
)
def test_complete_lesion_weakens_key_muscles_below(model, level, weak, kept) -> None:
    key = SiteKey("cord_complete", level, "none")
    assert chance(model, key, "power", weak, 0) > 0.6
    assert chance(model, key, "power", kept, 0) < 0.1
    assert chance(model, key, "power", "face", 0) == 0


def test_half_cord_crosses_pain_and_not_position(model) -> None:
    key = SiteKey("cord_hemisection", "T6", "left")
    assert chance(model, key, "power", "hip_flexion", 0) > 0.6
    assert chance(model, key, "power", "hip_flexion", 1) < 0.15
    assert chance(model, key, "position", "great_toe", 0) > 0.6
    assert chance(model, key, "position", "great_toe", 1) == 0
    assert chance(model, key, "pain", "L3", 1) > 0.6
    assert chance(model, key, "pain", "L3", 0) == 0
    # Lissauer's tract: the crossed loss begins one to two segments below.
    assert chance(model, key, "pain", "T6", 1) == 0


def test_centre_of_the_cord_takes_a_band_of_pain_only(model) -> None:
    key = SiteKey("cord_central", "C6", "none")
    assert chance(model, key, "pain", "C6", 0) > 0.6
    assert chance(model, key, "pain", "C6", 0) > 3 * chance(model, key, "touch", "C6", 0)
    assert chance(model, key, "pain", "T8", 0) == 0
    assert chance(model, key, "pain", "S4", 0) == 0


def test_anterior_cord_keeps_position(model) -> None:
    key = SiteKey("cord_anterior", "T8", "none")
    assert chance(model, key, "pain", "L3", 0) > 0.6
    assert chance(model, key, "position", "great_toe", 0) < 0.1
    assert chance(model, key, "power", "hip_flexion", 1) > 0.6
