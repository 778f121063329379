"""The tree of places."""

import pytest
from plessor.lexicon import load
from plessor.lexicon.labels import name, place_name, site_name
from plessor.lexicon.places import Place, load_places, place_faults

PLACES = load_places()


@pytest.mark.parametrize(
    ("code", "region", "within"),
    [
        ("elbow_flexion", "upper_limb", True),
        ("thumb_abduction", "hand", True),  # abductor pollicis brevis lies in the thenar eminence
        ("finger_extension", "hand", False),  # extensor digitorum lies in the forearm
        ("ankle_dorsiflexion", "distal_lower_limb", True),
        ("hip_flexion", "proximal_lower_limb", True),
        ("biceps_jerk", "upper_limb", True),
        ("knee_jerk", "upper_limb", False),
        ("upper_limb", "elbow_flexion", False),
        ("hand", "hand", True),
        ("great_toe_joint", "foot", True),
        ("C5", "upper_limb", True),
        ("T1", "upper_limb", True),
        ("T2", "trunk", True),
        ("L2", "lower_limb", True),
        ("S4", "perianal", True),
        ("plantar_response", "lower_limb", True),
        ("gait", "lower_limb", False),
        ("face", "whole_body", True),
        ("no_such_code", "whole_body", False),
    ],
)
def test_within(code: str, region: str, within: bool) -> None:
    assert PLACES.within(code, region) is within


def test_key_muscles_lie_in_the_limb_of_their_level() -> None:
    # ISNCSCI: C5 to T1 are the key muscles of the arm, L2 to S1 those of the leg.
    for movement in load().tables.movements.values():
        if movement.isncsci_level:
            limb = "upper_limb" if movement.isncsci_level[0] in "CT" else "lower_limb"
            assert PLACES.limbs(movement.code) == (limb,)
            assert PLACES.limbs(movement.isncsci_level) == (limb,)


def test_the_whole_body_has_both_limbs_and_the_trunk_none() -> None:
    assert PLACES.limbs("whole_body") == ("upper_limb", "lower_limb")
    assert PLACES.limbs("trunk") == ()


def test_faults_of_the_tree_are_all_told() -> None:
    rows = [
        Place("upper_limb", "hand", "somebody", "house"),
        Place("hand", "upper_limb", "somebody", "house"),
        Place("hnad", "nowhere", "", "house"),
        Place("hand", "upper_limb", "somebody", "house"),
    ]
    faults = list(place_faults(rows, load().vocabulary))
    for words in (
        "hnad: unknown code",
        "hnad: no source",
        "hand: stands there twice",
        "hnad: lies within “nowhere”",
        "hand: lies within itself",
        "upper_limb: lies within itself",
        "lower_limb: is missing",
    ):
        assert any(words in fault for fault in faults), words


@pytest.mark.parametrize(
    ("modality", "segment", "words"),
    [
        ("power", "elbow_flexion", "power (elbow flexion)"),
        ("reflex", "knee_jerk", "knee jerk"),
        ("hoffmann_sign", "none", "Hoffmann sign"),
        ("proprioception", "great_toe_joint", "joint position sense (great toe joint)"),
        ("pinprick", "C6", "pinprick (C6)"),
    ],
)
def test_place_name_is_what_the_trade_says(modality: str, segment: str, words: str) -> None:
    assert place_name(modality, segment) == words


def test_a_code_without_a_name_of_its_own_is_spoken_with_spaces() -> None:
    assert name("segment", "medial_thigh") == "medial thigh"


def test_every_name_belongs_to_a_code() -> None:
    from plessor.lexicon.anatomy import load_anatomy
    from plessor.lexicon.files import read_rows

    vocabulary, anatomy = load().vocabulary, load_anatomy()
    codes = {
        "modality": set(vocabulary.modalities),
        "segment": set(vocabulary.segment_kinds),
        "grade": {g for grades in vocabulary.scales.values() for g in grades},
        "scale": set(vocabulary.scales),
        "side": set(vocabulary.sides),
        "status": set(vocabulary.statuses),
        "group": set(vocabulary.groups),
        "site": set(vocabulary.sites),
        "sited": set(vocabulary.sites),
        "which": {*anatomy.nerves, *anatomy.plexus},
    }
    for line, row in read_rows("names.csv"):
        assert row["code"] in codes[row["kind"]], f"names.csv:{line}"
        assert row["name"] and row["source"], f"names.csv:{line}"


@pytest.mark.parametrize(
    ("site", "which", "side", "words"),
    [
        ("root", "C7", "left", "the left C7 root"),
        ("nerve", "common_fibular", "right", "the right common fibular nerve"),
        (
            "nerve", "lateral_femoral_cutaneous", "left",
            "the left lateral cutaneous nerve of the thigh",
        ),
        ("plexus", "upper_trunk", "left", "the left upper trunk of the brachial plexus"),
        ("plexus", "sacral_plexus", "right", "the right sacral plexus"),
        ("cord_hemisection", "T8", "left", "the left half of the spinal cord at T8"),
        ("brainstem", None, "none", "the brainstem"),
        ("extrapyramidal", None, "right", "the basal ganglia (signs on the right)"),
        ("extrapyramidal", None, "none", "the basal ganglia"),
        ("cauda_equina", None, "both", "the cauda equina"),
    ],
)  # fmt: skip
def test_a_site_is_named_as_it_is_read(site, which, side, words) -> None:
    assert site_name(site, which, side) == words


def test_every_site_of_the_vocabulary_has_a_name_without_codes() -> None:
    for site in load().vocabulary.sites:
        for side in ("left", "none"):
            assert not set("_{}") & set(site_name(site, "C5", side))
