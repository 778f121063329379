"""The findings as a table: one finding a row, with all its fields and the state of the record.

The columns are the same in every format of a table. In comma-separated values, cells with
spoken or written words that a spreadsheet would take for a formula, in whatever case or width
(OWASP, CSV injection), are opened with an apostrophe, and so are cells that open with an
apostrophe themselves: whoever takes one apostrophe off (``unguarded``) has the words again.
Control characters become spaces. Codes, numbers and dates need no guard and have none.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from ...lexicon.rules import load_rules
from ..record import Finding, Record
from ..review.signing import state

COLUMNS = (
    "narration",
    "age_months",
    "finding",
    "modality",
    "segment",
    "side",
    "grade",
    "status",
    "certainty",
    "confidence",
    "heard",
    "corrected",
    "first_word",
    "last_word",
    "start_s",
    "end_s",
    "origin",
    "who",
    "when",
    "rule",
    "corrections",
    "note",
    "state",
    "signed_by",
    "signed_when",
    "caution",
)
#: The columns that hold words of a person or of a file, and may hold anything.
WORDS = frozenset(
    ("narration", "heard", "corrected", "who", "rule", "note", "signed_by"),
)
_FORMULA_STARTS = tuple("=+-@＝＋－＠")
_MARK = "'"


def report_csv(record: Record) -> str:
    """The findings of ``record`` under a head row; a record without findings gives the head.

    ``finding`` is the index in ``Record.findings``; ``corrections`` are indices parted by
    ``;``. Empty cells are fields without a value.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for row in finding_records(record):
        writer.writerow({name: _cell(name, value) for name, value in row.items()})
    return out.getvalue()


def finding_records(record: Record) -> Iterator[dict[str, object]]:
    """Each finding as column to value, typed: numbers, times, a tuple of indices, or None."""
    signature = record.signature
    about = {
        "state": state(record),
        "signed_by": signature.who if signature else None,
        "signed_when": signature.when if signature else None,
        "caution": load_rules().standing,
    }
    for index, finding in enumerate(record.findings):
        yield {**_row(record, index, finding), **about}


def guarded(words: str) -> str:
    """``words`` as a cell that no spreadsheet takes for a formula."""
    clean = "".join(c if c.isprintable() else " " for c in words)
    is_risky = clean.lstrip().startswith(_FORMULA_STARTS) or clean.startswith(_MARK)
    return _MARK + clean if is_risky else clean


def unguarded(cell: str) -> str:
    """The words of a cell that ``guarded`` made."""
    return cell.removeprefix(_MARK)


def _row(record: Record, index: int, finding: Finding) -> dict[str, object]:
    coded = finding.model_dump(exclude={"evidence", "origin"})
    evidence = finding.evidence
    return {
        "narration": record.narration,
        "age_months": record.age_months,
        "finding": index,
        **coded,
        **(evidence.model_dump() if evidence else {}),
        "origin": finding.origin.by,
        "who": finding.origin.who,
        "when": finding.origin.when,
    }


def _cell(name: str, value: object) -> object:
    if isinstance(value, tuple):
        return ";".join(map(str, value))
    if hasattr(value, "isoformat"):
        return value.isoformat()
    return guarded(value) if name in WORDS and isinstance(value, str) else value
