"""HPO terms for abnormal findings, where one fits exactly.

The most telling row of ``reference/hpo.csv`` wins: the one for the very place, else for the
nearest region that contains it, else for the limb, else for anywhere. Rows that speak of a
distribution (both legs, one side) or of words that the record does not keep are left alone,
and nothing that is accepted at the age of the child gets a term.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ...lexicon import HpoTerm
from ...lexicon.places import LIMBS
from ..record import Finding
from .base import DataRow
from .grading import OTHER_SIDE, Case, is_abnormal
from .models import Phenotype
from .scope import limbs_of

_FILE = "reference/hpo.csv"
_PRESENT = ("present", "mild", "moderate", "marked")


def name_phenotypes(case: Case, withheld: Collection[int] = ()) -> tuple[Phenotype, ...]:
    """The terms in the order of their first finding; ``withheld`` findings get none."""
    terms: dict[tuple[str, str], tuple[HpoTerm, list[int]]] = {}
    for index in case.observed:
        finding = case.findings[index]
        if index in withheld or not is_abnormal(case, index):
            continue
        term = term_for(case, finding)
        if term is not None:
            terms.setdefault((term.hp_id, finding.certainty), (term, []))[1].append(index)
    return tuple(
        Phenotype.model_validate(
            {
                "hp_id": term.hp_id,
                "label": term.hp_label,
                "certainty": certainty,
                "findings": found,
                "rows": [_row(term)],
            }
        )
        for (_, certainty), (term, found) in terms.items()
    )


def term_for(case: Case, finding: Finding) -> HpoTerm | None:
    """The term that names ``finding`` most closely, or None when none is exact."""
    rows = [
        row
        for row in case.lexicon.tables.hpo
        if row.modality == finding.modality and not row.note.startswith("When ")
    ]
    for grade in _table_grades(case, finding):
        graded = [row for row in rows if row.grade == grade]
        for fits in _closeness(case, finding):
            found = next((row for row in graded if (row.segment, row.segment_scope) in fits), None)
            if found is not None:
                return found
    return None


def _closeness(case: Case, finding: Finding) -> Iterator[set[tuple[str, str]]]:
    """The (segment, scope) pairs that name the place of ``finding``, closest first."""
    scopes = {row.segment_scope for row in case.lexicon.tables.hpo}
    if finding.segment == "none":
        for limb in limbs_of(case, finding):
            yield {("", limb)}
        yield {("", "any")}
        return
    for place in case.places.chain(finding.segment):
        if place != "whole_body" or _is_whole_body(case, finding):
            yield {(place, scope) for scope in scopes}
        if place == finding.segment and place.startswith(("proximal_", "distal_")):
            yield {("", place.partition("_")[0])}
        if place in LIMBS:
            yield {("", place)}
    yield {("", "any")}


def _is_whole_body(case: Case, finding: Finding) -> bool:
    """Whether the finding is of the whole body, and not of one half of it."""
    if finding.segment != "whole_body" or finding.side not in OTHER_SIDE:
        return finding.segment == "whole_body"
    twin = (finding.modality, finding.segment, OTHER_SIDE[finding.side], finding.grade)
    return any((*f.key, f.grade) == twin for f in case.findings)


def _table_grades(case: Case, finding: Finding) -> tuple[str, ...]:
    """The grades under which the table may list ``finding``: its own, then a wider true one."""
    grade = finding.grade or ""
    vocabulary = case.lexicon.vocabulary
    if finding.modality == "power":
        return ("absent", "reduced") if grade in ("0", "absent") else ("reduced",)
    if vocabulary.group(finding.modality) == "sensation" and grade == "absent":
        return ("absent", "reduced")
    if grade in _PRESENT:
        return (grade, "present")
    return (grade,)


def _row(term: HpoTerm) -> DataRow:
    place = term.segment or term.segment_scope
    return DataRow(
        table=_FILE,
        row=f"{term.modality} {place} {term.grade}",
        source=term.source,
        source_kind=term.source_kind,
    )
