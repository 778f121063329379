"""``plessor read``: one record a file, in every format, named after the file."""

from __future__ import annotations

import csv
import io
import json

import pytest
from plessor.pipeline.record import Record

TEXT = "Power. Left wrist extension three. Right wrist extension five.\n"


@pytest.fixture
def case(tmp_path):
    path = tmp_path / "case-1.first.txt"
    path.write_text(TEXT)
    return path


def test_read_prints_one_record_a_line_named_after_the_file(plessor, case, tmp_path) -> None:
    """The contract of programs that score many narrations in one run."""
    other = tmp_path / "case-2.txt"
    other.write_text("Knee jerks are two plus on both sides.\n")
    ran = plessor("read", case, other, "--format", "jsonl")
    assert (ran.code, ran.err) == (0, "")
    lines = [json.loads(line) for line in ran.out.splitlines()]
    assert [line["narration"] for line in lines] == ["case-1.first.txt", "case-2.txt"]
    assert {tuple(f[k] for k in ("modality", "segment", "side", "grade", "status"))
            for f in lines[0]["findings"]} == {
        ("power", "wrist_extension", "left", "3", "observed"),
        ("power", "wrist_extension", "right", "5", "observed"),
    }  # fmt: skip
    for line in lines:
        Record.model_validate(line)


def test_read_puts_the_facts_given_into_the_record(plessor, case) -> None:
    ran = plessor(
        *("read", case, "--format", "json", "--age", "6y3m"),
        *("--examiner", "A. Nyberg", "--date", "2024-02-29"),
    )
    record = json.loads(ran.out)
    assert record["age_months"] == 75
    assert record["examiner"] == "A. Nyberg"
    assert record["date"] == "2024-02-29"
    assert record["audio"] is record["model"] is None
    assert record["heard"] == TEXT.strip()
    assert plessor("read", case, "-f", "json", "--age-months", 75).out == ran.out.replace(
        '"A. Nyberg"', "null"
    ).replace('"2024-02-29"', "null")


@pytest.mark.parametrize("arguments", [[], ["-"]])
def test_read_takes_standard_input(plessor, arguments) -> None:
    ran = plessor("read", *arguments, "--format", "json", stdin=TEXT.encode())
    assert (ran.code, ran.err) == (0, "")
    record = json.loads(ran.out)
    assert record["narration"] == "standard input"
    assert len(record["findings"]) == 2


def test_read_json_is_one_object_for_one_file_and_a_list_for_several(plessor, case) -> None:
    assert isinstance(json.loads(plessor("read", case, "-f", "json").out), dict)
    assert len(json.loads(plessor("read", case, case, "-f", "json").out)) == 2
    mixed = plessor("read", case, case.with_name("none.txt"), "-f", "json")
    assert len(json.loads(mixed.out)) == 1
    assert mixed.code == 1


def test_read_csv_has_one_head_and_a_row_a_finding(plessor, case) -> None:
    rows = list(csv.DictReader(io.StringIO(plessor("read", case, case, "-f", "csv").out)))
    assert [row["grade"] for row in rows] == ["3", "5"] * 2
    assert {row["narration"] for row in rows} == {case.name}


def test_read_text_is_the_report_with_its_caution(plessor, case) -> None:
    ran = plessor("read", case)
    assert (ran.code, ran.err) == (0, "")
    assert "wrist extension" in ran.out.lower()
    assert "not a diagnosis" in " ".join(ran.out.split())


def test_read_goes_on_after_a_bad_file(plessor, case, tmp_path) -> None:
    bad = tmp_path / "bad.txt"
    bad.write_bytes(b"\xff\xfe")
    ran = plessor("read", tmp_path / "none.txt", case, bad, "-f", "jsonl")
    assert ran.code == 1
    assert len(ran.out.splitlines()) == 1
    first, second = ran.err.splitlines()
    assert first == f"plessor: {tmp_path / 'none.txt'}: there is no such file; check the name."
    assert second.startswith(f"plessor: {bad}: is not UTF-8 text")


def test_read_writes_a_file_and_says_so_unless_quiet(plessor, case, tmp_path) -> None:
    out = tmp_path / "records.jsonl"
    ran = plessor("read", case, "-f", "jsonl", "--out", out)
    assert (ran.code, ran.out, ran.err) == (0, "", f"Written to {out}.\n")
    written = out.read_bytes()
    assert plessor("read", case, "-f", "jsonl", "--out", out, "--quiet").err == ""
    assert out.read_bytes() == written == plessor("read", case, "-f", "jsonl").out.encode()


def test_read_gives_the_same_record_twice(plessor, case) -> None:
    assert plessor("read", case, "-f", "json").out == plessor("read", case, "-f", "json").out
