"""The findings as comma-separated values."""

import csv
import io

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon.rules import load_rules
from plessor.pipeline.record import Evidence, Finding, Record
from plessor.pipeline.report import COLUMNS, report_csv
from plessor.pipeline.report.tabular import guarded, unguarded


def rows(record: Record) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(report_csv(record), newline="")))


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.from_type(Record))
def test_every_finding_is_a_row_with_its_codes(record: Record) -> None:
    found = rows(record)
    assert len(found) == len(record.findings)
    for index, (row, finding) in enumerate(zip(found, record.findings, strict=True)):
        assert row["finding"] == str(index)
        assert (row["modality"], row["segment"], row["side"]) == finding.key
        assert row["grade"] == (finding.grade or "")
        assert (row["status"], row["certainty"]) == (finding.status, finding.certainty)
        assert float(row["confidence"]) == finding.confidence
        assert row["corrections"] == ";".join(map(str, finding.corrections))


def test_no_field_of_a_finding_is_left_out() -> None:
    nested = {"evidence": Evidence.model_fields, "origin": ("origin", "who", "when")}
    expected = {column for field in Finding.model_fields for column in nested.get(field, (field,))}
    assert expected <= set(COLUMNS)


def test_record_without_findings_gives_the_head_alone() -> None:
    assert report_csv(Record()) == ",".join(COLUMNS) + "\n"


def test_words_are_never_a_formula_and_codes_stay_as_they_are() -> None:
    evidence = Evidence(heard="=1+1", corrected="-2 \x1b[31m", first_word=0, last_word=0)
    finding = Finding(
        modality="power", segment="grip", side="left", grade="4-", evidence=evidence, note="@x"
    )
    (row,) = rows(Record(narration="+n", findings=(finding,)))
    assert (row["heard"], row["corrected"]) == ("'=1+1", "'-2  [31m")
    assert (row["note"], row["narration"], row["grade"]) == ("'@x", "'+n", "4-")
    assert unguarded(row["heard"]) == "=1+1"


#: What begins a formula in a spreadsheet: OWASP, CSV injection (owasp.org/www-community/attacks).
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@given(
    st.text(max_size=20)
    | st.builds("".join, st.tuples(st.sampled_from([*STARTS, "'", " ", "\u3000"]), st.text()))
    | st.builds("".join, st.lists(st.sampled_from([*STARTS, "'", " ", "a", "م", "😀"]), max_size=6))
)
def test_no_words_are_a_formula_and_all_come_back(words: str) -> None:
    cell = guarded(words)
    assert not cell.lstrip().startswith(STARTS)
    assert cell.isprintable()
    assert unguarded(cell) == "".join(c if c.isprintable() else " " for c in words)


@given(st.text(max_size=12), st.text(max_size=12), st.text(max_size=12))
def test_words_come_back_from_the_table(narration: str, heard: str, note: str) -> None:
    evidence = Evidence(heard=heard, corrected="x", first_word=0, last_word=0)
    finding = Finding(
        modality="power", segment="grip", side="left", grade="5", evidence=evidence, note=note
    )
    (row,) = rows(Record(narration=narration, findings=(finding,)))
    for column, words in (("narration", narration), ("heard", heard), ("note", note)):
        assert unguarded(row[column]) == "".join(c if c.isprintable() else " " for c in words)


def test_every_row_carries_the_state_and_the_caution(make_record) -> None:
    for row in rows(make_record("power grip both 5")):
        assert row["state"] == "unsigned"
        assert (row["signed_by"], row["signed_when"]) == ("", "")
        assert row["caution"] == load_rules().standing
