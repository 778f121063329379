"""The posterior over sites: exact, over every form of every site at once.

Prior times likelihood, added up over the forms of a site and over the constitutions that
health comes with (ordinary, brisk reflexes, …). Nothing is sampled or searched. When all that is
abnormal lies on one side, sites of that side alone are likelier before anything is weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...record import Finding
from .damage import Array
from .likelihood import constitutions_at, log_likelihoods, rates_at
from .model import Model
from .reading import Reading, read_findings
from .space import SIDES

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
    side = _side_of_all(model, readings, age_months)
    if side is not None:
        log_joint[:, acting_on(model, side)] += np.log(model.odds.one_side["factor"])
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


@lru_cache(maxsize=4)
def acting_on(model: Model, side: str) -> NDArray[np.bool_]:
    """Which hypotheses change results of this side only (signs without a side left aside)."""
    unpaired = set(model.odds.steps.values["unpaired"]) | {"gait"}
    reach = np.maximum(model.down, model.up)
    acts = [np.zeros(reach.shape[1], bool) for _ in SIDES]
    for channel in model.space.leaves:
        if channel not in unpaired:
            block = reach[model.space.block(channel)] > 0
            acts = [a | block[number::2].any(0) for number, a in enumerate(acts)]
    here = SIDES.index(side)
    return np.asarray(acts[here] & ~acts[1 - here])


@lru_cache(maxsize=4)
def _is_changed(model: Model) -> NDArray[np.bool_]:
    """Which columns any lesion changes at all."""
    return np.asarray((model.down.max(1) > 0) | (model.up.max(1) > 0))


def _side_of_all(model: Model, readings: Sequence[Reading], age_months: int | None) -> str | None:
    """The side on which all that is abnormal for the age lies; None when there is none."""
    rates, sides = rates_at(model.space, age_months), set()
    changed = _is_changed(model)
    for reading in readings:
        if not changed[list(reading.columns)].any():
            continue
        result = int(np.argmax(reading.grade))
        of = rates.up if result == 3 else rates.down
        common = max(of.get((reading.modality, leaf), 0.0) for leaf in reading.leaves)
        if reading.side in SIDES and result != 2 and common < model.odds.one_side["in_health"]:
            sides.add(reading.side)
    return sides.pop() if len(sides) == 1 else None
