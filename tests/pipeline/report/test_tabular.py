"""The findings as comma-separated values."""

import csv
import io

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.record import Evidence, Finding, Record
from plessor.pipeline.report import COLUMNS, report_csv


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
