"""The letter, read back with python-docx, and its XML held against the order of ECMA-376-1."""

import datetime as dt
import io
import re
import zipfile
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import docx
import pytest
from docx.enum.text import WD_COLOR_INDEX
from docx.oxml.ns import qn
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plessor.lexicon.rules import load_rules
from plessor.pipeline.files import read_records
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Finding, Record
from plessor.pipeline.report.findings import finding_rows
from plessor.pipeline.report.layout import plain
from plessor.pipeline.report.letter import report_letter
from plessor.pipeline.report.prose import by_region
from plessor.pipeline.report.signed import state_words
from plessor.pipeline.review import sign

SAMPLES = Path(__file__).parents[3] / "samples"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))
W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
#: The order of child elements in the schema (ECMA-376-1:2016, annex A.1, CT_PPr, CT_RPr, CT_TblPr,
#: CT_TcPr, CT_Row, CT_Tbl), as far as the letter may use them.
ORDER = {
    "pPr": "pStyle keepNext keepLines pageBreakBefore framePr widowControl numPr pBdr shd tabs "
    "bidi spacing ind contextualSpacing jc outlineLvl rPr sectPr",
    "rPr": "rStyle rFonts b bCs i iCs caps strike color spacing kern sz szCs highlight u shd rtl "
    "cs lang",
    "tblPr": "tblStyle tblpPr bidiVisual tblW jc tblInd tblBorders shd tblLayout tblCellMar "
    "tblLook tblCaption tblDescription",
    "tblBorders": "top left bottom right insideH insideV",
    "tcPr": "cnfStyle tcW gridSpan vMerge tcBorders shd noWrap tcMar vAlign",
    "tr": "tblPrEx trPr tc",
    "tbl": "tblPr tblGrid tr",
}


def written(record: Record) -> bytes:
    return report_letter(record, interpret(record))


def opened(record: Record):
    return docx.Document(io.BytesIO(written(record)))


def assert_valid(letter: bytes) -> None:
    """Every part is well formed, and what the letter adds stands in the order of the schema."""
    with zipfile.ZipFile(io.BytesIO(letter)) as package:
        assert package.testzip() is None
        parts = {n: ElementTree.fromstring(package.read(n)) for n in package.namelist()
                 if n.endswith((".xml", ".rels"))}  # fmt: skip
    for name in ("word/document.xml", "word/footer1.xml"):
        for element in parts[name].iter():
            order = ORDER.get(element.tag.removeprefix(W), "").split()
            places = [order.index(child.tag.removeprefix(W)) for child in element if order]
            assert places == sorted(places), ElementTree.tostring(element)
            if element.tag == f"{W}tc":
                assert element[-1].tag == f"{W}p"  # a cell ends with a paragraph


@pytest.mark.parametrize("name", NAMES)
def test_every_finding_stands_in_a_table_of_its_region(name: str) -> None:
    (record,) = read_records(SAMPLES / f"{name}.json")
    letter = opened(record)
    regions = by_region(record.findings)
    assert len(letter.tables) == len(regions)
    for table, (title, found) in zip(letter.tables, regions.items(), strict=True):
        caption = table._tbl.tblPr.find(qn("w:tblCaption")).get(qn("w:val"))
        assert caption.startswith(title)
        head, *rows = ([cell.text for cell in row.cells] for row in table.rows)
        assert table.rows[0]._tr.trPr.find(qn("w:tblHeader")) is not None
        expected = [row for _, places in finding_rows(found, times=False) for row in places]
        assert len(rows) == len(expected)
        for texts, (label, cells, wide) in zip(rows, expected, strict=True):
            row = dict(zip(head, texts, strict=True))
            assert row["What and where"] == label
            if cells:
                assert (row["Left"], row["Right"]) == (cells[0] or "–", cells[1] or "–")
            assert row.get("Midline or without a side", "") == "; ".join(wide)


def test_headings_are_headings_and_in_order() -> None:
    (record,) = read_records(SAMPLES / "hemiplegic-child.json")
    letter = opened(record)
    titles = [p.text for p in letter.paragraphs if p.style.name == "Heading 1"]
    expected = ["Urgent", "Findings", "Examined and not examined", "Interpretation", "Signature"]
    assert [t for t in titles if t in expected] == expected
    (title,) = [p for p in letter.paragraphs if p.style.name == "Title"]
    assert title.text == "Neurological examination"
    levels = [int(p.style.name[-1]) for p in letter.paragraphs if p.style.name[:7] == "Heading"]
    assert all(b - a <= 1 for a, b in pairwise(levels))


def test_language_and_title_are_set() -> None:
    letter = opened(Record(narration="visit", examiner="Dr N. Example"))
    languages = letter.styles.element.findall(".//" + qn("w:lang"))
    assert [element.get(qn("w:val")) for element in languages] == ["en-GB"]
    about = letter.core_properties
    assert (about.language, about.author) == ("en-GB", "Dr N. Example")
    assert about.title == "Neurological examination: visit"


def test_prose_sets_the_left_against_the_right(make_record) -> None:
    record = make_record(
        "power grip left 5", "power grip right 4-", "reflex biceps_jerk both absent",
        "power elbow_flexion right 3", "power neck_flexion midline 4",
        "reflex knee_jerk left not_assessable", "plantar_response none unstated extensor",
    )  # fmt: skip
    told = [p.text for p in opened(record).paragraphs]
    assert (
        "Power: grip 5 on the left and 4- on the right; elbow flexion 3 on the right, nothing "
        "recorded on the left." in told
    )
    assert "Reflexes: biceps jerk absent on both sides." in told
    assert "Power: neck flexion 4 in the midline." in told
    assert (
        "Reflexes: knee jerk could not be assessed on the left, nothing recorded on the right; "
        "plantar response extensor, side not stated." in told
    )


def test_a_side_without_a_finding_is_never_called_normal(make_record) -> None:
    letter = opened(make_record("reflex knee_jerk left absent"))
    prose = "Reflexes: knee jerk absent on the left, nothing recorded on the right."
    assert prose in [p.text for p in letter.paragraphs]
    (table,) = letter.tables
    assert [cell.text for cell in table.rows[1].cells][2:] == ["absent", "–"]
    words = " ".join(p.text for p in letter.paragraphs)
    assert set(re.findall(r"[^.;:]*\bnormal\b", words)) <= {
        " What was not examined is not called normal",
        "– stands for nothing recorded; it does not stand for normal",
        " it does not stand for normal",
    }


def test_what_a_record_does_not_know_is_a_marked_placeholder() -> None:
    letter = opened(Record(narration="visit [left]"))
    marked = [
        run.text
        for paragraph in letter.paragraphs
        for run in paragraph.runs
        if run.font.highlight_color == WD_COLOR_INDEX.YELLOW
    ]
    assert marked and all(re.fullmatch(r"\[[^\[\]]+\]", words) for words in marked)
    assert "[left]" not in marked
    assert {"[name]", "[date of birth]", "[Addressee: name and address]"} <= set(marked)


def test_state_and_caution_are_told_and_stand_on_every_page() -> None:
    record = Record(narration="visit")
    when = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)
    for one in (record, sign(record, who="Dr N. Example", when=when)):
        letter = opened(one)
        foot = " ".join(p.text for p in letter.sections[0].footer.paragraphs)
        body = [p.text for p in letter.paragraphs]
        for words in (state_words(one), load_rules().standing):
            assert words in foot
            assert words in body
    assert any("Dr N. Example" in words for words in body)


_AWKWARD = st.text(max_size=40) | st.sampled_from(
    [
        "\x00\x0b\x1b",
        "]]>",
        "<w:p/>",
        "&amp;",
        "مرحبا \u202e",
        "😀",
        "\ufffe",
        "x" * 3000,
        "{}",
        "[a]",
    ]
)


# Not shrunk: a letter takes long enough to write.
@settings(
    max_examples=20,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
@given(st.from_type(Record), _AWKWARD)
def test_any_record_is_a_valid_document(record: Record, words: str) -> None:
    finding = Finding(modality="power", segment="grip", side="left", grade="5", note=words)
    changed = record.model_copy(
        update={"narration": words, "examiner": words, "findings": (*record.findings, finding)}
    )
    letter = written(changed)
    assert_valid(letter)
    cells = [
        cell.text
        for table in docx.Document(io.BytesIO(letter)).tables
        for row in table.rows
        for cell in row.cells
    ]
    assert any(plain(words) in cell for cell in cells)
