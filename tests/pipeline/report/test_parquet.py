"""The table as Parquet, read back with pyarrow: types, and every field of every finding."""

import datetime as dt
import io

import pyarrow as pa
import pyarrow.parquet
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import InputError
from plessor.lexicon.rules import load_rules
from plessor.pipeline.record import Evidence, Finding, Origin, Record, Signature
from plessor.pipeline.report import COLUMNS
from plessor.pipeline.report.parquet import join_parquet, report_parquet


def table(record: Record) -> pa.Table:
    return pyarrow.parquet.read_table(io.BytesIO(report_parquet(record)))


def utc(time: dt.datetime | None) -> dt.datetime | None:
    return time and (time if time.tzinfo else time.replace(tzinfo=dt.UTC)).astimezone(dt.UTC)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=40)
@given(st.from_type(Record))
def test_every_field_of_every_finding_comes_back(record: Record) -> None:
    rows = table(record).to_pylist()
    assert len(rows) == len(record.findings)
    for index, (row, finding) in enumerate(zip(rows, record.findings, strict=True)):
        coded = finding.model_dump(exclude={"evidence", "origin", "corrections"})
        assert {name: row[name] for name in coded} == coded
        evidence = finding.evidence.model_dump() if finding.evidence else {}
        assert {name: row[name] for name in evidence} == evidence
        assert (row["origin"], row["who"]) == (finding.origin.by, finding.origin.who)
        assert row["when"] == utc(finding.origin.when)
        assert row["corrections"] == list(finding.corrections)
        assert (row["finding"], row["narration"]) == (index, record.narration)
        assert row["age_months"] == record.age_months
        assert row["caution"] == load_rules().standing


def test_columns_are_those_of_the_table_with_real_types(make_record) -> None:
    schema = table(make_record("power grip left 4-")).schema
    assert tuple(schema.names) == COLUMNS
    types = {name: schema.field(name).type for name in COLUMNS}
    assert types["age_months"] == types["finding"] == types["first_word"] == pa.int64()
    assert types["confidence"] == types["start_s"] == pa.float64()
    assert types["when"] == types["signed_when"] == pa.timestamp("us", tz="UTC")
    assert types["corrections"].value_type == pa.int64()
    assert types["grade"] == types["state"] == pa.string()


def test_a_record_without_findings_still_says_what_it_is_not() -> None:
    empty = table(Record())
    assert (empty.num_rows, tuple(empty.schema.names)) == (0, COLUMNS)
    assert empty.schema.metadata[b"plessor.caution"] == load_rules().standing.encode()


def test_signature_and_times_of_other_zones_are_told_in_utc(make_record) -> None:
    zone = dt.timezone(dt.timedelta(hours=2))
    when = dt.datetime(2026, 3, 1, 1, 30, tzinfo=zone)
    finding = Finding(
        modality="power", segment="grip", side="left", grade="5",
        origin=Origin(by="reviewer", who="Dr N. Example", when=when),
    )  # fmt: skip
    signature = Signature(who="Dr N. Example", when=when, sha256="0" * 64)
    (row,) = table(Record(findings=(finding,), signature=signature)).to_pylist()
    assert row["when"] == row["signed_when"] == dt.datetime(2026, 2, 28, 23, 30, tzinfo=dt.UTC)
    assert row["signed_by"] == "Dr N. Example"
    assert row["state"] in ("signed", "altered")


def test_tables_are_joined_row_after_row(make_record) -> None:
    first = make_record("power grip left 4-", narration="one")
    second = make_record("reflex knee_jerk both absent", narration="two")
    (joined,) = join_parquet(map(report_parquet, (first, Record(), second)))
    rows = pyarrow.parquet.read_table(io.BytesIO(joined)).to_pylist()
    assert [row["narration"] for row in rows] == ["one", "two", "two"]
    assert list(join_parquet([])) == []


@pytest.mark.parametrize("words", ["=1+1", "'=1", "مرحبا", "😀", "a\n\tb\x1b[31m", "-->", ""])
def test_words_are_kept_as_they_are(words: str) -> None:
    """No spreadsheet opens Parquet as formulas, so nothing is guarded and nothing is changed."""
    finding = Finding(modality="power", segment="grip", side="left", grade="5", note=words)
    (row,) = table(Record(narration=words, findings=(finding,))).to_pylist()
    assert (row["narration"], row["note"]) == (words, words)


def test_a_number_beyond_the_type_is_refused_in_one_sentence() -> None:
    evidence = Evidence(heard="", corrected="", first_word=0, last_word=2**70)
    finding = Finding(modality="power", segment="grip", side="left", grade="5", evidence=evidence)
    with pytest.raises(InputError, match="too large for Parquet"):
        report_parquet(Record(findings=(finding,)))
