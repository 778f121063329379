"""The table of formats: every row writes, and each file tells its state and what it is not."""

import io
import re
import sys

import docx
import pyarrow.parquet
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plessor.lexicon import MissingError
from plessor.lexicon.rules import load_rules
from plessor.pipeline.formats import FORMATS, file_name
from plessor.pipeline.record import Record, Word

BINARY = {name for name, format in FORMATS.items() if format.is_binary}
#: The first bytes of each binary format: PDF (ISO 32000-1, 7.5.2), ZIP (APPNOTE 4.3.7), Parquet.
MAGIC = {"pdf": b"%PDF-", "docx": b"PK\x03\x04", "parquet": b"PAR1"}


@pytest.fixture
def record(make_record) -> Record:
    words = (Word(text="Grip", start_s=0.0, end_s=0.3), Word(text="four", start_s=0.4, end_s=0.7))
    return make_record("power grip left 4", narration="visit.wav", words=words)


def readable(name: str, content: bytes) -> str:
    """The words of a file, by a library other than the one that wrote it where there is one."""
    if name == "pdf":
        return " ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(content)).pages)
    if name == "docx":
        return " ".join(p.text for p in docx.Document(io.BytesIO(content)).paragraphs)
    if name == "parquet":
        return str(pyarrow.parquet.read_table(io.BytesIO(content)).to_pylist())
    return content.decode()


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("name", FORMATS)
def test_every_format_writes_a_file(name: str, record: Record) -> None:
    format = FORMATS[name]
    content = format.file(record)
    assert format.name == name
    assert isinstance(format.document(record), bytes if format.is_binary else str)
    if format.is_binary:
        assert content.startswith(MAGIC[name])
    else:
        assert content.endswith(b"\n")
        content.decode()


#: The record itself is what it is: signed when it has a signature.
@pytest.mark.parametrize("name", [n for n in FORMATS if n not in ("json", "jsonl")])
def test_every_file_tells_its_state_and_what_it_is_not(name: str, record: Record) -> None:
    words = squeezed(readable(name, FORMATS[name].file(record)))
    assert squeezed(load_rules().standing) in words
    assert re.search("unsigned|preliminary", words, re.I)  # FHIR says it with a status


def test_names_endings_and_media_types_are_in_order() -> None:
    assert len({format.ending for format in FORMATS.values()}) == len(FORMATS)
    for format in FORMATS.values():
        assert re.fullmatch(r"\.[a-z0-9.-]+", format.ending)
        # RFC 6838, 4.2: type "/" subtype; parameters after a semicolon
        assert re.fullmatch(r"[a-z]+/[\w.+-]+(; [\w.]+=[\w.]+)*", format.media_type)
        assert format.says and "\n" not in format.says


@pytest.mark.parametrize("name", sorted(BINARY))
def test_a_missing_package_is_told_with_the_extra_that_brings_it(
    name: str, record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in FORMATS[name].needs:
        monkeypatch.setitem(sys.modules, module, None)  # as if it were not installed
    with pytest.raises(MissingError, match=r"needs the outputs extra: pip install 'plessor\[outp"):
        FORMATS[name].document(record)


@given(st.text(max_size=40) | st.sampled_from(["../../x", "a/b\\c", "CON:", "..", "visit.wav"]))
def test_a_file_name_is_a_name_and_not_a_path(narration: str) -> None:
    name = file_name(Record(narration=narration), FORMATS["pdf"])
    assert name.endswith(".pdf") and len(name) < 100
    assert not name.startswith((".", "-"))
    assert all(c.isalnum() or c in "-_." for c in name)


def test_a_file_name_loses_the_ending_of_the_source_and_is_taken_once() -> None:
    record = Record(narration="visit 1.wav")
    first = file_name(record, FORMATS["pdf"])
    second = file_name(record, FORMATS["pdf"], taken=[first.upper()])
    assert (first, second) == ("visit-1.pdf", "visit-1-2.pdf")
    assert file_name(Record(), FORMATS["vtt"]) == "record.vtt"
