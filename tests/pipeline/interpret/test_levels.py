"""The sensory level of each side.

ISNCSCI (revised 2019): the lowest segment with normal pinprick and light touch, every segment
above it being normal too.
"""

import pytest
from plessor.lexicon import load
from plessor.pipeline.interpret import SensoryLevel, interpret

LEVELS = load().vocabulary.levels


def levels(record) -> dict[str, SensoryLevel]:
    return {level.side: level for level in interpret(record).sensory_levels}


def key_points(side: str, grades: dict[str, str]) -> list[str]:
    return [f"{m} {s} {side} {g}" for s, g in grades.items() for m in ("pinprick", "light_touch")]


@pytest.mark.parametrize("last", ["C2", "C6", "T4", "T10", "L3", "S1", "S3"])
def test_level_of_a_whole_examination_is_the_lowest_normal_segment(make_record, last) -> None:
    cut = LEVELS.index(last) + 1
    grades = {s: "normal" if i < cut else "absent" for i, s in enumerate(LEVELS)}
    found = levels(make_record(*key_points("left", grades), *key_points("right", grades)))
    for side in ("left", "right"):
        assert (found[side].level, found[side].first_abnormal) == (last, LEVELS[cut])
        assert found[side].unrecorded == found[side].untested_above == ()
        assert found[side].normal_below == ()
        assert found[side].modalities == ("pinprick", "light_touch")


def test_one_abnormal_modality_is_enough_to_lower_a_segment(make_record) -> None:
    record = make_record(
        "pinprick T9 left normal", "light_touch T9 left normal",
        "pinprick T10 left normal", "light_touch T10 left reduced",
    )  # fmt: skip
    assert (levels(record)["left"].level, levels(record)["left"].first_abnormal) == ("T9", "T10")


def test_heightened_feeling_is_altered_too(make_record) -> None:
    # ISNCSCI sensory grade 1: altered, less or more than on the face.
    record = make_record("pinprick T5 left normal", "pinprick T6 left increased")
    assert levels(record)["left"].level == "T5"


def test_what_was_not_recorded_keeps_the_level_provisional(make_record) -> None:
    record = make_record("pinprick T5 left normal", "pinprick T8 left absent")
    found = levels(record)["left"]
    assert (found.level, found.unrecorded) == ("T5", ("T6", "T7"))
    assert found.untested_above == LEVELS[: LEVELS.index("T5") + 1]  # light touch is lacking
    alone = levels(make_record("pinprick T8 right absent"))
    assert set(alone) == {"right"} and alone["right"].level is None
    assert alone["right"].unrecorded == LEVELS[: LEVELS.index("T8")]


def test_feeling_that_returns_below_makes_a_band(make_record) -> None:
    record = make_record(
        "pinprick C6 left normal", "pinprick C7 left reduced", "pinprick C8 left normal"
    )
    assert levels(record)["left"].normal_below == ("C8",)


def test_sides_have_levels_of_their_own(make_record) -> None:
    record = make_record(
        "pinprick T7 left normal", "pinprick T8 left absent",
        "pinprick T9 right normal", "pinprick T10 right absent",
    )  # fmt: skip
    assert {side: level.level for side, level in levels(record).items()} == {
        "left": "T7",
        "right": "T9",
    }


@pytest.mark.parametrize(
    "rows",
    [
        (),
        ("pinprick T6 both normal",),
        ("pinprick T6 unstated absent",),
        ("pinprick trunk both absent",),  # a place, and no segment
        ("vibration T6 both absent",),
        ("pinprick T6 both not_assessable",),
    ],
)
def test_no_level_without_an_abnormal_segment(make_record, rows) -> None:
    assert levels(make_record(*rows)) == {}


def test_general_sensation_counts_only_in_the_absence_of_the_key_modalities(make_record) -> None:
    general = ("sensation T4 left normal", "sensation T5 left absent")
    assert levels(make_record(*general))["left"].modalities == ("sensation",)
    assert levels(make_record(*general, "pinprick T5 left normal")) == {}
