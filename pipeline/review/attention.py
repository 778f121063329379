"""What a person should look at before signing, the most dangerous first.

Contradictions, findings whose words a reviewer changed since, unsure findings, suggested
corrections, stretches that were not understood (talk that is no examination after the rest),
taught facts that the tables contradict, a missing age. Within a kind the order is that of the
words, so that a person hears the recording once, from front to back. An item is gone when
a person has confirmed or settled what it names. What contradicts comes from the interpretation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from ...lexicon.labels import name, place_name
from ...lexicon.rules import load_rules
from ..interpret import Interpretation
from ..record import LOW_CONFIDENCE, Claim, Evidence, Finding, Record
from ..transcript import Transcript
from .places import changed_words, is_on

Kind = Literal[
    "contradiction",
    "words_changed",
    "low_confidence",
    "suggested_correction",
    "unresolved",
    "other_talk",
    "contradicted_claim",
    "missing_age",
]
#: Why a stretch is unresolved when nobody could read it; any other reason is a kind of talk.
_UNREAD = "no statement could be read"


@dataclass(frozen=True)
class Item:
    """One thing to look at: at most one of the four places says what, by its index.

    ``findings`` are all findings of a contradiction. Words and seconds are those to hear.
    """

    kind: Kind
    text: str
    finding: int | None = None
    unresolved: int | None = None
    correction: int | None = None
    claim: int | None = None
    findings: tuple[int, ...] = ()
    first_word: int | None = None
    last_word: int | None = None
    start_s: float | None = None
    end_s: float | None = None


def attention(record: Record, interpretation: Interpretation) -> tuple[Item, ...]:
    """What still wants a person's eye in ``record``; ``interpretation`` is that of it."""
    contradictions = _in_order(_contradictions(record, interpretation))
    told = {i for item in contradictions for i in item.findings}
    changed = [i for i in _on_changed_words(record) if i not in told]
    told.update(changed)
    unsure = [
        i
        for i, f in enumerate(record.findings)
        if f.confidence < LOW_CONFIDENCE and f.origin.by == "heard" and i not in told
    ]
    return (
        *contradictions,
        *_in_order(_of_finding(record, i, "words_changed", _words_changed) for i in changed),
        *_in_order(_of_finding(record, i, "low_confidence", _low_confidence) for i in unsure),
        *_in_order(_suggested(record)),
        *_in_order(_unresolved(record, "unresolved")),
        *_in_order(_unresolved(record, "other_talk")),
        *_in_order(_contradicted(record, interpretation)),
        *_missing_age(record),
    )


def finding_words(finding: Finding) -> str:
    """A finding in one line: "left power (elbow extension): 3"."""
    return f"{place_words(finding)}: {result_words(finding)}"


def place_words(finding: Finding) -> str:
    """What was examined, where and on which side."""
    side = "" if finding.side == "none" else f"{name('side', finding.side)} "
    return f"{side}{place_name(finding.modality, finding.segment)}"


def result_words(finding: Finding) -> str:
    """Its grade, or why it has none."""
    said = name("status", finding.status) if finding.grade is None else name("grade", finding.grade)
    return f"possibly {said}" if finding.certainty == "possible" else said


def claim_words(claim: Claim) -> str:
    """A taught fact in one line: "thumb: C6"."""
    kind, value = ("scale", "grade") if claim.kind == "grade_meaning" else ("segment", "segment")
    return f"{name(kind, claim.subject)}: {name(value, claim.value)}"


def _contradictions(record: Record, interpretation: Interpretation) -> Iterator[Item]:
    """One item for all findings that contradict each other at one place and side."""
    conflicts = {rule.id for rule in load_rules().cautions if rule.kind == "conflict"}
    groups: dict[tuple[str, str, str], list[int]] = {}
    for caution in interpretation.cautions:
        if caution.id in conflicts:
            for i in caution.findings:
                groups.setdefault(record.findings[i].key, []).append(i)
    for group in groups.values():
        findings = [record.findings[i] for i in group]
        unconfirmed = [i for i in group if record.findings[i].origin.by == "heard"]
        if unconfirmed:
            results = " and ".join(dict.fromkeys(map(result_words, findings)))
            text = f"Contradiction, {place_words(findings[0])}: {results}"
            item = Item("contradiction", text, finding=unconfirmed[0], findings=tuple(group))
            yield _placed(item, record.findings[unconfirmed[0]].evidence)


def _on_changed_words(record: Record) -> Iterator[int]:
    """Findings as heard whose words a reviewer has changed: do they still follow?"""
    changed = changed_words(record)
    for i, finding in enumerate(record.findings):
        if finding.origin.by == "heard" and is_on(finding.evidence, changed):
            yield i


def _of_finding(record: Record, index: int, kind: Kind, text: Callable[[Finding], str]) -> Item:
    finding = record.findings[index]
    item = Item(kind, text(finding), finding=index, findings=(index,))
    return _placed(item, finding.evidence)


def _words_changed(finding: Finding) -> str:
    return f"Its words were changed, {finding_words(finding)}"


def _low_confidence(finding: Finding) -> str:
    return f"Low confidence ({finding.confidence:.2f}), {finding_words(finding)}"


def _suggested(record: Record) -> Iterator[Item]:
    for i, c in enumerate(record.corrections):
        if not c.made and c.decided is None:
            text = f"Suggested: heard “{c.heard}”, perhaps “{c.became}”"
            words = Transcript(record.words).evidence(c.first_word, c.last_word)
            yield _placed(Item("suggested_correction", text, correction=i), words)


def _unresolved(record: Record, kind: Literal["unresolved", "other_talk"]) -> Iterator[Item]:
    for i, stretch in enumerate(record.unresolved):
        unread = stretch.reason == _UNREAD
        if stretch.settled is None and unread is (kind == "unresolved"):
            why = "Not understood" if unread else stretch.reason.replace("_", " ").capitalize()
            item = Item(kind, f"{why}: “{stretch.evidence.corrected}”", unresolved=i)
            yield _placed(item, stretch.evidence)


def _contradicted(record: Record, interpretation: Interpretation) -> Iterator[Item]:
    for check in interpretation.claim_checks:
        claim = record.claims[check.claim]
        if check.result == "contradicts" and claim.origin.by == "heard":
            expected = f", the tables give {', '.join(check.expected)}" if check.expected else ""
            text = f"Taught against the tables, {claim_words(claim)}{expected}"
            yield _placed(Item("contradicted_claim", text, claim=check.claim), claim.evidence)


def _missing_age(record: Record) -> Iterator[Item]:
    if record.age_months is None:
        yield Item("missing_age", "The age is missing; what is normal depends on it")


def _placed(item: Item, evidence: Evidence | None) -> Item:
    if evidence is None:
        return item
    return replace(
        item,
        first_word=evidence.first_word,
        last_word=evidence.last_word,
        start_s=evidence.start_s,
        end_s=evidence.end_s,
    )


def _in_order(items: Iterable[Item]) -> tuple[Item, ...]:
    """In the order of the words; what has none comes last."""
    return tuple(sorted(items, key=lambda i: (i.first_word is None, i.first_word or 0)))
