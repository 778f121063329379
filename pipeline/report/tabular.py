"""The findings of a record as comma-separated values, one finding a row, all fields.

Cells with spoken or written words that a spreadsheet would take for a formula are opened
with an apostrophe (OWASP, CSV injection), and control characters become spaces.
"""

from __future__ import annotations

import csv
import io

from ..record import Finding, Record

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
)
_WORDS = {"narration", "heard", "corrected", "who", "rule", "note"}
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def report_csv(record: Record) -> str:
    """The findings of ``record`` under a head row; a record without findings gives the head.

    ``finding`` is the index in ``Record.findings``; ``corrections`` are indices parted by
    ``;``. Empty cells are fields without a value.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for index, finding in enumerate(record.findings):
        row = _row(record, index, finding)
        writer.writerow({name: _cell(name, value) for name, value in row.items()})
    return out.getvalue()


def _row(record: Record, index: int, finding: Finding) -> dict[str, object]:
    coded = finding.model_dump(exclude={"evidence", "origin", "corrections"})
    evidence = finding.evidence
    return {
        "narration": record.narration,
        "age_months": record.age_months,
        "finding": index,
        **coded,
        **(evidence.model_dump() if evidence else {}),
        "origin": finding.origin.by,
        "who": finding.origin.who,
        "when": finding.origin.when.isoformat() if finding.origin.when else None,
        "corrections": ";".join(map(str, finding.corrections)),
    }


def _cell(name: str, value: object) -> object:
    if name not in _WORDS or not isinstance(value, str):
        return value
    words = "".join(c if c.isprintable() else " " for c in value)
    return f"'{words}" if value.startswith(_FORMULA_STARTS) else words
