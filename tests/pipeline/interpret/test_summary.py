"""The interpretation in sentences: what it says, what it rests on, what it never says."""

import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret import (
    NextTest,
    Sentence,
    Site,
    SiteName,
    TwoSites,
    Weight,
    interpret,
)
from plessor.pipeline.interpret.grading import open_case
from plessor.pipeline.interpret.summary import summarise
from plessor.pipeline.record import Record

ROWS = (
    "power elbow_extension left 3",  # 0
    "power elbow_extension right 5",  # 1
    "reflex triceps_jerk left absent",  # 2
    "pinprick middle_finger left reduced",  # 3
    "power finger_abduction left 5",  # 4
    "gait none none waddling",  # 5
)
C7 = {"site": "root", "which": "C7", "side": "left"}


def site(probability: float, *weights: tuple[int, float], **names: str) -> Site:
    return Site(
        **(names or C7),
        probability=probability,
        evidence=tuple(Weight(findings=(i,), decibans=d) for i, d in weights),
    )


def said(record: Record, *sites: Site, two=None, tests=(), abnormal=None) -> list[Sentence]:
    case = open_case(record)
    found = interpret(record).abnormal if abnormal is None else abnormal
    return list(
        summarise(
            case,
            abnormal=found,
            coverage=None,
            sites=sites,
            two_sites=two,
            next_tests=tests,
        )
    )


@pytest.fixture
def record(make_record) -> Record:
    return make_record(*ROWS)


def test_the_leading_site_is_told_with_its_probability_and_reasons(record) -> None:
    first, objection = said(record, site(0.93, (0, 14.0), (2, 9.0), (3, 8.0), (1, 0.5)))
    assert first.text == (
        "The pattern fits best with the left C7 root (probability 0.93), because of power 3 in "
        "elbow extension on the left; triceps jerk absent on the left; pinprick reduced in the "
        "middle finger on the left."
    )
    assert (first.findings, first.sites) == ((0, 2, 3), (0,))
    assert objection.text == "Nothing recorded speaks clearly against it."


def test_what_speaks_against_it_is_told(record) -> None:
    _, against = said(record, site(0.93, (0, 14.0), (5, -7.0), (4, -2.0)))
    assert against.text == "Against it: gait waddling."
    assert against.findings == (5,)


# Jeffreys 1961, Theory of Probability, appendix B: below 10^(1/2), five decibans, evidence is
# "not worth more than a bare mention".
@pytest.mark.parametrize(("decibans", "told"), [(4.9, False), (5.1, True)])
def test_weak_evidence_is_no_reason(record, decibans, told) -> None:
    first = said(record, site(0.93, (0, decibans)))[0]
    assert ("because" in first.text) is told


def test_each_kind_of_sign_is_heard_before_more_of_one_kind(make_record) -> None:
    movements = ("elbow_extension", "wrist_flexion", "finger_extension", "grip", "elbow_flexion")
    record = make_record(
        *(f"power {m} left {n}" for n, m in enumerate(movements)), "reflex triceps_jerk left absent"
    )
    weights = [(n, 20.0 - n) for n in range(5)]
    first = said(record, site(0.93, *weights, (5, 6.0)))[0]
    assert "triceps jerk absent" in first.text
    assert len(first.findings) == 5


def test_the_same_on_the_other_side_is_told_together(make_record) -> None:
    record = make_record("power hip_flexion both 3")
    myopathy = site(0.9, (0, 8.0), (1, 7.0), site="myopathy")
    assert "power 3 in hip flexion on both sides" in said(record, myopathy)[0].text


def test_a_close_rival_is_not_hidden(record) -> None:
    c8 = site(0.4, site="root", which="C8", side="left")
    first, *_ = said(record, site(0.5, (0, 14.0)), c8)
    assert "It fits almost as well with the left C8 root (probability 0.40)." in first.text
    assert first.sites == (0, 1)


def test_rivals_that_are_less_likely_are_named_with_their_probability(record) -> None:
    c8 = site(0.2, site="root", which="C8", side="left")
    far = site(0.04, site="root", which="C6", side="left")
    texts = [s.text for s in said(record, site(0.7, (0, 14.0)), c8, far)]
    assert "Less likely is the left C8 root (probability 0.20)." in texts
    assert not any("C6" in text for text in texts)


def test_what_tells_the_first_from_its_rival_is_told(record) -> None:
    first = site(0.7, (0, 14.0)).model_copy(
        update={"evidence": (Weight(findings=(2,), decibans=9.0, against_next=6.0),)}
    )
    c8 = site(0.2, site="root", which="C8", side="left")
    texts = [s.text for s in said(record, first, c8)]
    assert texts[-1] == (
        "Less likely is the left C8 root (probability 0.20), which fits less well with triceps "
        "jerk absent on the left."
    )


def test_a_pattern_that_fits_poorly_is_not_called_clear(record) -> None:
    first = said(record, site(0.35, (0, 14.0)), site(0.1, site="brainstem"))[0]
    assert first.text.startswith("The pattern fits best, though not clearly, with")


def test_neighbouring_levels_of_the_cord_are_told_as_one_place(record) -> None:
    cord = {"site": "cord_complete", "side": "none"}
    first = said(
        record,
        site(0.5, (0, 14.0), **cord, which="T6"),
        site(0.45, **cord, which="T5"),
        site(0.01, **cord, which="T4"),
    )[0]
    assert "the whole spinal cord at T6 (or T5) (probability 0.96)" in first.text
    assert "almost as well" not in first.text


def test_a_level_that_is_open_is_told_as_a_range(record) -> None:
    cord = {"site": "cord_hemisection", "side": "left"}
    levels = [site(0.2, **cord, which=level) for level in ("T7", "T9", "T6", "T8")]
    first = said(record, *levels)[0]
    assert "the left half of the spinal cord at T7 (or another level from T6 to T9)" in first.text


def test_nothing_abnormal_is_said_of_what_was_examined_only(make_record) -> None:
    record = make_record("power grip both 5", "reflex knee_jerk both normal", age_months=100)
    texts = [s.text for s in interpret(record).sentences if s.kind == "summary"]
    assert texts[0] == "Nothing abnormal was found in what was examined."
    assert texts[1].startswith("Nothing is said about what was not examined: ")
    assert "sensation" in texts[1] and "gait" in texts[1]
    assert not [s for s in interpret(record).sentences if s.kind == "next_test"]


def test_an_accepted_pattern_is_told_as_fitting_nothing_abnormal(make_record) -> None:
    record = make_record("reflex knee_jerk both increased", age_months=100)
    first = said(record, site(0.8, site="normal"))[0]
    assert "fits best with nothing abnormal (probability 0.80)" in first.text
    assert "On its own, knee jerk increased on both sides would not point to a lesion" in first.text


def test_two_lesions_are_told_with_what_the_second_adds(record) -> None:
    two = TwoSites(
        first=SiteName(**C7), second=SiteName(site="myopathy"), decibans=12.0, explained=(5,)
    )
    text = said(record, site(0.9, (0, 14.0)), two=two)[-1].text
    assert text == (
        "Two lesions would explain more than one: the left C7 root and muscle, in a limb-girdle "
        "pattern; the second would add gait waddling."
    )


def test_next_tests_are_told_as_they_are_and_point_to_theirs(record) -> None:
    test = NextTest(
        modality="power", segment="wrist_flexion", side="left", information_bits=0.4, text="Words."
    )
    last = said(record, site(0.9, (0, 14.0)), tests=(test,))[-1]
    assert (last.kind, last.text, last.next_tests) == ("next_test", "Words.", (0,))


def test_nothing_is_said_of_an_empty_record() -> None:
    assert said(Record()) == []


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.from_type(Record))
def test_no_sentence_is_a_diagnosis_and_each_is_a_whole_one(record: Record) -> None:
    for sentence in interpret(record).sentences:
        assert re.fullmatch(r"[A-Z0-9(].*[.]", sentence.text, re.S), sentence.text
        assert "_" not in sentence.text and "  " not in sentence.text
        assert not re.search(r"\b(diagnos|suffers|proves|certainly|has a lesion)", sentence.text)
        assert " none" not in sentence.text.replace("none of them", "").replace("and none", "")


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.from_type(Record))
def test_summary_names_only_what_was_observed(record: Record) -> None:
    result = interpret(record)
    for sentence in result.sentences:
        if sentence.kind == "summary":
            assert all(record.findings[i].grade is not None for i in sentence.findings)
    if not result.abnormal:
        assert not any("fits best" in s.text for s in result.sentences)
