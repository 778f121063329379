"""Taught facts held against the reference tables.

A level that a table gives as a root of the movement, the reflex or the skin agrees; one that
a source gives beside it is a variant; any other contradicts. The record keeps which grade
was defined, not the words of the definition, so a grade's meaning is only shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...lexicon import Movement, Reflex
from ...lexicon.labels import name
from ..record import Claim
from .base import DataRow
from .grading import Case
from .models import ClaimCheck
from .wording import listed


@dataclass(frozen=True)
class _Known:
    """What the tables give for the subject of a claim."""

    main: tuple[str, ...]
    variants: tuple[str, ...]
    rows: tuple[DataRow, ...]


def check_claims(case: Case) -> tuple[ClaimCheck, ...]:
    """One check a claim, in their order."""
    return tuple(_check(case, i, claim) for i, claim in enumerate(case.record.claims))


def _check(case: Case, index: int, claim: Claim) -> ClaimCheck:
    heard = _heard_probability(case, claim)
    if claim.kind == "grade_meaning":
        return _shown_grade(case, index, claim, heard)
    known = _known(case, claim)
    said = f"{name('segment', claim.subject)} {claim.value}"
    if known is None:
        text = f"Taught: {said}. No table here speaks of it."
        return ClaimCheck(claim=index, result="no_table", text=text, heard_probability=heard)
    if claim.value in known.main:
        result, verdict = "agrees", "the tables agree."
    elif claim.value in known.variants:
        result, verdict = "variant", f"some sources say so; most give {listed(known.main)}."
    else:
        given = listed(known.main) or "no spinal level"
        beside = f" (also {listed(known.variants)})" if known.variants else ""
        doubt = "" if heard is None else f" Its words were heard with a probability of {heard:.2f}."
        result = "contradicts"
        verdict = (
            f"the tables give {given}{beside}. Either the speaker slipped or the words were "
            f"misheard.{doubt}"
        )
    return ClaimCheck.model_validate(
        {
            "claim": index,
            "result": result,
            "expected": known.main,
            "text": f"Taught: {said}; {verdict}",
            "heard_probability": heard,
            "rows": known.rows,
        }
    )


def _known(case: Case, claim: Claim) -> _Known | None:
    tables = case.lexicon.tables
    if claim.kind == "dermatome":
        rows = [row for row in tables.dermatomes if row.site == claim.subject]
        if not rows:
            return None
        table = "reference/dermatomes.csv"
        return _Known(
            main=_distinct([row.level for row in rows]),
            variants=_distinct([level for row in rows for level in row.variants]),
            rows=tuple(
                DataRow(
                    table=table,
                    row=f"{row.site} {row.level} {row.site_kind}",
                    source=row.source,
                    source_kind=row.source_kind,
                )
                for row in rows
            ),
        )
    anatomy, table = (
        (tables.movements, "reference/movements.csv")
        if claim.kind == "myotome"
        else (tables.reflexes, "reference/reflexes.csv")
    )
    found: Movement | Reflex | None = anatomy.get(claim.subject)
    if found is None:
        return None
    row = DataRow(table=table, row=found.code, source=found.source, source_kind=found.source_kind)
    return _Known(found.roots, found.variants, (row,))


def _shown_grade(case: Case, index: int, claim: Claim, heard: float | None) -> ClaimCheck:
    # The published scales carry names of their own: the record's "reflex" is the NINDS scale.
    scales = {"reflex": "tendon_reflex_ninds", "sensation": "isncsci_sensory"}
    wanted = scales.get(claim.subject, claim.subject)
    found = [
        g
        for g in case.lexicon.tables.scales
        if g.scale == wanted and claim.value in (g.grade, g.record_grade)
    ]
    meanings = "; ".join(f"{g.grade}: {g.meaning}" for g in found)
    said = f"{name('scale', claim.subject)} {name('grade', claim.value)}"
    return ClaimCheck(
        claim=index,
        result="no_table",
        text=f"Taught: the meaning of {said}; the record does not keep it to be checked. "
        + (f"Published: {meanings}." if found else "No table here speaks of it."),
        heard_probability=heard,
        rows=tuple(
            DataRow(
                table="reference/scales.csv",
                row=f"{g.scale} {g.grade}",
                source=g.source,
                source_kind=g.source_kind,
            )
            for g in found
        ),
    )


def _heard_probability(case: Case, claim: Claim) -> float | None:
    if claim.evidence is None:
        return None
    words = case.record.words[claim.evidence.first_word : claim.evidence.last_word + 1]
    return min((w.probability for w in words if w.probability is not None), default=None)


def _distinct(levels: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(levels))
