"""The report on paper: one A4 page where a record is of usual size, more where it is long.

What matters at a glance, in this order: who and when and whether it is signed, what is urgent,
what the pattern fits best with, the findings left beside right with the outline, what was not
examined, cautions, and what nothing could be read from. The text is set as large as fits one page;
what does not fit at the smallest size goes over to further pages at the usual size.
"""

from __future__ import annotations

from pathlib import Path

from ..interpret import Interpretation
from ..record import Record
from ..review.signing import state
from .figure import WIDTH as FIGURE
from .figure import draw_outline
from .findings import UNRECORDED, finding_rows
from .marks import outline_panels
from .sheet import ALARM, FULL, INK, MARGIN, SOFT, WIDTH, OverError, Sheet, font_files
from .signed import state_words
from .text import facts, remarks

#: Sizes that are tried for one page, and that of a longer report (points).
SIZES, USUAL = (9.5, 9.0, 8.5, 8.0, 7.5), 9.0
_SHARES = (0.46, 0.27, 0.27)
#: What has no side begins between the columns, since under their heads it would have one.
_ACROSS = (0.46, 0.14, 0.40)
_TITLE = "Neurological examination"
_REMARKS = ("unresolved", "dropped", "suggested", "rejected", "taught")
_MORE = (
    "Comparisons, scores, evidence for each site, changes since an earlier record, and corrections "
    "of words are told in the other formats of this report."
)
_LETTERS = "Characters without a letter in this font are written as their Unicode number."


def report_pdf(record: Record, interpretation: Interpretation) -> bytes:
    """The report on ``record`` as one PDF document."""
    with font_files() as fonts:
        for size_pt in SIZES:
            try:
                return _set(record, interpretation, fonts, size_pt, one_page=True)
            except OverError:
                continue
        return _set(record, interpretation, fonts, USUAL, one_page=False)


def _set(
    record: Record, interpretation: Interpretation, fonts: Path, size_pt: float, *, one_page: bool
) -> bytes:
    named = f"{_TITLE}: {record.narration}" if record.narration else _TITLE
    foot = (f"{state_words(record)} {named}", interpretation.caution)
    sheet = Sheet(fonts, title=named, size_pt=size_pt, foot=foot, one_page=one_page)
    _head(sheet, record)
    _urgent(sheet, interpretation)
    _paragraphs(sheet, "Interpretation", [" ".join(_texts(interpretation, "summary"))], "")
    _findings(sheet, record, interpretation)
    _paragraphs(sheet, "Examined and not examined", _texts(interpretation, "coverage"), "•")
    _paragraphs(sheet, "Cautions", _texts(interpretation, "caution"), "•")
    for title, lines in remarks(record, interpretation, kinds=_REMARKS):
        _paragraphs(sheet, title, lines, "•")
    sheet.gap(sheet.leading * 0.5)
    sheet.paragraph(_MORE, colour=SOFT)
    if sheet.lacks_letters:
        sheet.paragraph(_LETTERS, colour=SOFT)
    return bytes(sheet.output())


def _texts(interpretation: Interpretation, kind: str) -> list[str]:
    return [s.text for s in interpretation.sentences if s.kind == kind and not s.urgent]


def _head(sheet: Sheet, record: Record) -> None:
    """Title and facts on the left, the state of the record in a box on the right."""
    top, box = sheet.y, 62.0
    sheet.beside = (FULL - box - 5, 1e9)
    sheet.look(15, style="B")
    sheet.cell(h=7, text=_TITLE)
    sheet.set_xy(MARGIN, top + 7.6)
    sheet.paragraph(record.narration, style="B")
    for line in facts(record):
        sheet.paragraph(line, colour=SOFT)
    end = sheet.y
    sheet.beside = None
    _state(sheet, state(record).upper(), state_words(record), WIDTH - MARGIN - box, top, box)
    sheet.y = max(end, sheet.y) + 1.5


def _state(sheet: Sheet, code: str, words: str, x: float, y: float, width: float) -> None:
    sheet.look(7.6)
    lines = sheet.wrapped(words, width - 5)
    height = 7.8 + 3.6 * len(lines)
    sheet.set_draw_color(*INK)
    sheet.set_line_width(0.4 if code == "SIGNED" else 0.8)
    sheet.rect(x, y, width, height)
    sheet.look(10, style="B")
    sheet.set_xy(x + 2.2, y + 1.2)
    sheet.cell(h=4.8, text=code)
    sheet.look(7.6)
    for number, line in enumerate(lines):
        sheet.y = y + 6.2 + 3.6 * number
        sheet.put(x + 2.2, line, 3.6)
    sheet.set_xy(MARGIN, y + height)


def _urgent(sheet: Sheet, interpretation: Interpretation) -> None:
    urgent = [s.text for s in interpretation.sentences if s.urgent]
    if not urgent:
        return
    sheet.heading("Urgent")
    for words in urgent:
        sheet.paragraph(words, bullet="!", colour=ALARM)


def _findings(sheet: Sheet, record: Record, interpretation: Interpretation) -> None:
    if not record.findings:
        _paragraphs(sheet, "Findings", ["No findings were recorded."], "")
        return
    sheet.gap(sheet.leading * 0.5)
    sheet.room(150)
    top = sheet.y
    end = draw_outline(sheet, outline_panels(record, interpretation), WIDTH - MARGIN - FIGURE, top)
    sheet.set_xy(MARGIN, top)
    sheet.beside = (FULL - FIGURE - 5, end)
    sheet.heading("Findings")
    sheet.paragraph(UNRECORDED, colour=SOFT)
    with sheet.rows_under(("", "Left", "Right"), _SHARES):
        for group, places in finding_rows(record.findings, times=False):
            sheet.group(f"{group[:1].upper()}{group[1:]}")
            for label, cells, wide in places:
                if cells is not None:
                    sheet.cells((label, cells[0] or "–", cells[1] or "–"), _SHARES)
                for cell in wide:
                    sheet.cells((label, "", cell), _ACROSS)


def _paragraphs(sheet: Sheet, title: str, texts: list[str], bullet: str) -> None:
    if not any(texts):
        return
    sheet.heading(title)
    for words in texts:
        sheet.paragraph(words, bullet=bullet)
