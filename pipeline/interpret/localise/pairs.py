"""Two lesions at once, asked for only when the best single site leaves findings unexplained.

Two sites act apart: a result is normal only if neither changes it. Every form of every site
is tried as the second to each of the leading forms; the pair pays the smaller prior chance of
two lesions, so it is offered only when it explains clearly more.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np
from numpy.typing import NDArray

from ..grading import Case
from ..models import SiteName, TwoSites
from .damage import Array, SiteKey
from .likelihood import log_likelihoods
from .model import Model
from .posterior import Posterior, log_prior_at, log_shares

_DECIBANS = 10 / log(10)
#: How many leading sites are tried as the first of two; what the pair must gain.
_FIRST, _GAIN_DECIBANS = 4, 5.0


def pair_sites(
    case: Case, model: Model, posterior: Posterior, unexplained: Sequence[int]
) -> TwoSites | None:
    """The best two sites, when they explain clearly more than the best one; else None."""
    if not unexplained:
        return None
    best: tuple[float, int, int] | None = None
    single = float(np.log(posterior.probability.max())) + posterior.log_evidence
    prior = log_prior_at(model, case.record.age_months)
    log_pair = _log_prior(model, prior)
    for first in _leading(model, posterior):
        score = _scores(case, model, posterior, first) + log_pair + prior[first]
        total = np.logaddexp.reduceat(score, model.starts)
        total[[0, model.site_of[first]]] = -np.inf
        second = int(total.argmax())
        if best is None or total[second] > best[0]:
            best = (float(total[second]), first, second)
    if best is None:
        return None
    gain = (best[0] - single) * _DECIBANS
    if gain < _GAIN_DECIBANS:
        return None
    one = model.sites[int(model.site_of[best[1]])]
    return TwoSites(
        first=_name(one),
        second=_name(model.sites[best[2]]),
        decibans=round(gain, 2),
        explained=_added(model, posterior, best[1], best[2], unexplained),
    )


def _log_prior(model: Model, prior: NDArray[np.float64]) -> NDArray[np.float64]:
    """Log prior of the second site by hypothesis, the chance of two lesions included."""
    normal = float(np.exp(prior[0]))
    two = model.odds.two_lesions["prior"]
    return np.asarray(prior + log(two) - log(1 - normal), np.float64)


def _leading(model: Model, posterior: Posterior) -> list[int]:
    """The best form of each leading site, nothing abnormal left out."""
    by_form = posterior.joint.sum(0)
    found: dict[int, int] = {}
    for hypothesis in (-by_form).argsort(kind="stable"):
        site = int(model.site_of[hypothesis])
        if site and site not in found:
            found[site] = int(hypothesis)
        if len(found) == _FIRST:
            break
    return list(found.values())


def _scores(case: Case, model: Model, posterior: Posterior, first: int) -> NDArray[np.float64]:
    """Log-likelihood of ``first`` with every hypothesis, over the constitutions."""
    down, up = _joined(model, posterior, first)
    terms = log_likelihoods(model, posterior.readings, case.record.age_months, down=down, up=up)
    total = np.stack([t.sum(0, dtype=np.float64) for t in terms])
    return np.asarray(
        np.logaddexp.reduce(total + log_shares(model, case.record.age_months)[:, None], axis=0)
    )


def _joined(model: Model, posterior: Posterior, first: int) -> tuple[Array, Array]:
    used = {c for r in posterior.readings for c in r.columns}
    gait = model.space.block("gait")
    columns = np.array(sorted(used | set(range(gait.start, gait.stop))))
    joined = []
    for single in (model.down, model.up):
        both = np.empty_like(single)  # only the columns that are read are filled
        both[columns] = 1 - (1 - single[columns]) * (1 - single[columns, first][:, None])
        joined.append(both)
    return joined[0], joined[1]


def _added(
    model: Model, posterior: Posterior, first: int, second: int, unexplained: Sequence[int]
) -> tuple[int, ...]:
    """The findings left over by one site alone that the second makes likelier."""
    part = model.site_of == second
    form = int(np.flatnonzero(part)[posterior.joint.sum(0)[part].argmax()])
    found = [
        reading.finding
        for i, reading in enumerate(posterior.readings)
        if reading.finding in unexplained
        and posterior.terms[0][i, form] > posterior.terms[0][i, first]
    ]
    return tuple(sorted(found))


def _name(site: SiteKey) -> SiteName:
    return SiteName(site=site.site, which=site.which, side=site.side)
