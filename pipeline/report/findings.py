"""The findings side by side, grouped and ordered as an examiner goes: left, right."""

from __future__ import annotations

from collections.abc import Iterable

from ...lexicon import load
from ...lexicon.labels import name, place_name
from ..record import Evidence, Finding
from .layout import paragraph, row, wide_row

#: Below this probability a finding is marked as of low confidence (house).
LOW_CONFIDENCE = 0.7
_DASH = "– stands for nothing recorded; it does not stand for normal."


def findings_table(findings: Iterable[Finding]) -> list[str]:
    """The lines of the table under a head line; a sentence when there are no findings."""
    groups: dict[str, dict[str, list[Finding]]] = {g: {} for g in load().vocabulary.groups}
    for finding in findings:
        places = groups[load().vocabulary.group(finding.modality)]
        places.setdefault(_label(finding), []).append(finding)
    lines = [_head(), *paragraph(_DASH)]
    for group, places in groups.items():
        if places:
            title = name("group", group)
            lines.append("")
            lines.append(title[:1].upper() + title[1:])
        for label, found in places.items():
            lines.extend(_rows(label, found))
    if not any(groups.values()):
        return [_head(), *paragraph("No findings were recorded.")]
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


def _label(finding: Finding) -> str:
    if finding.modality in ("tone", "power"):  # named by the heading of their group
        return name("segment", finding.segment)
    return place_name(finding.modality, finding.segment)


def _rows(label: str, findings: list[Finding]) -> list[str]:
    cells = {side: [_cell(f) for f in findings if f.side == side] for side in ("left", "right")}
    lines: list[str] = []
    if cells["left"] or cells["right"]:
        left, right = ("; ".join(c) or "–" for c in cells.values())
        lines.extend(row(label, left, right))
    for finding in findings:
        if finding.side not in cells:
            side = "" if finding.side == "none" else f"{name('side', finding.side)}: "
            lines.extend(wide_row(label, side + _cell(finding)))
    return lines


def _cell(finding: Finding) -> str:
    if finding.grade is not None:
        said = name("grade", finding.grade)
    else:
        said = name("status", finding.status)
    marks = (
        "possible" if finding.certainty == "possible" else "",
        f"LOW CONFIDENCE {finding.confidence:.2f}" if finding.confidence < LOW_CONFIDENCE else "",
        "by reviewer" if finding.origin.by == "reviewer" else "",
        finding.note or "",
        seconds(finding.evidence),
    )
    return ", ".join((said, *filter(None, marks)))
