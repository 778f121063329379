"""``plessor interpret``: earlier records, drawings, pages, and what cannot be done with many."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

THEN = [["power", "grip", "left", "2"], ["reflex", "knee_jerk", "left", "normal"]]
NOW = [["power", "grip", "left", "4"], ["reflex", "knee_jerk", "left", "normal"]]


@pytest.fixture
def record(tmp_path: Path):
    def write(name: str, findings: list[list[str]], **fields: object) -> Path:
        keys = ("modality", "segment", "side", "grade")
        rows = [dict(zip(keys, row, strict=True)) for row in findings]
        path = tmp_path / name
        path.write_text(json.dumps({"narration": name, "findings": rows, **fields}))
        return path

    return write


def test_interpret_tells_what_has_changed_since_an_earlier_record(plessor, record) -> None:
    then, now = record("then.json", THEN, age_months=90), record("now.json", NOW, age_months=96)
    ran = plessor("interpret", now, "--earlier", then)
    words = " ".join(ran.out.split())
    assert ran.code == 0 and "CHANGES SINCE THE EARLIER RECORD" in ran.out
    assert "Better: power in grip on the left from 2 to 4." in words
    data = json.loads(plessor("interpret", now, "--earlier", then, "-f", "json").out)
    assert data["earlier"]["narration"] == "then.json"
    assert [c["kind"] for c in data["changes"]] == ["better", "same"]
    assert json.loads(plessor("interpret", now, "-f", "json").out)["earlier"] is None


def test_interpret_draws_into_files(plessor, record, tmp_path) -> None:
    outline, bars = tmp_path / "outline.svg", tmp_path / "bars.svg"
    ran = plessor("interpret", record("now.json", NOW), "--outline", outline, "--bars", bars)
    assert ran.code == 0 and "INTERPRETATION" in ran.out
    assert ran.err.splitlines() == [f"Written to {outline}.", f"Written to {bars}."]
    for path in (outline, bars):
        assert ET.parse(path).getroot().tag.endswith("svg")
        assert path.stat().st_mode & 0o077 == 0  # its owner alone can read it


def test_interpret_holds_the_examination_against_what_was_chosen(plessor, record) -> None:
    path = record("now.json", NOW)
    data = json.loads(plessor("interpret", path, "--examination", "upper_limbs", "-f", "json").out)
    assert (data["coverage"]["examination"], data["coverage"]["chosen"]) == ("upper_limbs", True)
    ran = plessor("interpret", path, "--examination", "arms")
    assert ran.code == 2 and "upper_limbs" in ran.err


@pytest.mark.parametrize("command", ["interpret", "export"])
def test_html_is_one_page_of_all_records(plessor, record, command) -> None:
    paths = [record("a.json", NOW), record("b.json", THEN)]
    ran = plessor(command, *paths, "--format", "html")
    assert ran.code == 0
    assert ran.out.count("<!DOCTYPE html>") == 1 and ran.out.count("<article>") == 2
    assert "a.json" in ran.out and "b.json" in ran.out


def test_read_writes_a_page(plessor) -> None:
    ran = plessor("read", "--format", "html", stdin=b"Left knee jerk brisk.")
    assert ran.code == 0 and "knee jerk" in ran.out and ran.out.rstrip().endswith("</html>")


@pytest.mark.parametrize("option", ["--earlier", "--outline", "--bars"])
def test_what_is_for_one_record_refuses_several(plessor, record, tmp_path, option) -> None:
    value = record("then.json", THEN) if option == "--earlier" else tmp_path / "x.svg"
    ran = plessor("interpret", record("a.json", NOW), record("b.json", NOW), option, value)
    assert (ran.code, ran.out) == (1, "")
    assert "one record" in ran.sentence and not (tmp_path / "x.svg").exists()


def test_earlier_must_be_one_record(plessor, record, tmp_path) -> None:
    now, many = record("now.json", NOW), tmp_path / "many.jsonl"
    many.write_text("\n".join(json.dumps({"narration": n, "findings": []}) for n in "ab"))
    ran = plessor("interpret", now, "--earlier", many)
    assert ran.code == 1 and "holds 2 records" in ran.sentence
    assert plessor("interpret", now, "--earlier", tmp_path / "none.json").code == 1


def test_a_drawing_does_not_replace_its_own_record(plessor, record) -> None:
    path = record("now.json", NOW)
    before = path.read_text()
    ran = plessor("interpret", path, "--outline", path)
    assert ran.code == 1 and path.read_text() == before
