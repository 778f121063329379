"""A record and what it amounts to: text, page, drawings, table. No clinical logic."""

from __future__ import annotations

from .bars import report_bars
from .captions import report_captions
from .html import html_page, report_html
from .outline import report_outline
from .tabular import COLUMNS, report_csv
from .text import report_text

__all__ = [
    "COLUMNS",
    "html_page",
    "report_bars",
    "report_captions",
    "report_csv",
    "report_html",
    "report_outline",
    "report_text",
]
