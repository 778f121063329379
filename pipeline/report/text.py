"""The report in plain text, for a terminal and for pasting.

Header with the state of the record, urgent cautions, findings side by side, what was said
besides or was left out, corrections, taught facts, interpretation, and the standing caution.
Doubt is marked with words, not colours.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ...lexicon.labels import name, place_name
from ..interpret import Interpretation
from ..record import Correction, Decided, Record, Rejected
from .findings import findings_table, said, seconds
from .layout import WIDTH, heading, paragraph
from .signed import state_words

#: Kinds of talk that were understood, and are no findings of this patient now.
_TALK = (
    "history", "another_patient", "hypothetical", "explanation", "question", "plan",
    "impression", "instruction",
)  # fmt: skip


#: The kinds of sentences that have a section of their own, in their order.
SECTIONS = (
    ("next_test", "Most useful next"),
    ("coverage", "Examined"),
    ("comparison", "Comparisons"),
    ("score", "Scores and levels"),
    ("change", "Changes since the earlier record"),
    ("caution", "Cautions"),
)
#: What is remarked besides the findings, by kind, with its heading.
REMARKS = {
    "unresolved": "Said, and not recorded as a finding",
    "dropped": "Left out: written by the recogniser, most likely never said",
    "made": "Corrections made to the words",
    "suggested": "Corrections suggested",
    "declined": "Corrections declined by a reviewer",
    "rejected": "Findings taken out by a reviewer",
    "taught": "Taught facts, held against the tables",
}


def report_text(record: Record, interpretation: Interpretation) -> str:
    """The report on ``record``: lines of at most 100 columns, ending with a newline."""
    lines = [
        *_header(record),
        *_urgent(interpretation),
        *_summary(interpretation),
        "",
        *findings_table(record.findings),
        *_remarks(record, interpretation),
        *_interpretation(interpretation),
        "",
        *paragraph(interpretation.caution, indent=""),
    ]
    return "\n".join(lines) + "\n"


def facts(record: Record) -> tuple[str, str]:
    """Who was examined and when, and what the record was made from and with: a line each."""
    who = (
        "age not stated" if record.age_months is None else f"age {age_words(record.age_months)}",
        record.date.isoformat() if record.date else "",
        f"examiner {record.examiner}" if record.examiner else "",  # see signed._signed_by
    )
    made = (
        f"audio {record.audio.file}, {record.audio.duration_s:.1f} s" if record.audio else "",
        f"recogniser {record.model}" if record.model else "",
        f"lexicon {record.lexicon_version}" if record.lexicon_version else "",
        f"program {record.program_version}" if record.program_version else "",
    )
    return " · ".join(filter(None, who)), " · ".join(filter(None, made))


def remarks(
    record: Record, interpretation: Interpretation, *, kinds: Collection[str] = REMARKS
) -> Iterator[tuple[str, list[str]]]:
    """What was said besides, left out, corrected and taught: headings with their lines.

    ``kinds`` are those of ``REMARKS`` that are wanted; what there is nothing of is left out.
    """
    parts = {
        "unresolved": _unresolved(record),
        "dropped": _dropped(record),
        "made": map(_correction, (c for c in record.corrections if c.made)),
        "suggested": map(_correction, (c for c in record.corrections if not (c.made or c.decided))),
        "declined": map(_correction, (c for c in record.corrections if c.decided and not c.made)),
        "rejected": map(_rejected, record.rejected),
        "taught": _claims(record, interpretation),
    }
    for kind, title in REMARKS.items():
        if kind in kinds and (told := list(parts[kind])):
            yield title, told


def _header(record: Record) -> Iterator[str]:
    yield from paragraph(f"Examination {record.narration}".strip(), indent="")
    for line in (*facts(record), state_words(record)):
        yield from paragraph(line, indent="")
    yield "-" * WIDTH


def age_words(age_months: int) -> str:
    """Months below two years, else years and months: "22 months", "6 years 2 months"."""
    years, months = divmod(age_months, 12)
    if years < 2:
        return _count(age_months, "month")
    return _count(years, "year") + (f" {_count(months, 'month')}" if months else "")


def _urgent(interpretation: Interpretation) -> Iterator[str]:
    urgent = [s.text for s in interpretation.sentences if s.urgent]
    if urgent:
        yield from heading("Urgent")
    for text in urgent:
        yield from paragraph(text, bullet="! ")


def _summary(interpretation: Interpretation) -> Iterator[str]:
    sentences = [s.text for s in interpretation.sentences if s.kind == "summary"]
    if sentences:
        yield from heading("Interpretation")
        yield from paragraph(" ".join(sentences))


def _remarks(record: Record, interpretation: Interpretation) -> Iterator[str]:
    for title, lines in remarks(record, interpretation):
        yield from heading(title)
        for line in lines:
            yield from paragraph(line, bullet="- ")


def _unresolved(record: Record) -> Iterator[str]:
    """What a person has to look at, one by one; then the rest, folded to a line a kind.

    A stretch that a reviewer made a finding of is told by that finding.
    """
    talk: dict[str, list[str]] = {}
    for item in record.unresolved:
        if item.settled and item.settled.how == "finding":
            continue
        when = seconds(item.evidence)
        words = f"“{item.evidence.corrected}”"
        if item.settled:
            talk.setdefault("settled by a reviewer as no finding", []).append(when or words)
        elif item.reason in _TALK:
            talk.setdefault(item.reason, []).append(when or words)
        else:
            told = f"{when}: {words}" if when else words
            yield f"{told} ({item.reason})"
    for kind, places in talk.items():
        yield f"{kind.replace('_', ' ')}: {', '.join(places)}"


def _dropped(record: Record) -> Iterator[str]:
    for item in record.dropped:
        yield f"{item.start_s:.1f}–{item.end_s:.1f} s: “{item.text}” ({item.reason})"


def _correction(correction: Correction) -> str:
    became = "became" if correction.made else "perhaps"
    return (
        f"heard “{correction.heard}”, {became} “{correction.became}” "
        f"(score {correction.score:.2f}; {correction.reason}){_decided(correction.decided)}"
    )


def _decided(decided: Decided | None) -> str:
    if decided is None:
        return ""
    how = decided.how.replace("_", " ")
    return f", {how} by {decided.who} on {decided.when:%Y-%m-%d}"


def _rejected(rejected: Rejected) -> str:
    finding = rejected.finding
    side = "" if finding.side == "none" else f", {name('side', finding.side)}"
    told = f"{place_name(finding.modality, finding.segment)}{side}: {said(finding)}"
    why = f" ({rejected.why})" if rejected.why else ""
    return f"{told}, taken out by {rejected.who} on {rejected.when:%Y-%m-%d}{why}"


def _claims(record: Record, interpretation: Interpretation) -> Iterator[str]:
    for check in interpretation.claim_checks:
        when = seconds(record.claims[check.claim].evidence)
        mark = "CONTRADICTION: " if check.result == "contradicts" else ""
        yield f"{mark}{check.text}{f' [{when}]' if when else ''}"


def _interpretation(interpretation: Interpretation) -> Iterator[str]:
    for kind, title in SECTIONS:
        sentences = [s for s in interpretation.sentences if s.kind == kind and not s.urgent]
        if sentences:
            yield from heading(title)
        for sentence in sentences:
            yield from paragraph(sentence.text, bullet="- ")
    terms = [
        f"{p.label} ({p.hp_id}{', possible' if p.certainty == 'possible' else ''})"
        for p in interpretation.phenotypes
    ]
    if terms:
        yield from heading("Human Phenotype Ontology terms")
        yield from paragraph("; ".join(terms))


def _count(number: int, unit: str) -> str:
    return f"{number} {unit}" + ("" if number == 1 else "s")
