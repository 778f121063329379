"""Findings in words, as one would say them."""

import pytest
from plessor.pipeline.interpret.wording import described, listed, on_sides, what_where


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (("power elbow_flexion left 4", "power grip left 4"),
         "power 4 in elbow flexion and grip on the left"),
        (("power hand both reduced",), "power reduced in the hand on both sides"),
        (("spasticity elbow right mild", "spasticity wrist right mild"),
         "mild spasticity at the elbow and the wrist on the right"),
        (("wasting calf left present",), "wasting in the calf on the left"),
        (("wasting hand both absent",), "no wasting in the hand on both sides"),
        (("pinprick T6 both absent", "pinprick L3 both absent"),
         "pinprick absent at T6 and L3 on both sides"),
        (("reflex knee_jerk both increased", "reflex ankle_jerk both increased"),
         "knee jerk and ankle jerk increased on both sides"),
        (("past_pointing none left present",), "past-pointing (dysmetria) present on the left"),
        (("gait none none ataxic",), "gait ataxic"),
        (("power neck_flexion midline 4",), "power 4 in neck flexion"),
        (("power grip unstated 4",), "power 4 in grip (side not stated)"),
        (("reflex knee_jerk left not_examined",), "knee jerk not examined on the left"),
        (("power grip left 4", "power grip right 5"),
         "power 4 in grip on the left; power 5 in grip on the right"),
        (("tone ankle left increased", "tone lower_limb left increased"),
         "tone increased at the ankle and in the lower limb on the left"),
    ],
)  # fmt: skip
def test_findings_are_described_together_where_they_are_alike(make_record, rows, words) -> None:
    record = make_record(*rows)
    assert described(record.findings, range(len(record.findings))) == words


@pytest.mark.parametrize(
    ("modality", "segment", "words"),
    [
        ("power", "grip", "power in grip"),
        ("wasting", "hand", "wasting in the hand"),
        ("reflex", "knee_jerk", "knee jerk"),
        ("gait", "none", "gait"),
    ],
)
def test_what_and_where(modality, segment, words) -> None:
    assert what_where(modality, segment) == words


def test_lists_and_sides() -> None:
    assert listed([]) == "" and listed(["a"]) == "a" and listed("abc") == "a, b and c"
    assert on_sides(["right", "left"]) == "on both sides" and on_sides(["midline"]) == ""
