"""Roots, nerves and plexus parts predict what published tables say.

Root: ISNCSCI key muscles and key points (worksheet, ASIA / ISCoS 2019), reflex roots of
StatPearls, Physiology, Deep Tendon Reflexes. Nerve: which movement is lost and which is kept,
O'Brien 2010, Aids to the Examination of the Peripheral Nervous System, 5th ed. (and, for
the keys that part a nerve from its root, the same book's commentary; from memory).
"""

import pytest
from plessor.pipeline.interpret.localise.damage import SiteKey

ROOT_MOVEMENTS = [
    ("C5", "shoulder_abduction"), ("C5", "elbow_flexion"), ("C6", "wrist_extension"),
    ("C7", "elbow_extension"), ("C8", "finger_flexion"), ("T1", "finger_abduction"),
    ("L2", "hip_flexion"), ("L3", "knee_extension"), ("L4", "ankle_dorsiflexion"),
    ("L5", "great_toe_extension"), ("S1", "ankle_plantarflexion"),
]  # fmt: skip
ROOT_REFLEXES = [
    ("C5", "biceps_jerk"), ("C6", "supinator_jerk"), ("C7", "triceps_jerk"),
    ("L4", "knee_jerk"), ("S1", "ankle_jerk"),
]  # fmt: skip
NERVES = [  # nerve, a movement that it takes, a movement of the same roots that it keeps
    ("axillary", "shoulder_abduction", "elbow_flexion"),
    ("musculocutaneous", "elbow_flexion", "shoulder_abduction"),
    ("radial", "wrist_extension", "finger_flexion"),
    ("posterior_interosseous", "finger_extension", "elbow_extension"),
    ("median", "thumb_abduction", "finger_abduction"),
    ("ulnar", "finger_abduction", "thumb_abduction"),
    ("suprascapular", "shoulder_external_rotation", "elbow_flexion"),
    ("femoral", "knee_extension", "hip_adduction"),
    ("obturator", "hip_adduction", "knee_extension"),
    ("sciatic", "knee_flexion", "hip_abduction"),
    ("common_fibular", "ankle_dorsiflexion", "ankle_inversion"),
    ("deep_fibular", "great_toe_extension", "ankle_eversion"),
    ("superficial_fibular", "ankle_eversion", "ankle_dorsiflexion"),
    ("tibial", "ankle_plantarflexion", "ankle_dorsiflexion"),
    ("superior_gluteal", "hip_abduction", "hip_extension"),
    ("inferior_gluteal", "hip_extension", "hip_abduction"),
]


def chance(model, key: SiteKey, channel: str, leaf: str, side: int) -> float:
    """The mean chance of less than normal over the forms of a site."""
    forms = [i for i, h in enumerate(model.hypotheses) if h.key == key]
    return float(model.down[model.space.column(channel, leaf, side)][forms].mean())


@pytest.mark.parametrize(("root", "movement"), ROOT_MOVEMENTS)
def test_root_weakens_its_movement_more_than_roots_two_away(model, root, movement) -> None:
    levels = model.space.lexicon.vocabulary.levels
    mine = chance(model, SiteKey("root", root, "left"), "power", movement, 0)
    far = [levels[i] for i in (levels.index(root) - 3, levels.index(root) + 3)]
    others = [chance(model, SiteKey("root", o, "left"), "power", movement, 0) for o in far]
    assert mine > 0.4 and all(mine > other for other in others)
    assert chance(model, SiteKey("root", root, "left"), "power", movement, 1) == 0


@pytest.mark.parametrize(("root", "reflex"), ROOT_REFLEXES)
def test_root_takes_its_reflex(model, root, reflex) -> None:
    assert chance(model, SiteKey("root", root, "right"), "reflex", reflex, 1) > 0.5


def test_root_takes_the_feeling_of_its_level_and_not_of_levels_two_away(model) -> None:
    levels = model.space.lexicon.vocabulary.levels
    for level in ("C6", "T4", "T10", "L3", "S1"):
        key, at = SiteKey("root", level, "left"), levels.index(level)
        assert chance(model, key, "pain", level, 0) > 0.6
        for away in (levels[at - 2], levels[at + 2]):
            assert chance(model, key, "pain", away, 0) == 0


@pytest.mark.parametrize(("nerve", "taken", "kept"), NERVES)
def test_nerve_takes_its_movement_and_keeps_its_neighbour(model, nerve, taken, kept) -> None:
    key = SiteKey("nerve", nerve, "left")
    column = model.space.column("power", taken, 0)
    forms = [i for i, h in enumerate(model.hypotheses) if h.key == key]
    assert model.down[column][forms].max() > 0.5  # in a complete lesion
    assert chance(model, key, "power", kept, 0) < 0.05


def test_every_nerve_and_plexus_part_with_a_sign_is_a_site_on_both_sides(model) -> None:
    for site, rows in (("nerve", model.anatomy.nerves), ("plexus", model.anatomy.plexus)):
        with_sign = {r.code for r in rows.values() if r.full or r.partial or r.skin or r.reflexes}
        for side in ("left", "right"):
            assert {k.which for k in model.sites if (k.site, k.side) == (site, side)} == with_sign


def test_cauda_equina_takes_both_sides(model) -> None:
    key = SiteKey("cauda_equina", None, "both")
    for side in range(2):
        assert chance(model, key, "reflex", "ankle_jerk", side) > 0.5
        assert chance(model, key, "pain", "S4", side) > 0.5
        assert chance(model, key, "power", "elbow_flexion", side) == 0
