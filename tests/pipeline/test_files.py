"""Narrations and records from files: what is read, and how each bad file is told."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.files import decode_records, decode_text, read_narration, read_records

FINDING = {
    "modality": "power",
    "segment": "wrist_extension",
    "side": "left",
    "grade": "3",
    "status": "observed",
}


def _record(**fields: object) -> bytes:
    return json.dumps({"age_months": 84, "findings": [FINDING], **fields}).encode()


def test_files_read_utf_8_with_and_without_a_mark(tmp_path: Path) -> None:
    for mark in (b"", b"\xef\xbb\xbf"):
        (tmp_path / "a.txt").write_bytes(mark + "Gait – normal".encode())
        assert read_narration(tmp_path / "a.txt") == "Gait – normal"


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "holds no words"),
        (b" \n\t\n", "holds no words"),
        ("Ganghöhe".encode("latin-1"), "not UTF-8 text (at byte 6); save it as UTF-8"),
        ("Gait normal".encode("utf-16"), "not UTF-8 text (at byte 1)"),
        (b"RIFF\0\0\0\0WAVE", "it holds zero bytes"),
        (b"a" * 2_000_001, "too long for one narration"),
    ],
)
def test_files_refuse_what_is_not_a_narration(content: bytes, expected: str) -> None:
    with pytest.raises(InputError) as error:
        decode_text(content, name="case.txt")
    assert expected in str(error.value)
    assert "case.txt: " in str(error.value)


@pytest.mark.parametrize("read", [read_narration, read_records])
def test_files_tell_missing_folder_and_unreadable(tmp_path: Path, read) -> None:
    with pytest.raises(InputError, match=r"none\.txt: there is no such file; check the name"):
        read(tmp_path / "none.txt")
    with pytest.raises(InputError, match="is a folder; name the files in it"):
        read(tmp_path)
    with pytest.raises(InputError, match="cannot be read"):
        read(tmp_path / ("x" * 300))


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read every file")
def test_files_tell_a_file_that_may_not_be_read(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("words")
    (tmp_path / "a.txt").chmod(0)
    with pytest.raises(InputError, match="cannot be read"):
        read_narration(tmp_path / "a.txt")


def test_files_read_a_record_as_small_as_the_contract_allows(tmp_path: Path) -> None:
    (tmp_path / "case-1.json").write_bytes(_record())
    (record,) = read_records(tmp_path / "case-1.json")
    assert record.narration == "case-1"
    assert record.findings[0].key == ("power", "wrist_extension", "left")


def test_files_read_a_record_a_line_and_a_list(tmp_path: Path) -> None:
    lines = _record(narration="one") + b"\n\n" + _record(narration="two") + b"\n"
    listed = b"[" + _record(narration="one") + b",\n" + _record(narration="two") + b"]"
    for content in (lines, listed):
        assert [r.narration for r in decode_records(content, name="x")] == ["one", "two"]


def test_files_round_trip_a_record() -> None:
    (record,) = decode_records(_record(narration="one", date="2024-02-29"), name="x")
    for indent in (None, 2):
        written = record.model_dump_json(indent=indent).encode()
        assert decode_records(written, name="x") == (record,)


def _with(**fields: object) -> bytes:
    return _record(findings=[FINDING, {**FINDING, **fields}])


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "x.json: is empty; a record is one JSON object."),
        (b"{", "x.json: not JSON ("),
        (b'{"age_months": 84,\n "findings": [}', "at line 2, column "),
        (b'"power"', "x.json: not a record; a record is one JSON object."),
        (b"[1]", "x.json: record 1: not a record"),
        (b'{"narration": "a"}\n{"narration": }', "x.json: line 2: not JSON"),
        (b'{"narration": "a"}\n{"age": 3}', "x.json: line 2: unknown key “age”"),
        (b"\xff\xfe{", "x.json: is not UTF-8 text (at byte 1), so not a record."),
        (b"[" * 200_000, "nested too deeply"),
        (
            _with(modality="powre"),
            "x.json: findings[1].modality: unknown modality “powre”; the nearest valid one is "
            "“power”.",
        ),
        (
            _with(segment="wrist_extention"),
            "findings[1].segment: unknown segment “wrist_extention”; the nearest valid one is "
            "“wrist_extension”.",
        ),
        (_with(side="lft"), "unknown side “lft”; the nearest valid one is “left”."),
        (_with(side="both"), "side “both” is two findings"),
        (_with(grade="6"), "findings[1]: unknown grade for power “6”"),
        (_with(grade=None), "findings[1]: an observed finding needs a grade."),
        (_with(statu="observed"), "findings[1]: unknown key “statu”; the nearest valid one is"),
        (_with(confidence=1.5), "findings[1].confidence: input should be less than or equal to 1"),
        (_record(age_months=-1), "age_months: input should be greater than or equal to 0"),
        (_record(age_month=3), "unknown key “age_month”; the nearest valid one is “age_months”."),
        (_record(findings=[{}]), "findings[0].modality: is missing (3 more to mend after it)."),
    ],
)
def test_files_refuse_a_record_with_its_place(content: bytes, expected: str) -> None:
    with pytest.raises(InputError) as error:
        decode_records(content, name="x.json")
    message = str(error.value)
    assert expected in message
    assert "\n" not in message
    assert message.endswith(".")


def test_files_never_quote_the_words_of_a_record() -> None:
    content = _record(heard=["the left wrist is weak"], corrected=7)
    with pytest.raises(InputError) as error:
        decode_records(content, name="x.json")
    assert "wrist" not in str(error.value)
    assert "heard: input should be a valid string" in str(error.value)
