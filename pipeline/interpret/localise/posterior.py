"""The posterior over sites: exact, over every form of every site at once.

Prior times likelihood, added up over the forms of a site and over the constitutions that
health comes with (ordinary, brisk reflexes, …). Nothing is sampled or searched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...record import Finding
from .damage import Array
from .likelihood import constitutions_at, log_likelihoods
from .model import Model
from .reading import Reading, read_findings

_Float = NDArray[np.float64]


@dataclass(frozen=True)
class Posterior:
    """What the findings make of the sites.

    ``probability`` is by site (float64, adds up to one). ``joint`` is the posterior by
    constitution and hypothesis; ``terms`` the weighted log-likelihoods, constitution by
    reading by hypothesis.
    """

    readings: tuple[Reading, ...]
    probability: _Float
    joint: _Float
    terms: tuple[Array, ...]
    log_evidence: float


def localise(model: Model, findings: Sequence[Finding], age_months: int | None) -> Posterior:
    """The posterior over ``model.sites`` given the findings; the prior when there are none."""
    readings = read_findings(model, findings)
    terms = log_likelihoods(model, readings, age_months)
    total = np.stack([t.sum(0, dtype=np.float64) for t in terms])
    shares = log_shares(model, age_months)[:, None]
    log_joint = total + log_prior_at(model, age_months) + shares
    top = log_joint.max()
    joint = np.exp(log_joint - top)
    whole = joint.sum()
    joint /= whole
    probability = np.add.reduceat(joint.sum(0), model.starts)
    return Posterior(
        readings=tuple(readings),
        probability=probability,
        joint=joint,
        terms=terms,
        log_evidence=float(top + np.log(whole)),
    )


def log_shares(model: Model, age_months: int | None) -> _Float:
    """Log priors of the constitutions of this age, the ordinary one first."""
    shares = [c.share for c in constitutions_at(model.space, age_months)]
    return np.asarray(np.log([1 - sum(shares), *shares]), np.float64)


@lru_cache(maxsize=64)
def log_prior_at(model: Model, age_months: int | None) -> _Float:
    """The log prior of each hypothesis at this age; it adds up to one."""
    factors = np.ones(len(model.hypotheses))
    for entry in model.odds.prior_by_age:
        if entry.holds_at(age_months):
            for i, hypothesis in enumerate(model.hypotheses):
                key = hypothesis.key
                if key.site == entry.site and (not entry.which or key.which in entry.which):
                    factors[i] *= entry.factor
    log_prior = model.log_prior + np.log(factors)
    return np.asarray(log_prior - np.logaddexp.reduce(log_prior), np.float64)
