"""A record, and what it amounts to, as a person reads it and as a table. No clinical logic."""

from __future__ import annotations

from .tabular import COLUMNS, report_csv
from .text import report_text

__all__ = ["COLUMNS", "report_csv", "report_text"]
