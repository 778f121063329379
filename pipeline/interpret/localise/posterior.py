"""The posterior over sites: exact, over every form of every site at once.

Prior times likelihood, added up over the forms of a site and over three constitutions
(ordinary, brisk, sluggish reflexes) that health comes with. Nothing is sampled or searched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...record import Finding
from .damage import Array
from .model import Model
from .reading import Reading, log_likelihoods, read_findings

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
    terms: tuple[Array, Array, Array]
    log_evidence: float


def localise(model: Model, findings: Sequence[Finding], age_months: int | None) -> Posterior:
    """The posterior over ``model.sites`` given the findings; the prior when there are none."""
    readings = read_findings(model, findings)
    terms = log_likelihoods(model, readings, age_months)
    total = np.stack([t.sum(0, dtype=np.float64) for t in terms])
    log_joint = total + model.log_prior + constitutions(model)[:, None]
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


def constitutions(model: Model) -> _Float:
    """Log priors of an ordinary, a brisk and a sluggish constitution."""
    values = model.odds.constitution
    brisk, sluggish = values["brisk"], values["sluggish"]
    return np.log(np.array([1 - brisk - sluggish, brisk, sluggish]))
