"""``plessor interpret`` and ``plessor export``: what is made of records written before."""

from __future__ import annotations

import json

import pytest

FINDINGS = [
    {"modality": "power", "segment": "wrist_extension", "side": side, "grade": grade}
    for side, grade in (("left", "3"), ("right", "5"))
]


def _write(path, **fields):
    path.write_text(json.dumps({"age_months": 84, "findings": FINDINGS, **fields}))
    return path


@pytest.fixture
def minimal(tmp_path):
    return _write(tmp_path / "v-01.json")


def test_interpret_prints_one_interpretation_a_line_named_after_the_narration(
    plessor, minimal, tmp_path
) -> None:
    """The contract of programs that score the localisation of many records in one run."""
    named = _write(tmp_path / "other.json", narration="v-02")
    ran = plessor("interpret", minimal, named, "--format", "jsonl")
    assert (ran.code, ran.err) == (0, "")
    lines = [json.loads(line) for line in ran.out.splitlines()]
    assert [line["narration"] for line in lines] == ["v-01", "v-02"]
    for line in lines:
        assert all({"site", "which", "side", "probability"} <= set(s) for s in line["sites"])
        chances = [s["probability"] for s in line["sites"]]
        assert chances == sorted(chances, reverse=True)


def test_interpret_text_says_what_it_is_not(plessor, minimal) -> None:
    ran = plessor("interpret", minimal)
    assert (ran.code, ran.err) == (0, "")
    assert "not a diagnosis" in " ".join(ran.out.split())


def test_interpret_age_holds_only_where_the_record_has_none(plessor, tmp_path) -> None:
    unknown = _write(tmp_path / "unknown.json", age_months=None)
    known = _write(tmp_path / "known.json", age_months=84)

    def interpreted(path, *options) -> dict:
        return {
            **json.loads(plessor("interpret", path, "-f", "json", *options).out),
            "narration": None,
        }

    assert interpreted(unknown, "--age", "7y") == interpreted(known)
    assert interpreted(known, "--age", "18m") == interpreted(known)


def test_export_round_trips_between_the_json_formats(plessor, minimal, tmp_path) -> None:
    line = plessor("export", minimal, "--format", "jsonl")
    assert (line.code, line.err) == (0, "")
    (tmp_path / "lines.jsonl").write_text(line.out * 2)
    listed = plessor("export", tmp_path / "lines.jsonl", "--format", "json")
    assert json.loads(listed.out) == [json.loads(line.out)] * 2
    (tmp_path / "list.json").write_text(listed.out)
    assert plessor("export", tmp_path / "list.json", "--format", "jsonl").out == line.out * 2
    assert plessor("export", "-", "-f", "jsonl", stdin=line.out.encode()).out == line.out


def test_export_text_and_csv_are_those_of_read(plessor, tmp_path) -> None:
    case = tmp_path / "case.txt"
    case.write_text("Left wrist extension three.\n")
    record = tmp_path / "case.json"
    record.write_text(plessor("read", case, "-f", "json").out)
    for format in ("text", "csv", "json", "jsonl"):
        exported = plessor("export", record, "-f", format)
        assert exported.out == plessor("read", case, "-f", format).out
        assert exported.code == 0


@pytest.mark.parametrize("command", ["interpret", "export"])
def test_a_bad_record_is_told_with_its_place_and_the_others_are_worked_on(
    plessor, minimal, tmp_path, command
) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps({"findings": [{**FINDINGS[0], "modality": "powre"}]}))
    ran = plessor(command, bad, minimal, "-f", "jsonl")
    assert ran.code == 1
    assert len(ran.out.splitlines()) == 1
    assert "findings[0].modality: unknown modality “powre”; the nearest valid one is “power”." in (
        ran.sentence
    )
