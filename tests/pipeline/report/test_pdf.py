"""The printed report, read back with pypdf: all of it is there, on one page where it fits."""

import datetime as dt
import io
import re
from functools import cache
from pathlib import Path

import pypdf
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.lexicon.rules import load_rules
from plessor.pipeline.exam import ExamFacts, read_text
from plessor.pipeline.files import read_records
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Evidence, Finding, Record, Unresolved
from plessor.pipeline.report.findings import finding_rows
from plessor.pipeline.report.layout import plain
from plessor.pipeline.report.pdf import report_pdf
from plessor.pipeline.report.sheet import FULL, Sheet, font_files
from plessor.pipeline.report.signed import state_words
from plessor.pipeline.review import sign

SAMPLES = Path(__file__).parents[3] / "samples"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))
TITLE = "Neurological examination"


@cache
def sample(name: str) -> Record:
    (record,) = read_records(SAMPLES / f"{name}.json")
    return record


def printed(record: Record) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(report_pdf(record, interpret(record))))


def squeezed(text: str) -> str:
    """Without the spaces, which a line's end may stand for."""
    return "".join(text.split())


def told(reader: pypdf.PdfReader) -> str:
    return squeezed("".join(page.extract_text() for page in reader.pages))


def stands(row: str, text: str) -> bool:
    """Whether a row of the table is there; the lines of its cells may be wrapped."""
    first, *rest = row.split()
    between = r".{0,40}?"
    return re.search(between.join(map(re.escape, (first, *rest))), text) is not None


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_one_page_with_every_finding_and_sentence(name: str) -> None:
    record = sample(name)
    interpretation = interpret(record)
    reader = printed(record)
    assert len(reader.pages) == 1
    text = told(reader)
    for _, rows in finding_rows(record.findings, times=False):
        for label, cells, wide in rows:
            for cell in (*(cells or ()), *wide):
                assert stands(f"{label} {cell or '–'}", text)
    for sentence in interpretation.sentences:
        if sentence.urgent or sentence.kind in ("summary", "coverage", "caution"):
            assert squeezed(sentence.text) in text
    assert squeezed(interpretation.caution) in text
    assert squeezed(state_words(record)) in text


@pytest.mark.parametrize("name", NAMES)
def test_a_narration_as_read_is_one_page_too(name: str) -> None:
    """With words, unresolved stretches and corrections, as a record of usual size has them."""
    text = (SAMPLES / f"{name}.txt").read_text(encoding="utf-8")
    record = read_text(text, narration=name, facts=ExamFacts(age_months=70, examiner="Dr Example"))
    reader = printed(record)
    assert len(reader.pages) == 1
    for item in record.unresolved:
        assert squeezed(plain(item.evidence.corrected)) in told(reader)


def test_title_language_and_outline_are_told_to_a_screen_reader() -> None:
    reader = printed(sample("c7-picture"))
    root = reader.trailer["/Root"]
    assert reader.metadata.title == f"{TITLE}: c7-picture"
    assert root["/Lang"] == "en-GB"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    headings = [item["/Title"] for item in reader.outline]
    assert headings[:2] == ["Interpretation", "Findings"]


def test_fonts_are_embedded_and_the_drawing_is_made_of_lines() -> None:
    page = printed(sample("hemiplegic-child")).pages[0]
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert fonts
    for font in fonts:
        (descendant,) = font["/DescendantFonts"]
        assert "/FontFile2" in descendant.get_object()["/FontDescriptor"]
    assert not page.images
    strokes = page.get_contents().get_data().split(b"\n")
    assert sum(line.endswith((b" l S", b" l", b" S")) for line in strokes) > 500


def test_the_drawing_shows_what_was_found_and_says_how_to_read_it() -> None:
    text = told(printed(sample("hemiplegic-child")))
    for words in ("Power", "Sensation", "Reflexes", "Tone and inspection", "not examined, or"):
        assert squeezed(words) in text


def test_a_record_without_findings_says_so() -> None:
    text = told(printed(Record()))
    assert squeezed("No findings were recorded.") in text
    assert squeezed(load_rules().standing) in text


def many(number: int) -> Record:
    """A record of ``number`` findings, each with a note of its own."""
    vocabulary = load().vocabulary
    places = [
        (modality, segment)
        for modality in vocabulary.modalities
        for segment in vocabulary.segment_kinds
        if vocabulary.takes(modality, segment)
    ]
    findings = []
    for n in range(number):
        modality, segment = places[(n // 2) % len(places)]
        findings.append(
            Finding(
                modality=modality, segment=segment, side=("left", "right")[n % 2],
                grade=vocabulary.grades(modality)[0], note=f"note{n}.",
            )
        )  # fmt: skip
    return Record(narration="long", age_months=100, findings=tuple(findings))


def test_a_long_record_goes_over_to_pages_with_head_and_foot() -> None:
    record = many(500)
    reader = printed(record)
    pages = [squeezed(page.extract_text()) for page in reader.pages]
    assert len(pages) > 3
    whole = "".join(pages)
    assert all(f"note{n}." in whole for n in range(500))
    for number, page in enumerate(pages, start=1):
        assert squeezed(f"Page {number} of {len(pages)}") in page
        assert squeezed(load_rules().standing) in page
        assert "Unsigned" in page
    assert sum("LeftRight" in page for page in pages) >= len(pages) - 3
    assert "Inspection(continued)" in pages[1]  # a row's name may rest on its group's


def test_text_is_narrow_beside_the_figure_on_whatever_page_it_is() -> None:
    with font_files() as fonts:
        sheet = Sheet(fonts, title="", size_pt=8, foot=(), one_page=False)
        for _ in range(2):  # once the table was drawn over a figure of the second page
            sheet.add_page()
            assert sheet.column == FULL
            sheet.beside = (90.0, sheet.y + 50)
            assert sheet.column == 90.0


def test_a_signature_and_its_loss_are_told() -> None:
    when = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)
    record = sign(sample("c7-picture"), who="Dr N. Example", when=when)
    text = told(printed(record))
    assert squeezed("Signed on 2026-03-04 at 10:30 UTC by Dr N. Example") in text
    assert "UNSIGNED" not in text
    text = told(printed(record.model_copy(update={"age_months": 1})))
    assert "ALTERED" in text


def test_a_right_to_left_name_is_whole_in_the_box_and_the_foot() -> None:
    when = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)
    record = sign(Record(examiner="שלום"), who="שלום", when=when)
    text = printed(record).pages[0].extract_text()
    assert text.count("שלום") == 3


def test_a_stretch_longer_than_a_page_is_printed_to_its_end() -> None:
    words = " ".join(f"word{n}" for n in range(4000))
    evidence = Evidence(heard="", corrected=words, first_word=0, last_word=0)
    reader = printed(Record(unresolved=(Unresolved(reason="unread", evidence=evidence),)))
    assert len(reader.pages) > 2
    text = told(reader)
    assert all(word in text for word in words.split())


def test_letters_of_many_scripts_are_there_and_others_are_told_by_number() -> None:
    words = "naïve Ελλάδα Привет ½ ≥ → −"
    text = told(printed(Record(narration=words)))
    assert squeezed(words) in text
    assert "[U+" not in text
    text = told(printed(Record(narration="中 x😀")))
    assert squeezed("[U+4E2D] x[U+1F600]") in text
    assert squeezed("written as their Unicode number") in text


@pytest.mark.parametrize("words", ["שלום עולם", "مرحبا بالعالم"])
def test_right_to_left_text_is_kept_word_by_word(words: str) -> None:
    text = printed(Record(narration=f"x {words} y")).pages[0].extract_text()
    assert all(word in text for word in words.split())


_AWKWARD = st.text(max_size=60) | st.sampled_from(
    [
        "\x00\x1b[31m",
        "مرحبا \u202e abc",
        "😀👩‍👩‍👧",
        "-->",
        "=1+1",
        "x" * 400,
        "{nb}",
        "**b** __u__",
        "­­",
    ]
)


# Not shrunk: a page takes long enough to set.
@settings(
    max_examples=12,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)
@given(st.from_type(Record), _AWKWARD)
def test_any_record_is_printed(record: Record, words: str) -> None:
    finding = Finding(modality="power", segment="grip", side="left", grade="5", note=words)
    reader = printed(record.model_copy(update={"narration": words, "findings": (finding,)}))
    text = told(reader)
    assert squeezed(load_rules().standing) in text
    assert "grip" in text
    if words.isascii() and words.isprintable():
        assert squeezed(words)[:60] in text
