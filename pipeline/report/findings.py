"""The findings side by side, grouped and ordered as an examiner goes: left, right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ...lexicon import load
from ...lexicon.labels import name, place_name
from ..record import LOW_CONFIDENCE, Evidence, Finding
from .layout import paragraph, row, wide_row

UNRECORDED = "– stands for nothing recorded; it does not stand for normal."


#: A label, its left and right cell (None: it has neither), and the cells without a side.
Row = tuple[str, tuple[str, str] | None, list[str]]


def finding_rows(
    findings: Iterable[Finding], *, times: bool = True
) -> Iterator[tuple[str, list[Row]]]:
    """The rows of the table by group; groups without findings are left out.

    ``times`` says whether a cell tells the seconds of its evidence.
    """
    for title, places in by_group(findings):
        yield title, [_row(label, found, times) for label, found in places.items()]


def by_group(findings: Iterable[Finding]) -> Iterator[tuple[str, dict[str, list[Finding]]]]:
    """The findings of each row by its label, group by group; empty groups are left out."""
    vocabulary = load().vocabulary
    groups: dict[str, dict[str, list[Finding]]] = {group: {} for group in vocabulary.groups}
    for finding in findings:
        rows = groups[vocabulary.group(finding.modality)]
        rows.setdefault(row_label(finding), []).append(finding)
    return ((name("group", group), rows) for group, rows in groups.items() if rows)


def findings_table(findings: Iterable[Finding]) -> list[str]:
    """The lines of the table under a head line; a sentence when there are no findings."""
    lines = [_head(), *paragraph(UNRECORDED)]
    groups = list(finding_rows(findings))
    if not groups:
        return [_head(), *paragraph("No findings were recorded.")]
    for title, rows in groups:
        lines.extend(("", title[:1].upper() + title[1:]))
        for label, cells, wide in rows:
            if cells is not None:
                lines.extend(row(label, cells[0] or "–", cells[1] or "–"))
            for cell in wide:
                lines.extend(wide_row(label, cell))
    return lines


def seconds(evidence: Evidence | None) -> str:
    """ "12.3–14.1 s", or "" where the evidence has no times."""
    if evidence is None or evidence.start_s is None:
        return ""
    end = "" if evidence.end_s is None else f"–{evidence.end_s:.1f}"
    return f"{evidence.start_s:.1f}{end} s"


def _head() -> str:
    # The label of a row is indented, that of the head is not.
    return row("FINDINGS", "LEFT", "RIGHT")[0][2:].replace("FINDINGS", "FINDINGS  ")


def row_label(finding: Finding) -> str:
    """What was examined and where, under the heading of its group."""
    if finding.modality in ("tone", "power"):  # named by the heading of their group
        return name("segment", finding.segment)
    return place_name(finding.modality, finding.segment)


def _row(label: str, findings: list[Finding], times: bool) -> Row:
    cells = {
        side: "; ".join(_cell(f, times) for f in findings if f.side == side)
        for side in ("left", "right")
    }
    wide = [
        ("" if f.side == "none" else f"{name('side', f.side)}: ") + _cell(f, times)
        for f in findings
        if f.side not in cells
    ]
    has_sides = any(f.side in cells for f in findings)
    return label, (cells["left"], cells["right"]) if has_sides else None, wide


def _cell(finding: Finding, times: bool) -> str:
    return ", ".join((said(finding), *marks(finding, times=times)))


def said(finding: Finding) -> str:
    """What was found, or why nothing was, in words."""
    if finding.grade is not None:
        return name("grade", finding.grade)
    return name("status", finding.status)


def marks(finding: Finding, *, times: bool = True) -> tuple[str, ...]:
    """What a reader must know of a finding besides: doubt and a note.

    With ``times``, for those who check, also who says so and its seconds.
    """
    told = (
        "possible" if finding.certainty == "possible" else "",
        f"LOW CONFIDENCE {finding.confidence:.2f}" if finding.confidence < LOW_CONFIDENCE else "",
        "by reviewer" if times and finding.origin.by == "reviewer" else "",
        finding.note or "",
        seconds(finding.evidence) if times else "",
    )
    return tuple(filter(None, told))
