"""The plain report: everything is in it, in words, within its width, and safe to print."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import (
    Audio,
    Claim,
    Correction,
    Dropped,
    Evidence,
    Finding,
    Record,
    Unresolved,
)
from plessor.pipeline.report import report_text
from plessor.pipeline.report.text import age_words

WHERE = Evidence(heard="a", corrected="b", first_word=0, last_word=0, start_s=12.34, end_s=14.0)


def report(record: Record) -> str:
    return report_text(record, interpret(record))


def line_with(text: str, words: str) -> str:
    return next(line for line in text.splitlines() if words in line)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.from_type(Record))
def test_report_of_any_record_is_printable_and_at_most_100_columns_wide(record: Record) -> None:
    text = report(record)
    assert text.endswith("\n")
    assert all(len(line) <= 100 for line in text.splitlines())
    assert all(c.isprintable() for c in text.replace("\n", ""))
    assert "not a medical device" in text.replace("\n", " ")


def test_findings_stand_side_by_side_in_the_order_of_an_examination(make_record) -> None:
    record = make_record(
        "reflex knee_jerk left absent",
        "reflex knee_jerk right normal",
        "power elbow_flexion left 4-",
        "gait none none waddling",
        "wasting hand right present",
    )
    text = report(record)
    assert line_with(text, "  knee jerk").split() == ["knee", "jerk", "absent", "normal"]
    assert line_with(text, "  elbow flexion").split() == ["elbow", "flexion", "4-", "–"]
    assert line_with(text, "  wasting").split() == ["wasting", "(hand)", "–", "present"]
    heads = ["\nInspection", "\nPower", "\nReflexes", "\nGait and station"]
    places = [text.index(head) for head in heads]
    assert places == sorted(places)
    columns = line_with(text, "FINDINGS")
    jerk = line_with(text, "  knee jerk")
    assert columns.index("LEFT") == jerk.index("absent")
    assert columns.index("RIGHT") == jerk.index("normal")


def test_what_was_not_recorded_is_a_dash_that_is_explained(make_record) -> None:
    text = report(make_record("power grip left 5"))
    assert "– stands for nothing recorded; it does not stand for normal." in text


def test_doubt_is_marked_with_words_and_evidence_with_seconds() -> None:
    doubted = Finding(
        modality="wasting",
        segment="hand",
        side="unstated",  # one wide cell, so that nothing is wrapped
        grade="mild",
        certainty="possible",
        confidence=0.42,
        evidence=WHERE,
    )
    refused = Finding(
        modality="gait",
        segment="none",
        side="none",
        grade=None,
        status="not_assessable",
        note="plaster cast",
        origin={"by": "reviewer", "who": "somebody"},
    )
    words = " ".join(report(Record(findings=(doubted, refused))).split())
    assert "mild, possible, LOW CONFIDENCE 0.42, 12.3–14.0 s" in words
    assert "could not be assessed, by reviewer, plaster cast" in words


@pytest.mark.parametrize("confidence", [0.7, 0.95])
def test_ordinary_confidence_is_not_marked(confidence: float) -> None:
    finding = Finding(
        modality="power", segment="grip", side="left", grade="5", confidence=confidence
    )
    assert "CONFIDENCE" not in report(Record(findings=(finding,)))


def test_sides_that_do_not_apply_or_were_not_said_are_told(make_record) -> None:
    text = report(make_record("reflex knee_jerk unstated normal", "power neck_flexion midline 4"))
    assert "side not stated: normal" in line_with(text, "  knee jerk")
    assert "midline: 4" in line_with(text, "  neck flexion")


def test_all_that_happened_to_the_words_is_told() -> None:
    change = {"term": "t", "score": 0.9, "reason": "sounds alike", "first_word": 0, "last_word": 0}
    record = Record(
        narration="n-1",
        age_months=86,
        examiner="E",
        audio=Audio(file="n-1.opus", sha256="0" * 64, duration_s=61.25),
        model="m",
        lexicon_version="abc",
        claims=(Claim(kind="dermatome", subject="thumb", value="C8", evidence=WHERE),),
        corrections=(
            Correction(heard="cutting wool", became="cotton wool", **change),
            Correction(heard="knee", became="knee jerk", made=False, **change),
        ),
        unresolved=(Unresolved(reason="no place", evidence=WHERE),),
    )
    text = report(record)
    assert "age 7 years 2 months · examiner E" in text
    assert "audio n-1.opus, 61.2 s · recogniser m · lexicon abc" in text
    assert "heard “cutting wool”, became “cotton wool” (score 0.90; sounds alike)" in text
    assert "heard “knee”, perhaps “knee jerk”" in text
    assert "12.3–14.0 s: “b” (no place)" in text
    assert "CONTRADICTION: Taught: thumb C8" in text


def test_interpretation_is_told_urgent_things_first(make_record) -> None:
    text = report(make_record("pinprick S4 both absent", "power grip left 4", "power grip right 2"))
    assert text.index("URGENT") < text.index("FINDINGS") < text.index("EXAMINED")
    assert "  ! Sensory loss in the saddle area" in text
    assert "weaker on the right (2) than on the left (4)" in " ".join(text.split())
    assert "The examination is incomplete" in text


def test_empty_record_says_so() -> None:
    assert "No findings were recorded." in report(Record())


def test_a_terminal_is_safe_from_the_words_of_a_record() -> None:
    nasty = "\x1b]0;title\x07\x9b31m\u202e"
    record = Record(
        narration=nasty,
        examiner=nasty,
        unresolved=(
            Unresolved(
                reason=nasty,
                evidence=Evidence(heard=nasty, corrected=nasty, first_word=0, last_word=0),
            ),
        ),
    )
    assert all(c.isprintable() or c == "\n" for c in report(record))


@pytest.mark.parametrize(
    ("months", "words"),
    [
        (0, "0 months"),
        (1, "1 month"),
        (23, "23 months"),
        (24, "2 years"),
        (73, "6 years 1 month"),
        (480, "40 years"),
    ],
)
def test_age_is_told_as_people_tell_it(months: int, words: str) -> None:
    assert age_words(months) == words


def test_report_shows_what_was_left_out_of_the_words_and_why() -> None:
    dropped = Dropped(text="see you next time", start_s=61.04, end_s=62.5, reason="no speech there")
    text = report(Record(dropped=(dropped,)))
    assert "LEFT OUT: WRITTEN BY THE RECOGNISER, MOST LIKELY NEVER SAID" in text
    assert "61.0–62.5 s: “see you next time” (no speech there)" in text
    assert "LEFT OUT" not in report(Record())


def said(reason: str, words: str, start_s: float | None = None) -> Unresolved:
    end_s = None if start_s is None else start_s + 1
    where = Evidence(
        heard=words, corrected=words, first_word=0, last_word=0, start_s=start_s, end_s=end_s
    )
    return Unresolved(reason=reason, evidence=where)


def test_what_needs_a_look_comes_first_one_by_one_and_other_talk_is_folded() -> None:
    unread = "no statement could be read"
    unresolved = (
        said("history", "w0", 5.4),
        said(unread, "w1", 8.0),
        said("another_patient", "w2", 9.0),
        said("history", "w3", 20.0),
        said(unread, "w4"),
        said("a reason that nobody foresaw", "w5", 31.0),
    )
    text = report(Record(unresolved=unresolved))
    lines = text.split("SAID, AND NOT RECORDED AS A FINDING\n")[1].split("\n\n")[0].splitlines()
    assert lines == [
        f"  - 8.0–9.0 s: “w1” ({unread})",
        f"  - “w4” ({unread})",
        "  - 31.0–32.0 s: “w5” (a reason that nobody foresaw)",
        "  - history: 5.4–6.4 s, 20.0–21.0 s",
        "  - another patient: 9.0–10.0 s",
    ]
    assert "NOT RECORDED AS" not in report(Record())


def test_talk_without_seconds_is_told_by_its_words() -> None:
    text = report(Record(unresolved=(said("history", "w0"), said("history", "w1"))))
    assert "  - history: “w0”, “w1”" in text
