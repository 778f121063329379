"""A4 pages that text flows down: lines, paragraphs, rows of a table, with one embedded font.

The font, FiraGO (SIL Open Font License 1.1), comes in a Python package, so that a page looks
the same on every machine. It has the letters of Latin, Greek, Cyrillic, Arabic, Hebrew, Thai,
Georgian and Devanagari; a character that it lacks is written as its Unicode number, such as
[U+1F600], and the page says so: nothing is left out silently. Every line is placed here, so
that a long table goes over to the next page between rows, its head repeated.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pymupdf_fonts
from fpdf import FPDF, ViewerPreferences
from fpdf.enums import MethodReturnValue, XPos, YPos
from fpdf.fonts import TTFFont

from .layout import plain

MARGIN, WIDTH, HEIGHT = 14.0, 210.0, 297.0
FULL = WIDTH - 2 * MARGIN
FOOT = 15.0
_BOTTOM = HEIGHT - FOOT - 4.0
_POINT = 25.4 / 72
INK, SOFT, RULE, ALARM = (29, 39, 51), (90, 101, 112), (190, 198, 206), (143, 45, 0)
#: Blocks whose scripts join or reorder letters: these need the shaping engine.
_JOINED = ((0x0590, 0x08FF), (0x0900, 0x0DFF), (0x0E00, 0x0EFF), (0xFB1D, 0xFDFF), (0xFE70, 0xFEFC))
_FONTS = {"": "figo", "B": "figbo"}
#: Stands for the number of pages until it is known; no text has two spaces in a row here.
_PAGES = "#  #"


@contextmanager
def font_files() -> Iterator[Path]:
    """A folder with the font, which the libraries read from files until the pages are written."""
    with tempfile.TemporaryDirectory() as folder:
        for font in _FONTS.values():
            Path(folder, f"{font}.ttf").write_bytes(pymupdf_fonts.myfont(font))
        yield Path(folder)


class OverError(Exception):
    """The text does not fit the one page that it was given."""


class Sheet(FPDF):
    """Pages of one document, with the font from the folder ``fonts`` (``font_files``).

    ``size_pt`` is the size of the text, ``y`` where it goes on.
    ``foot`` is written at the end of every page. With ``one_page`` a second page is not
    begun; ``OverError`` is raised in its place.
    """

    def __init__(
        self, fonts: Path, *, title: str, size_pt: float, foot: Sequence[str], one_page: bool
    ) -> None:
        super().__init__(format="A4")
        self.foot = tuple(foot)
        self.size_pt = size_pt
        self.one_page = one_page
        self.lacks_letters = False
        self.beside = None
        self._head: Callable[[], None] | None = None
        self._table_width: float | None = None
        self._group = ""
        for style, font in _FONTS.items():
            self.add_font("text", style, fonts / f"{font}.ttf")
        self.alias_nb_pages(_PAGES)
        regular = self.fonts["text"]
        assert isinstance(regular, TTFFont)
        self._known = frozenset(regular.cmap)
        self.set_margins(MARGIN, MARGIN)
        self.c_margin = 0
        self.set_auto_page_break(False)
        self.set_title(plain(title))
        self.set_lang("en-GB")
        self.set_creator("Plessor")
        self.viewer_preferences = ViewerPreferences(display_doc_title=True)
        self.add_page()

    @property
    def leading(self) -> float:
        """From one line to the next, in millimetres."""
        return self.size_pt * _POINT * 1.28

    @property
    def beside(self) -> tuple[float, float] | None:
        """Width and lower end of a narrow column, on the page on which it was begun."""
        return self._beside if self.page == self._beside_page else None

    @beside.setter
    def beside(self, column: tuple[float, float] | None) -> None:
        self._beside, self._beside_page = column, self.page

    @property
    def column(self) -> float:
        """The width of the text at this height: narrow beside the figure, else the page's."""
        if self.beside is not None and self.y < self.beside[1]:
            return self.beside[0]
        return FULL

    def footer(self) -> None:
        """Called by the library at the end of each page."""
        self.set_y(HEIGHT - FOOT)
        self.set_draw_color(*RULE)
        self.set_line_width(0.2)
        self.line(MARGIN, self.y, WIDTH - MARGIN, self.y)
        self.ln(1.2)
        self.look(6.8, SOFT)
        self.set_x(WIDTH - MARGIN - 24)
        self.cell(24, 3.4, f"Page {self.page} of {_PAGES}", align="R", new_y=YPos.TOP)
        for number, words in enumerate(self.foot):
            self.put(MARGIN, self._cut(words, FULL if number else FULL - 26), 3.4)
            self.y += 3.4

    def look(self, size_pt: float, colour: tuple[int, int, int] = INK, style: str = "") -> None:
        """The font from here on."""
        self.set_font("text", style, size_pt)
        self.set_text_color(*colour)

    def letters(self, text: str) -> str:
        """``text`` on one line, in characters that the font has."""
        told = plain(text)
        if all(ord(c) in self._known for c in told):
            return told
        self.lacks_letters = True
        return "".join(c if ord(c) in self._known else f"[U+{ord(c):04X}]" for c in told)

    def wrapped(self, text: str, width: float) -> list[str]:
        """The lines of ``text`` in the font in use."""
        told = self.letters(text)
        if not told:
            return []
        with self._shaped(told):
            lines = self.multi_cell(
                width, self.leading, told, align="L", dry_run=True, output=MethodReturnValue.LINES
            )
        return lines if isinstance(lines, list) else []

    def room(self, height: float) -> None:
        """Go to the next page unless ``height`` is left on this one."""
        if self.y + height > _BOTTOM:
            if self.one_page:
                raise OverError
            self.add_page()
            if self._head is not None:
                self._head()

    def gap(self, height: float) -> None:
        """Leave ``height`` free, but not at the top of a page."""
        if self.y > MARGIN:
            self.y += height

    def heading(self, text: str) -> None:
        """A line in bold that stays with the two lines after it."""
        self.gap(self.leading * 0.55)
        self.room(self.leading * 3.3)
        self.start_section(plain(text))
        self.look(self.size_pt + 1, style="B")
        self.put(MARGIN, self.letters(text), self.leading * 1.15)
        self.y += self.leading * 1.2

    def paragraph(
        self, text: str, *, bullet: str = "", style: str = "", colour: tuple[int, int, int] = INK
    ) -> None:
        """``text`` over as many lines as it takes; the lines after a bullet are indented."""
        self.look(self.size_pt, colour, style)
        indent = self.get_string_width(bullet) + 1.4 if bullet else 0.0
        lines = self.wrapped(text, self.column - indent)
        for number, line in enumerate(lines):
            self.room(self.leading)
            self.look(self.size_pt, colour, style)
            if bullet and not number:
                self.put(MARGIN, bullet, self.leading)
            self.put(MARGIN + indent, line, self.leading)
            self.y += self.leading

    @contextmanager
    def rows_under(self, head: Sequence[str], shares: Sequence[float]) -> Iterator[None]:
        """Rows until the end of the context; ``head`` is written again on every new page.

        A table keeps the width that it begins with to the end of its page.
        """

        def written() -> None:
            self._table_width = self.column
            self.cells(head, shares, style="B")
            if self._group:
                self.cells([f"{self._group} (continued)"], [1.0], style="B")

        self._group = ""
        self.room(self.leading * 4)
        written()
        self._head = written
        yield
        self._head = self._table_width = None

    def group(self, title: str) -> None:
        """A row that names the rows after it; it stays with the first of them."""
        self._group = ""
        self.room(self.leading * 2.6)
        self.cells([title], [1.0], style="B")
        self._group = title

    def cells(self, texts: Sequence[str], shares: Sequence[float], *, style: str = "") -> None:
        """One row, each text wrapped in its share of the width; it is kept on one page."""
        self.look(self.size_pt, style=style)
        columns = self._columns(texts, shares)
        deep = max(map(len, columns), default=0)
        page = self.page
        self.room(min(deep * self.leading + 0.6, 60.0))
        if self.page != page:  # another width
            self.look(self.size_pt, style=style)
            columns = self._columns(texts, shares)
        for number in range(max(map(len, columns), default=0)):
            self.room(self.leading)
            self.look(self.size_pt, style=style)
            x = MARGIN
            for lines, share in zip(columns, shares, strict=True):
                if number < len(lines):
                    self.put(x, lines[number], self.leading)
                x += self._row_width * share
            self.y += self.leading
        self.rule(self._row_width)

    @property
    def _row_width(self) -> float:
        return self._table_width or self.column

    def _columns(self, texts: Sequence[str], shares: Sequence[float]) -> list[list[str]]:
        return [
            self.wrapped(text, self._row_width * share - 1.6)
            for text, share in zip(texts, shares, strict=True)
        ]

    def rule(self, width: float) -> None:
        """A thin line across, and the small space after it."""
        self.set_draw_color(*RULE)
        self.set_line_width(0.1)
        self.line(MARGIN, self.y + 0.2, MARGIN + width, self.y + 0.2)
        self.y += 0.5

    def put(self, x: float, text: str, height: float) -> None:
        """``text`` on one line from ``x``; what comes next stays where it was to come."""
        top = self.y
        self.set_xy(x, top)
        with self._shaped(text):
            self.cell(0, height, text, new_x=XPos.LMARGIN, new_y=YPos.TOP)
        self.set_xy(MARGIN, top)

    @contextmanager
    def _shaped(self, text: str) -> Iterator[None]:
        """The shaping engine for scripts that need it; other text is set without, much faster."""
        if any(first <= ord(c) <= last for c in text for first, last in _JOINED):
            self.set_text_shaping(True, features={"liga": False, "clig": False})
        yield
        self.set_text_shaping(False)

    def _cut(self, text: str, width: float) -> str:
        told = self.letters(text)
        with self._shaped(told):
            while told and self.get_string_width(told) > width:
                told = told[: -max(2, len(told) // 20)].rstrip() + "…"
        return told
