"""The record as a letter (DOCX) that a person completes, signs and sends.

Addressee, person, sender and the rest that a record does not know are placeholders in square
brackets, marked, for a person to fill in; every other word is the record's or the
interpretation's. Headings are heading styles, tables have head rows that are repeated, and
the language is set, so that the letter can be read aloud and moved through.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence

from docx import Document
from docx.document import Document as Letter
from docx.enum.text import WD_COLOR_INDEX
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.oxml.xmlchemy import BaseOxmlElement
from docx.shared import Cm, Pt, RGBColor
from docx.table import Table

from ..interpret import Interpretation
from ..record import Finding, Record
from .findings import UNRECORDED, finding_rows
from .layout import plain
from .prose import by_region, sentences
from .signed import state_words
from .text import facts, remarks

LANGUAGE = "en-GB"
TITLE = "Neurological examination"
_INK = RGBColor(0x1D, 0x27, 0x33)
_MARGIN, _TEXT_WIDTH = Cm(2.3), Cm(21 - 2 * 2.3)
_PLACEHOLDER = re.compile(r"(\[[^\[\]]+\])")
_REMARKS = ("unresolved", "dropped", "suggested", "rejected", "taught")


def report_letter(record: Record, interpretation: Interpretation) -> bytes:
    """The letter on ``record`` as the bytes of one DOCX file."""
    letter = Document()
    _dress(letter)
    _describe(letter, record, interpretation)
    _open(letter, record)
    _listed(letter, "Urgent", [s.text for s in interpretation.sentences if s.urgent])
    _findings(letter, record)
    _listed(letter, "Examined and not examined", _texts(interpretation, "coverage"))
    _interpretation(letter, interpretation)
    for title, lines in remarks(record, interpretation, kinds=_REMARKS):
        _listed(letter, title, lines)
    _close(letter, record)
    out = io.BytesIO()
    letter.save(out)
    return out.getvalue()


def _dress(letter: Letter) -> None:
    """Page, language and styles."""
    section = letter.sections[0]
    section.page_width, section.page_height = Cm(21), Cm(29.7)
    section.left_margin = section.right_margin = _MARGIN
    section.top_margin = section.bottom_margin = Cm(2)
    defaults = letter.styles.element.find(".//" + qn("w:rPrDefault") + "//" + qn("w:lang"))
    assert defaults is not None  # the library's template has it
    defaults.set(qn("w:val"), LANGUAGE)
    for name, size, before in (
        ("Normal", 10.5, 0),
        ("Title", 20, 6),
        ("Heading 1", 14, 14),
        ("Heading 2", 11.5, 10),
        ("List Bullet", 10.5, 0),
        ("Footer", 8, 0),
    ):
        style = letter.styles[name]
        style.font.size, style.font.color.rgb = Pt(size), _INK
        if f"{name} Char" in letter.styles:  # the same look for a part of a line
            letter.styles[f"{name} Char"].font.color.rgb = _INK
        style.paragraph_format.space_before = Pt(before)
        style.paragraph_format.space_after = Pt(4)
        style.paragraph_format.line_spacing = 1.08


def _describe(letter: Letter, record: Record, interpretation: Interpretation) -> None:
    """What a file manager and a screen reader are told, and the foot of every page."""
    state = state_words(record)
    about = letter.core_properties
    about.title = _named(record)
    about.author = plain(record.examiner or "")[:255]
    about.language = LANGUAGE
    about.comments = f"{state} {interpretation.caution}"[:255]
    for tag in ("dcterms:created", "dcterms:modified"):  # the template's, not the letter's
        for element in about._element.findall(qn(tag)):
            about._element.remove(element)
    foot = letter.sections[0].footer
    foot.paragraphs[0].add_run(plain(f"{_named(record)}. {state}"))
    page = foot.add_paragraph(plain(f"{interpretation.caution} Page") + " ", style="Footer")
    page._p.append(_element("w:fldSimple", instr="PAGE"))


def _named(record: Record) -> str:
    return plain(f"{TITLE}: {record.narration}" if record.narration else TITLE)[:255]


def _open(letter: Letter, record: Record) -> None:
    _say(letter, "[Sender: name, role, department, address]")
    _say(letter, "[Addressee: name and address]")
    _say(letter, "[Date of the letter]")
    letter.paragraphs[-1].paragraph_format.space_after = Pt(14)
    _say(letter, "Re: [name], born [date of birth], [reference number]")
    _say(letter, "Dear [name of the addressee],")
    letter.add_paragraph(TITLE, style="Title")
    told = facts(record)[0]
    letter.add_paragraph(plain(told[:1].upper() + told[1:]))
    if record.narration:
        letter.add_paragraph(plain(f"Record: {record.narration}"))
    letter.add_paragraph().add_run(plain(state_words(record))).bold = True


def _findings(letter: Letter, record: Record) -> None:
    letter.add_heading("Findings", 1)
    if not record.findings:
        letter.add_paragraph("No findings were recorded.")
        return
    letter.add_paragraph(UNRECORDED)
    for title, found in by_region(record.findings).items():
        letter.add_heading(title, 2)
        for sentence in sentences(found):
            letter.add_paragraph(plain(sentence))
        _table(letter, title, found)


def _table(letter: Letter, title: str, findings: Sequence[Finding]) -> None:
    """Group and place; left and right, and a column without a side, where there are such."""
    rows = [
        (group, label, cells, wide)
        for group, places in finding_rows(findings, times=False)
        for label, cells, wide in places
    ]
    has_sides = any(cells for _, _, cells, _ in rows)
    has_wide = any(wide for *_, wide in rows)
    head = ["Group", "What and where"]
    head += ["Left", "Right"] if has_sides else []
    head += ["Midline or without a side"] if has_wide else []
    table = letter.add_table(rows=1, cols=len(head), style="Table Grid")
    _frame(table, f"{title}: findings, left and right")
    _row(table, 0, head, is_head=True)
    for number, (group, label, cells, wide) in enumerate(rows, start=1):
        texts = [group[:1].upper() + group[1:], label]
        texts += [cell or "–" for cell in cells] if cells else ["", ""] if has_sides else []
        texts += ["; ".join(wide)] if has_wide else []
        table.add_row()
        _row(table, number, texts)
    shares = [0.18, 0.36, *[0.46 / (len(head) - 2)] * (len(head) - 2)]
    for column, share in zip(table.columns, shares, strict=True):
        column.width = int(_TEXT_WIDTH * share)
        for cell in column.cells:
            cell.width = int(_TEXT_WIDTH * share)


def _row(table: Table, number: int, texts: Sequence[str], *, is_head: bool = False) -> None:
    for cell, words in zip(table.rows[number].cells, texts, strict=True):
        (paragraph,) = cell.paragraphs
        run = paragraph.add_run(plain(words))
        run.font.size = Pt(9.5)
        paragraph.paragraph_format.space_after = Pt(1)
        if is_head:
            run.bold = True
            shade = {"val": "clear", "color": "auto", "fill": "E9EDF1"}
            cell._tc.get_or_add_tcPr().append(_element("w:shd", **shade))
    tag = "w:tblHeader" if is_head else "w:cantSplit"
    table.rows[number]._tr.get_or_add_trPr().append(_element(tag))


def _frame(table: Table, caption: str) -> None:
    """Thin grey lines, and the name that a screen reader tells."""
    properties = table._tbl.tblPr
    borders = _element("w:tblBorders")
    for edge in ("top", "left", "bottom", "right", "insideH", "insideV"):
        borders.append(_element(f"w:{edge}", val="single", sz="4", space="0", color="BEC6CE"))
    look = properties.find(qn("w:tblLook"))
    assert look is not None  # the library writes it
    look.addprevious(borders)
    layout = properties.find(qn("w:tblLayout"))
    if layout is not None:  # it comes after the borders
        borders.addnext(layout)
    properties.append(_element("w:tblCaption", val=caption))


def _interpretation(letter: Letter, interpretation: Interpretation) -> None:
    letter.add_heading("Interpretation", 1)
    letter.add_paragraph().add_run(plain(interpretation.caution)).italic = True
    if summary := " ".join(_texts(interpretation, "summary")):
        letter.add_paragraph(plain(summary))
    _listed(letter, "Cautions", _texts(interpretation, "caution"), level=2)
    _listed(letter, "Most useful next", _texts(interpretation, "next_test"), level=2)


def _texts(interpretation: Interpretation, kind: str) -> list[str]:
    return [s.text for s in interpretation.sentences if s.kind == kind and not s.urgent]


def _listed(letter: Letter, title: str, lines: Iterable[str], *, level: int = 1) -> None:
    told = list(lines)
    if told:
        letter.add_heading(title, level)
    for line in told:
        letter.add_paragraph(plain(line), style="List Bullet")


def _close(letter: Letter, record: Record) -> None:
    letter.add_heading("Signature", 1)
    letter.add_paragraph(plain(state_words(record)))
    if made := facts(record)[1]:
        letter.add_paragraph(plain(f"Made from: {made}."))
    _say(letter, "[Closing, signature, name and role of the sender]")
    _say(letter, "[Copies to]")


def _say(letter: Letter, words: str) -> None:
    """A paragraph of ours whose placeholders are marked."""
    paragraph = letter.add_paragraph()
    for part in _PLACEHOLDER.split(words):
        if part:
            run = paragraph.add_run(part)
            if part.startswith("["):
                run.font.highlight_color = WD_COLOR_INDEX.YELLOW


def _element(tag: str, **attributes: str) -> BaseOxmlElement:
    made = OxmlElement(tag)
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), value)
    return made
