"""Taught facts against the tables: the spinal cord standard and the handbook stand beside."""

import pytest
from plessor.pipeline.interpret import ClaimCheck, interpret
from plessor.pipeline.record import Claim, Evidence, Record, Word


def check(kind: str, subject: str, value: str) -> ClaimCheck:
    record = Record(claims=(Claim(kind=kind, subject=subject, value=value),))
    return interpret(record).claim_checks[0]


@pytest.mark.parametrize(
    ("kind", "subject", "value", "result"),
    [
        # ISNCSCI key sensory points
        ("dermatome", "thumb", "C6", "agrees"),
        ("dermatome", "middle_finger", "C7", "agrees"),
        ("dermatome", "little_finger", "C8", "agrees"),
        ("dermatome", "dorsum_of_foot", "L5", "agrees"),
        ("dermatome", "heel", "S1", "agrees"),
        ("dermatome", "perianal", "S5", "agrees"),
        ("dermatome", "thumb", "C7", "contradicts"),
        ("dermatome", "little_finger", "C5", "contradicts"),
        # sources differ: reference/SOURCES.md
        ("dermatome", "index_finger", "C7", "variant"),
        ("dermatome", "great_toe", "L4", "variant"),
        # ISNCSCI key muscles
        ("myotome", "elbow_flexion", "C5", "agrees"),
        ("myotome", "wrist_extension", "C6", "agrees"),
        ("myotome", "elbow_extension", "C7", "agrees"),
        ("myotome", "ankle_plantarflexion", "S1", "agrees"),
        ("myotome", "elbow_extension", "L3", "contradicts"),
        # StatPearls, Deep Tendon Reflexes; C6 for triceps and L2 for the knee in other texts
        ("reflex_root", "biceps_jerk", "C5", "agrees"),
        ("reflex_root", "ankle_jerk", "S1", "agrees"),
        ("reflex_root", "triceps_jerk", "C6", "variant"),
        ("reflex_root", "knee_jerk", "L2", "variant"),
        ("reflex_root", "knee_jerk", "S1", "contradicts"),
        ("reflex_root", "jaw_jerk", "C3", "contradicts"),
        # no row for the whole arm
        ("dermatome", "upper_limb", "C6", "no_table"),
        ("grade_meaning", "mrc", "3", "no_table"),
    ],
)
def test_claim_is_held_against_the_tables(kind, subject, value, result) -> None:
    assert check(kind, subject, value).result == result


def test_contradiction_says_what_the_table_says_and_both_readings() -> None:
    found = check("dermatome", "thumb", "C7")
    assert found.expected == ("C6",)
    assert "C6" in found.text and "slipped" in found.text and "misheard" in found.text
    assert {row.table for row in found.rows} == {"reference/dermatomes.csv"}


def test_contradiction_tells_how_well_it_was_heard_and_becomes_a_sentence() -> None:
    words = (Word(text="thumb", probability=0.9), Word(text="C7", probability=0.4))
    evidence = Evidence(heard="thumb C7", corrected="thumb C7", first_word=0, last_word=1)
    claim = Claim(kind="dermatome", subject="thumb", value="C7", evidence=evidence)
    result = interpret(Record(words=words, claims=(claim,)))
    assert result.claim_checks[0].heard_probability == 0.4
    assert "0.40" in result.claim_checks[0].text
    assert [s.claims for s in result.sentences if s.kind == "claim"] == [(0,)]


def test_agreement_makes_no_sentence() -> None:
    result = interpret(Record(claims=(Claim(kind="dermatome", subject="thumb", value="C6"),)))
    assert [s for s in result.sentences if s.kind == "claim"] == []


def test_grade_meaning_shows_the_published_one() -> None:
    # Medical Research Council 1976, Memorandum No. 45: grade 3 is movement against gravity.
    found = check("grade_meaning", "mrc", "3")
    assert "lifts its own weight" in found.text
    # NINDS scale: 4 is enhanced, more than normal.
    assert "livelier than normal" in check("grade_meaning", "reflex", "increased").text
