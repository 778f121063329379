"""Left against right.

One step is never more than examiner variation: MRC grades agree with a weighted kappa of
0.77 to 0.78 (Paternostro-Sluga 2008), asymmetry of reflexes was disputed in 45 per cent of
pairs (Stam and van Crevel 1990).
"""

import pytest
from plessor.lexicon.rules import load_rules
from plessor.pipeline.interpret import interpret


@pytest.mark.parametrize(
    ("place", "left", "right", "relation", "size"),
    [
        ("power grip", "4", "4", "same", "none"),
        ("power grip", "normal", "5", "same", "none"),
        ("power grip", "4", "5", "left_less", "one_step"),
        ("power grip", "5", "4+", "right_less", "one_step"),
        ("power grip", "4-", "4+", "left_less", "one_step"),
        ("power grip", "3", "5", "left_less", "more_than_one_step"),
        ("power grip", "4", "absent", "right_less", "more_than_one_step"),
        ("power grip", "reduced", "4", "unclear", "not_sized"),
        ("power grip", "reduced", "normal", "left_less", "not_sized"),
        ("reflex knee_jerk", "normal", "increased", "left_less", "one_step"),
        ("reflex knee_jerk", "absent", "normal", "left_less", "more_than_one_step"),
        ("reflex knee_jerk", "increased", "reduced", "right_less", "more_than_one_step"),
        ("pinprick C6", "reduced", "normal", "left_less", "one_step"),
        ("pinprick C6", "absent", "normal", "left_less", "more_than_one_step"),
        ("pinprick C6", "increased", "normal", "differs", "not_sized"),
        ("tone upper_limb", "reduced", "increased", "left_less", "more_than_one_step"),
        ("wasting hand", "absent", "mild", "left_less", "one_step"),
        ("wasting hand", "present", "absent", "right_less", "not_sized"),
        ("wasting hand", "mild", "marked", "left_less", "more_than_one_step"),
        ("finger_nose none", "impaired", "normal", "left_less", "one_step"),
        ("hoffmann_sign none", "present", "absent", "right_less", "not_sized"),
        ("plantar_response none", "extensor", "flexor", "differs", "not_sized"),
    ],
)
def test_comparison_gives_direction_and_size(
    make_record, place, left, right, relation, size
) -> None:
    record = make_record(f"{place} left {left}", f"{place} right {right}")
    (found,) = interpret(record).comparisons
    assert (found.relation, found.size) == (relation, size)
    assert (found.left, found.right, found.findings) == (left, right, (0, 1))


def test_one_step_is_said_to_be_within_examiner_variation(make_record) -> None:
    record = make_record("reflex knee_jerk left normal", "reflex knee_jerk right increased")
    texts = [s.text for s in interpret(record).sentences if s.kind == "comparison"]
    assert any("within examiner variation" in text and "45 per cent" in text for text in texts)


@pytest.mark.parametrize("grade", ["4", "4-", "4+"])
def test_no_one_step_difference_stands_without_that_remark(make_record, grade) -> None:
    record = make_record(f"power grip left {grade}", "power grip right 4")
    comparisons = interpret(record).comparisons
    sentences = [s.text for s in interpret(record).sentences if s.kind == "comparison"]
    if comparisons[0].size == "one_step":
        assert all("within examiner variation" in text for text in sentences[1:])
    assert not any("significant" in text for text in sentences)


def test_a_region_speaks_for_its_parts_on_the_other_side(make_record) -> None:
    record = make_record("power upper_limb right 5", "power elbow_extension left 3")
    (found,) = interpret(record).comparisons
    assert (found.segment, found.relation) == ("elbow_extension", "left_less")
    assert (found.left_at, found.right_at) == ("elbow_extension", "upper_limb")


@pytest.mark.parametrize(
    "rows",
    [
        ("power grip left 4",),
        ("power grip left 4", "power grip unstated 5"),
        ("power grip left 4", "power grip right not_examined"),
        ("power grip left 4", "power finger_flexion right 4"),
        ("power grip left 2", "power grip left 5", "power grip right 5"),  # torn: no comparison
        ("light_touch C6 left normal", "pinprick C6 right normal"),
    ],
)
def test_nothing_is_compared_that_was_not_graded_on_both_sides(make_record, rows) -> None:
    assert interpret(make_record(*rows)).comparisons == ()


def test_mrc_grades_stand_in_the_published_order() -> None:
    # Medical Research Council 1976, Memorandum No. 45; 3-, 3+ and 5-: common practice.
    values = load_rules().scales["mrc"].values
    order = ["0", "1", "2", "3-", "3", "3+", "4-", "4", "4+", "5-", "5"]
    assert sorted(order, key=lambda grade: values[grade]) == order
    assert all(values[str(n)] == (n, n) for n in range(6))
