"""The report in plain text, for a terminal and for pasting.

Header, urgent cautions, findings side by side, what was said besides or was left out,
corrections, taught facts, interpretation, and the standing caution. Doubt is marked with words,
not colours.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..interpret import Interpretation
from ..record import Correction, Record
from .findings import findings_table, seconds
from .layout import WIDTH, heading, paragraph

#: Kinds of talk that were understood, and are no findings of this patient now.
_TALK = (
    "history", "another_patient", "hypothetical", "explanation", "question", "plan",
    "impression", "instruction",
)  # fmt: skip


def report_text(record: Record, interpretation: Interpretation) -> str:
    """The report on ``record``: lines of at most 100 columns, ending with a newline."""
    lines = [
        *_header(record),
        *_urgent(interpretation),
        "",
        *findings_table(record.findings),
        *_unresolved(record),
        *_dropped(record),
        *_corrections(record),
        *_claims(record, interpretation),
        *_interpretation(interpretation),
        "",
        *paragraph(interpretation.caution, indent=""),
    ]
    return "\n".join(lines) + "\n"


def _header(record: Record) -> Iterator[str]:
    yield from paragraph(f"Examination {record.narration}".strip(), indent="")
    facts = (
        "age not stated" if record.age_months is None else f"age {age_words(record.age_months)}",
        f"examiner {record.examiner}" if record.examiner else "",
        record.date.isoformat() if record.date else "",
    )
    yield from paragraph(" · ".join(filter(None, facts)), indent="")
    made = (
        f"audio {record.audio.file}, {record.audio.duration_s:.1f} s" if record.audio else "",
        f"recogniser {record.model}" if record.model else "",
        f"lexicon {record.lexicon_version}" if record.lexicon_version else "",
        f"program {record.program_version}" if record.program_version else "",
    )
    yield from paragraph(" · ".join(filter(None, made)), indent="")
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


def _unresolved(record: Record) -> Iterator[str]:
    """What a person has to look at, one by one; then other talk, folded to a line a kind."""
    if record.unresolved:
        yield from heading("Said, and not recorded as a finding")
    talk: dict[str, list[str]] = {}
    for item in record.unresolved:
        when = seconds(item.evidence)
        words = f"“{item.evidence.corrected}”"
        if item.reason in _TALK:
            talk.setdefault(item.reason, []).append(when or words)
        else:
            told = f"{when}: {words}" if when else words
            yield from paragraph(f"{told} ({item.reason})", bullet="- ")
    for kind, places in talk.items():
        yield from paragraph(f"{kind.replace('_', ' ')}: {', '.join(places)}", bullet="- ")


def _dropped(record: Record) -> Iterator[str]:
    if record.dropped:
        yield from heading("Left out: written by the recogniser, most likely never said")
    for item in record.dropped:
        when = f"{item.start_s:.1f}–{item.end_s:.1f} s"
        yield from paragraph(f"{when}: “{item.text}” ({item.reason})", bullet="- ")


def _corrections(record: Record) -> Iterator[str]:
    for title, made in (("Corrections made to the words", True), ("Corrections suggested", False)):
        chosen = [c for c in record.corrections if c.made is made]
        if chosen:
            yield from heading(title)
        for correction in chosen:
            yield from paragraph(_correction(correction), bullet="- ")


def _correction(correction: Correction) -> str:
    return (
        f"heard “{correction.heard}”, {'became' if correction.made else 'perhaps'} "
        f"“{correction.became}” (score {correction.score:.2f}; {correction.reason})"
    )


def _claims(record: Record, interpretation: Interpretation) -> Iterator[str]:
    if interpretation.claim_checks:
        yield from heading("Taught facts, held against the tables")
    for check in interpretation.claim_checks:
        when = seconds(record.claims[check.claim].evidence)
        mark = "CONTRADICTION: " if check.result == "contradicts" else ""
        yield from paragraph(f"{mark}{check.text}{f' [{when}]' if when else ''}", bullet="- ")


def _interpretation(interpretation: Interpretation) -> Iterator[str]:
    parts = (("coverage", "Examined"), ("comparison", "Left and right"), ("caution", "Cautions"))
    for kind, title in parts:
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
