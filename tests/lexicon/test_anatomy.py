"""Nerves, plexus parts, patterns and conditions against published anatomy.

Roots of the nerves: Gray, Anatomy of the Human Body, 20th US ed. 1918 (public domain), chapters
on the brachial and lumbosacral plexus; from memory where a modern handbook gives one root more.
Newborn palsies: Narakas groups (C5-C6, C5-C7, C5-T1).
"""

from dataclasses import replace

import pytest
from plessor.lexicon import load
from plessor.lexicon.anatomy import anatomy_faults, load_anatomy

ANATOMY = load_anatomy()

ROOTS = {
    "axillary": "C5 C6",
    "musculocutaneous": "C5 C6 C7",
    "radial": "C5 C6 C7 C8 T1",
    "median": "C6 C7 C8 T1",
    "ulnar": "C8 T1",
    "suprascapular": "C5 C6",
    "long_thoracic": "C5 C6 C7",
    "thoracodorsal": "C6 C7 C8",
    "femoral": "L2 L3 L4",
    "obturator": "L2 L3 L4",
    "lateral_femoral_cutaneous": "L2 L3",
    "superior_gluteal": "L4 L5 S1",
    "inferior_gluteal": "L5 S1 S2",
    "sciatic": "L4 L5 S1 S2 S3",
    "tibial": "L4 L5 S1 S2 S3",
    "common_fibular": "L4 L5 S1 S2",
    "pudendal": "S2 S3 S4",
}


@pytest.mark.parametrize(("nerve", "roots"), ROOTS.items())
def test_nerve_has_the_roots_of_the_handbook(nerve, roots) -> None:
    assert {*ANATOMY.nerves[nerve].roots} == {*roots.split()}


@pytest.mark.parametrize(
    ("part", "roots"),
    [
        ("upper_trunk", "C5 C6"),
        ("middle_trunk", "C7"),
        ("lower_trunk", "C8 T1"),
        ("upper_middle_trunk", "C5 C6 C7"),
        ("brachial_plexus", "C5 C6 C7 C8 T1"),
    ],
)
def test_plexus_part_has_its_roots(part, roots) -> None:
    assert {*ANATOMY.plexus[part].roots} == {*roots.split()}


def test_a_nerve_spares_nothing_that_it_takes() -> None:
    for nerve in ANATOMY.nerves.values():
        assert not {*nerve.spared} & {*nerve.full, *nerve.skin, *nerve.reflexes}


def test_lesion_levels_take_no_more_than_the_nerve() -> None:
    for nerve in ANATOMY.nerves.values():
        all_of_it = {*nerve.full, *nerve.partial, *nerve.skin, *nerve.reflexes}
        for codes in nerve.lesion_levels.values():
            assert {*codes} <= all_of_it


def test_every_site_of_the_vocabulary_has_a_pattern() -> None:
    assert {row.site for row in ANATOMY.patterns} - {""} == {*load().vocabulary.sites}


def test_signs_of_conditions_are_codes_with_a_side() -> None:
    sides = {"both", "one_side", "same_side", "other_side", "midline", "none", "any"}
    for condition in ANATOMY.conditions.values():
        assert {sign[2] for sign in (*condition.key_signs, *condition.against)} <= sides


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"full": ("elbow_flexon",)}, "unknown “elbow_flexon”; did you mean “elbow_flexion”?"),
        ({"roots": ("C9",)}, "unknown “C9”"),
        ({"source": ""}, "no source"),
    ],
)
def test_a_faulty_row_is_named(change, fault) -> None:
    nerves = {**ANATOMY.nerves, "axillary": replace(ANATOMY.nerves["axillary"], **change)}
    faults = list(anatomy_faults(replace(ANATOMY, nerves=nerves), load()))
    assert len(faults) == 1 and "nerves.csv: axillary" in faults[0] and fault in faults[0]
