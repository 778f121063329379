"""The weight of evidence: how far each finding speaks for or against a site (Good 1950).

In decibans: ten times the common logarithm of the likelihood ratio of two sites, averaged
over the forms of each by their posterior. Each weight names the rows of data that it rests
on: what the tables say of the place examined, and of the site.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import log

import numpy as np
from numpy.typing import NDArray

from ..base import DataRow
from ..grading import Case
from ..models import Weight
from .damage import SiteKey
from .model import Model
from .posterior import Posterior
from .space import SENSORY

_DECIBANS = 10 / log(10)
_PATTERNS = {
    "nerve": "single_nerve",
    "plexus": "plexus",
    "root": "single_root",
    "polyneuropathy": "polyneuropathy_length_dependent",
    "cord_complete": "cord_complete_at_level",
    "dorsal_columns": "dorsal_column",
    "cerebellum": "cerebellar",
    "hemisphere": "cortical_hemiparesis",
}


def mean_terms(posterior: Posterior, model: Model, site: int) -> NDArray[np.float64]:
    """The log-likelihood of each reading under a site (natural, weighted), averaged."""
    ends = [*model.starts[1:], len(model.hypotheses)]
    part = slice(int(model.starts[site]), int(ends[site]))
    share = posterior.joint[:, part]
    total = share.sum()
    if total <= 0:
        share, total = np.exp(np.maximum(share, -50.0)), float(share.size)
    found = [(t[:, part] * share[c]).sum(1) for c, t in enumerate(posterior.terms)]
    return np.asarray(np.sum(found, axis=0) / total)


def weigh(
    case: Case, model: Model, posterior: Posterior, sites: Sequence[int]
) -> list[tuple[Weight, ...]]:
    """The evidence for each of ``sites``, against nothing abnormal and the next of them."""
    terms = {s: mean_terms(posterior, model, s) for s in {0, *sites}}
    found = []
    for place, site in enumerate(sites):
        other = sites[place + 1] if place + 1 < len(sites) else sites[max(0, place - 1)]
        against_none = (terms[site] - terms[0]) * _DECIBANS
        against_next = (terms[site] - terms[other]) * _DECIBANS
        weights = [
            Weight(
                findings=(reading.finding,),
                decibans=round(float(against_none[i]), 2),
                against_next=round(float(against_next[i]), 2),
                rows=_rows(model, model.sites[site], *_place(case, reading.finding)),
            )
            for i, reading in enumerate(posterior.readings)
        ]
        weights.sort(key=lambda w: -max(abs(w.decibans), abs(w.against_next)))
        found.append(tuple(weights))
    return found


def _place(case: Case, finding: int) -> tuple[str, str]:
    what = case.findings[finding]
    return what.modality, what.segment


@lru_cache(maxsize=4096)
def _rows(model: Model, site: SiteKey, modality: str, segment: str) -> tuple[DataRow, ...]:
    return (*_place_rows(model, modality, segment), *_site_rows(model, site, modality))


def _place_rows(model: Model, modality: str, segment: str) -> list[DataRow]:
    """What the tables say of the place that was examined."""
    tables, leaves = model.space.lexicon.tables, model.space.resolve(modality, segment)
    if len(leaves) > 3:
        return []
    rows = []
    for leaf in leaves:
        if modality == "power" and leaf in tables.movements:
            move = tables.movements[leaf]
            rows.append(_row("reference/movements.csv", leaf, move.source, move.source_kind))
        elif leaf in tables.reflexes:
            reflex = tables.reflexes[leaf]
            rows.append(_row("reference/reflexes.csv", leaf, reflex.source, reflex.source_kind))
    if model.space.channel(modality) in SENSORY:
        rows += [
            _row(
                "reference/dermatomes.csv",
                f"{d.site} {d.level} {d.site_kind}",
                d.source,
                d.source_kind,
            )
            for d in tables.dermatomes
            if (d.site in leaves and d.site_kind == "region")
            or (d.level in leaves and d.site_kind == "isncsci_key_point")
        ]
    return rows


def _site_rows(model: Model, site: SiteKey, modality: str) -> list[DataRow]:
    """What the tables say of the site: its own row, and its pattern's rows of this modality."""
    anatomy, rows = model.anatomy, []
    supply = anatomy.nerves.get(site.which or "") if site.site == "nerve" else None
    if supply is not None:
        rows.append(_row("reference/nerves.csv", supply.code, supply.source, supply.source_kind))
    part = anatomy.plexus.get(site.which or "") if site.site == "plexus" else None
    if part is not None:
        rows.append(_row("reference/plexus.csv", part.code, part.source, part.source_kind))
    group = model.space.lexicon.vocabulary.group(modality)
    signs = anatomy.rows_of(_PATTERNS.get(site.site, site.site))
    wanted = [s for s in signs if s.modality == modality] or [
        s for s in signs if s.modality == group
    ]
    rows += [_row("reference/patterns.csv", s.name, s.source, s.source_kind) for s in wanted]
    return rows


def _row(table: str, row: str, source: str, source_kind: str) -> DataRow:
    return DataRow(table=table, row=row, source=source, source_kind=source_kind)
