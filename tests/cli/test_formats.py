"""Formats on the command line: binary ones, ones that hold one record, folders, the whole table."""

from __future__ import annotations

import io
import json
import re
import sys
from pathlib import Path

import pyarrow.parquet
import pypdf
import pytest
from plessor.pipeline.formats import ALIASES, FORMATS

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
SINGLE = [name for name, format in FORMATS.items() if format.join is None]
#: Captions need times, which these records do not have.
UNTIMED = [name for name in FORMATS if name != "vtt"]


@pytest.fixture
def write(tmp_path):
    def written(name: str, **fields) -> Path:
        finding = {"modality": "power", "segment": "grip", "side": "left", "grade": "4-"}
        path = tmp_path / f"{name}.json"
        record = {"narration": name, "findings": [finding], **fields}
        path.write_text(json.dumps(record))
        return path

    return written


@pytest.mark.parametrize("name", UNTIMED)
def test_export_writes_every_format_to_a_file(plessor, write, tmp_path, name) -> None:
    out = tmp_path / f"out{FORMATS[name].ending}"
    ran = plessor("export", write("visit"), "-f", name, "-o", out)
    assert (ran.code, ran.sentence) == (0, f"Written to {out}.")
    if name == "pdf":
        assert len(pypdf.PdfReader(out).pages) == 1
    else:
        assert out.stat().st_size > 100


def test_fhir_is_another_name_of_release_4(plessor, write) -> None:
    visit = write("visit")
    for command in ("export", "interpret", "read"):
        source = visit if command != "read" else visit.with_suffix(".txt")
        visit.with_suffix(".txt").write_text("Left grip four.")
        long, short = (plessor(command, source, "-f", name) for name in ("fhir-r4", "fhir"))
        assert (short.code, short.out) == (0, long.out)
        assert json.loads(short.out)["resourceType"] == "Bundle"


def test_captions_of_a_written_narration_are_refused(plessor, write) -> None:
    ran = plessor("export", write("visit", words=[{"text": "grip"}]), "-f", "vtt")
    assert (ran.code, ran.out) == (1, "")
    assert "have no times" in ran.sentence


@pytest.mark.parametrize("name", [name for name, f in FORMATS.items() if f.is_binary])
def test_a_binary_format_refuses_a_terminal(plessor, write, monkeypatch, name) -> None:
    visit = write("visit")
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    ran = plessor("export", visit, "-f", name)
    assert (ran.code, ran.out) == (1, "")
    assert ran.sentence == (
        f"plessor: The format {name} is not for a terminal; name a file with --out FILE."
    )


def test_a_binary_format_goes_into_another_program(write, tmp_path) -> None:
    """Through a real pipe, byte by byte what a file gets."""
    import subprocess

    code = "from plessor.cli.main import run; run()"
    arguments = ["export", str(write("visit")), "-f", "parquet"]
    ran = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert pyarrow.parquet.read_table(io.BytesIO(ran.stdout)).num_rows == 1


@pytest.mark.parametrize("name", SINGLE)
def test_several_records_in_one_file_are_refused(plessor, write, tmp_path, name) -> None:
    out = tmp_path / "out"
    words = [{"text": "grip", "start_s": 0.0, "end_s": 0.4}]
    one, two = write("one", words=words), write("two", words=words)
    ran = plessor("export", one, two, "-f", name, "-o", out)
    assert (ran.code, out.exists()) == (1, False)
    expected = f"The format {name} holds one record a file; name a folder with --out for several."
    assert ran.sentence == f"plessor: {expected}"
    both = tmp_path / "both.jsonl"
    both.write_text("".join(path.read_text() + "\n" for path in (one, two)))
    ran = plessor("export", both, "-f", name, "-o", out)
    assert (ran.code, ran.sentence, out.exists()) == (1, f"plessor: {expected}", False)


@pytest.mark.parametrize("name", SINGLE)
def test_a_folder_gets_a_file_for_each_record(plessor, write, tmp_path, name) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    words = [{"text": "grip", "start_s": 0.0, "end_s": 0.4}]
    paths = [write(n, words=words) for n in ("one", "two")]
    paths.append(write("three", narration="one", words=words))
    ran = plessor("export", *paths, "-f", name, "-o", folder, "--quiet")
    assert (ran.code, ran.err) == (0, "")
    ending = FORMATS[name].ending
    assert {path.name for path in folder.iterdir()} == {
        f"one{ending}", f"two{ending}", f"one-2{ending}"
    }  # fmt: skip


def test_tables_of_several_records_are_one_table(plessor, write, tmp_path) -> None:
    out = tmp_path / "all.parquet"
    ran = plessor("export", write("one"), write("two"), "-f", "parquet", "-o", out, "-q")
    assert (ran.code, ran.err) == (0, "")
    rows = pyarrow.parquet.read_table(out).to_pylist()
    assert [row["narration"] for row in rows] == ["one", "two"]
    csv = plessor("export", write("one"), write("two"), "-f", "csv").out.splitlines()
    assert len(csv) == 3


def test_read_and_interpret_write_reports_too(plessor, write, tmp_path) -> None:
    pdf = tmp_path / "read.pdf"
    assert plessor("read", "-f", "pdf", "-o", pdf, stdin=b"Left grip four.").code == 0
    assert "grip" in pypdf.PdfReader(pdf).pages[0].extract_text()
    earlier = write("earlier", age_months=60)
    docx = tmp_path / "letter.docx"
    ran = plessor("interpret", write("now"), "--earlier", earlier, "-f", "docx", "-o", docx, "-q")
    assert (ran.code, ran.err) == (0, "")
    assert docx.read_bytes().startswith(b"PK")


def test_readme_tells_every_format_with_its_ending_and_media_type() -> None:
    assert all(
        f"`{other}` is another name of `{name}`" in README for other, name in ALIASES.items()
    )
    for name, format in FORMATS.items():
        row = re.search(rf"^\| `{name}` \|.*$", README, re.M)
        assert row, name
        assert f"`{format.ending}`" in row[0]
        assert f"`{format.media_type.split(';')[0]}`" in row[0]
