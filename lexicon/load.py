"""Reads the whole lexicon and refuses it, with every fault at once, when data are wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from .checks import hint, unknown, unsourced
from .errors import DataError
from .files import version
from .tables import Tables, read_tables
from .terms import SOURCE_KINDS, Term, read_terms
from .vocabulary import Vocabulary, read_vocabulary


@dataclass(frozen=True)
class Lexicon:
    """Codes, terms and tables; ``version`` is the fingerprint of all data files."""

    vocabulary: Vocabulary
    terms: tuple[Term, ...]
    tables: Tables
    version: str


@cache
def load() -> Lexicon:
    """The lexicon of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its file and line.
    """
    lexicon = Lexicon(read_vocabulary(), read_terms(), read_tables(), version())
    faults = list(faults_of(lexicon))
    if faults:
        raise DataError(
            f"The lexicon has {len(faults)} fault(s); mend the rows named:\n" + "\n".join(faults)
        )
    return lexicon


def faults_of(lexicon: Lexicon) -> Iterator[str]:
    """Every fault of the data, each as ``file:line: what is wrong``."""
    yield from _term_faults(lexicon)
    yield from _table_faults(lexicon)


def _term_faults(lexicon: Lexicon) -> Iterator[str]:
    valid = _codes_by_kind(lexicon.vocabulary)
    seen: dict[tuple[str, tuple[str, ...]], Term] = {}
    for term in lexicon.terms:
        if term.kind not in valid:
            yield f"{term.place}: unknown kind “{term.kind}”"
            continue
        allowed = valid[term.kind]
        for code in term.codes:
            if allowed is not None and code not in allowed:
                yield f"{term.place}: unknown code “{code}”{hint(code, allowed)}"
        if not term.source or term.source_kind not in SOURCE_KINDS:
            yield f"{term.place}: needs a source and a source_kind of {', '.join(SOURCE_KINDS)}"
        if not term.spoken:
            yield f"{term.place}: nothing is spoken for “{term.code}”"
        for form in term.forms:
            # A grade word may be read on several scales, but only once on each.
            readings = term.codes if term.kind == "grade" else (term.kind,)
            other = next(
                (
                    o
                    for r in readings
                    if (o := seen.setdefault((r.split(":")[0], form), term)) != term
                ),
                term,
            )
            if not form:
                yield f"{term.place}: an empty variant"
            elif other is not term:
                yield f"{term.place}: “{' '.join(form)}” stands in {other.place} already"


def _codes_by_kind(vocabulary: Vocabulary) -> dict[str, frozenset[str] | None]:
    """Term kind to the codes that it may hold; None means any name of ours."""
    return {
        "modality": frozenset(vocabulary.modalities),
        "segment": frozenset(vocabulary.segment_kinds),
        "side": frozenset((*vocabulary.sides, "both")),
        "muscle": frozenset(vocabulary.segments["movement"]),
        "grade": frozenset(f"{s}:{g}" for s, grades in vocabulary.scales.items() for g in grades),
        "trade": None,
    }


def _table_faults(lexicon: Lexicon) -> Iterator[str]:
    vocabulary, tables = lexicon.vocabulary, lexicon.tables
    levels = {*vocabulary.levels, "C1"}  # C1 has no skin; it occurs for the neck only
    for movement in tables.movements.values():
        place = f"reference/movements.csv: {movement.code}"
        yield from unknown(place, [movement.code], vocabulary.segments["movement"], what="code ")
        yield from unknown(place, (*movement.roots, *movement.variants), levels, what="code ")
        yield from unsourced(place, movement.source, movement.source_kind)
    reflex_codes = {*vocabulary.segments["reflex"], *vocabulary.modalities}
    for reflex in tables.reflexes.values():
        place = f"reference/reflexes.csv: {reflex.code}"
        yield from unknown(place, [reflex.code], reflex_codes, what="code ")
        yield from unknown(place, (*reflex.roots, *reflex.variants), levels, what="code ")
        yield from unsourced(place, reflex.source, reflex.source_kind)
    for row in tables.dermatomes:
        place = f"reference/dermatomes.csv: {row.site}"
        yield from unknown(place, (row.level, *row.variants), levels, what="code ")
        if row.site_kind == "region":
            yield from unknown(place, [row.site], vocabulary.segment_kinds, what="code ")
        yield from unsourced(place, row.source, row.source_kind)
    for grade in tables.scales:
        yield from unsourced(
            f"reference/scales.csv: {grade.scale} {grade.grade}", grade.source, grade.source_kind
        )
    for norm in tables.age_norms:
        yield from unsourced(f"reference/age_norms.csv: {norm.sign}", norm.source, norm.source_kind)
    for term in tables.hpo:
        place = f"reference/hpo.csv: {term.hp_id}"
        yield from unknown(place, [term.modality], vocabulary.modalities, what="code ")
        yield from unsourced(place, term.source, term.source_kind)
