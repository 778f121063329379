"""Cautions: every rule against its own examples, and the doubtful edges by hand."""

import pytest
from plessor.lexicon.rules import CautionRule, Example, load_rules
from plessor.pipeline.interpret import interpret

RULES = load_rules().cautions


def warned(make_record, example: Example) -> set[str]:
    record = make_record(
        *(" ".join(row) for row in example.findings), age_months=example.age_months
    )
    return {caution.id for caution in interpret(record).cautions}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_caution_fires_and_keeps_silent_as_its_examples_say(
    make_record, rule: CautionRule
) -> None:
    for example in rule.fires:
        assert rule.id in warned(make_record, example), example
    for example in rule.silent:
        assert rule.id not in warned(make_record, example), example


# McGee, Evidence-Based Physical Diagnosis: ataxia can be judged at MRC grade 4 or 5 only.
@pytest.mark.parametrize(
    ("grade", "warns"),
    [
        ("0", True),
        ("3+", True),
        ("4-", True),
        ("reduced", True),
        ("4", False),
        ("4+", False),
        ("5", False),
    ],
)
def test_coordination_is_doubted_below_grade_four(make_record, grade, warns) -> None:
    record = make_record("finger_nose none left impaired", f"power grip left {grade}")
    found = {c.id for c in interpret(record).cautions}
    assert ("coordination_in_weak_limb" in found) is warns


@pytest.mark.parametrize(
    "sign",
    [
        "plantar_response none left extensor",
        "clonus ankle left present",
        "spasticity lower_limb left mild",
        "tone lower_limb both increased",
        "hoffmann_sign none right present",
        "power hip_flexion left 4",
        "gait none none scissoring",
        "drift upper_limb left present",
    ],
)
def test_brisk_reflexes_are_not_alone_beside_another_sign(make_record, sign) -> None:
    # Signs of an upper motor neuron lesion: reference/patterns.csv, upper_motor_neuron.
    brisk = "reflex knee_jerk both increased"
    alone = interpret(make_record(brisk, "tone lower_limb both normal", age_months=84))
    beside = interpret(make_record(brisk, sign, age_months=84))
    assert "brisk_reflexes_alone" in {c.id for c in alone.cautions}
    assert "brisk_reflexes_alone" not in {c.id for c in beside.cautions}


def test_urgent_cautions_come_first_and_name_the_local_pathway(make_record) -> None:
    record = make_record(
        "pinprick S4 both absent",
        "power lower_limb both 2",
        "reflex ankle_jerk both absent",
    )
    result = interpret(record)
    urgent = [c.id for c in result.cautions if c.urgent]
    assert urgent == ["saddle_loss", "weak_legs_areflexia"]
    assert [c.id for c in result.cautions][:2] == urgent
    assert all("local urgent pathway" in c.text for c in result.cautions if c.urgent)
    assert [s.urgent for s in result.sentences[:3]] == [True, True, False]


def test_a_conflict_names_both_statements(make_record) -> None:
    record = make_record("reflex knee_jerk left absent", "reflex knee_jerk left increased")
    caution = next(c for c in interpret(record).cautions if c.id == "conflicting_statements")
    assert caution.findings == (0, 1)
    assert "absent" in caution.text and "increased" in caution.text


@pytest.mark.parametrize(
    ("one", "other", "conflict"),
    [
        ("power grip left 4", "power grip left reduced", False),
        ("power grip left 4", "power grip right 2", False),
        ("power grip left normal", "power grip left 3", True),
        ("wasting hand left present", "wasting hand left mild", False),
        ("gait none none waddling", "gait none none toe_walking", False),
        ("gait none none waddling", "gait none none normal", True),
        ("pinprick C6 left normal", "pinprick C6 left increased", True),
        ("pinprick C6 left normal", "pinprick C6 left not_examined", True),
        ("pinprick C6 left not_assessable", "pinprick C6 left not_examined", False),
        ("plantar_response none left flexor", "plantar_response none left extensor", True),
    ],
)
def test_conflict_is_what_excludes_each_other(make_record, one, other, conflict) -> None:
    found = {c.id for c in interpret(make_record(one, other)).cautions}
    assert ("conflicting_statements" in found) is conflict
