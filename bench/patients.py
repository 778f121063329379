"""Invented patients for ``localise.py``: examinations drawn from the model's own sites.

A site is drawn, one of its forms, a constitution and an age; every step of a full examination
then gets a result with the model's chances and a grade with the chances of its scale. A share
of the findings is wrong: any grade of the scale, evenly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from plessor.pipeline.interpret.localise.damage import SiteKey
from plessor.pipeline.interpret.localise.likelihood import constitutions_at, rates_at
from plessor.pipeline.interpret.localise.model import Model
from plessor.pipeline.interpret.localise.next_test import plan
from plessor.pipeline.interpret.localise.posterior import log_prior_at
from plessor.pipeline.interpret.localise.reading import grade_chances
from plessor.pipeline.record import Finding

#: Ages drawn, in months: small child, school child, adult, old.
AGES = (30, 100, 480, 800)
_NEAR = {"cord_complete", "cord_hemisection", "cord_central", "cord_anterior"}


@dataclass(frozen=True)
class Patient:
    """One examination; ``findings`` are in the order of the plan's steps."""

    site: SiteKey
    age_months: int
    findings: tuple[Finding, ...]


def draw(model: Model, site: int, rng: np.random.Generator, *, wrong: float) -> Patient:
    """A patient with this site (an index of ``model.sites``) and a full examination."""
    age = int(rng.choice(AGES))
    part = np.flatnonzero(model.site_of == site)
    weights = np.exp(log_prior_at(model, age)[part])
    form = int(rng.choice(part, p=weights / weights.sum()))
    kinds = ("", *(c.id for c in constitutions_at(model.space, age)))
    shares = [c.share for c in constitutions_at(model.space, age)]
    kind = str(rng.choice(kinds, p=[1 - sum(shares), *shares]))
    rates = rates_at(model.space, age, kind)
    return Patient(
        site=model.sites[site],
        age_months=age,
        findings=tuple(
            _finding(model, step, form, rates, rng, wrong) for step in plan(model).steps
        ),
    )


def _finding(model, step, form, rates, rng, wrong):
    leaf = model.space.resolve(step.modality, step.segment)[0]
    columns = list(step.columns)
    less = 1 - (1 - model.down[columns, form].max()) * (
        1 - rates.down.get((step.modality, leaf), 0)
    )
    more = 1 - (1 - model.up[columns, form].max()) * (1 - rates.up.get((step.modality, leaf), 0))
    more *= 1 - less
    values = model.odds.marked
    marked = less * max(float(model.slope[form]) * less, values["health"])
    classes = np.array([marked, less - marked, 1 - less - more, more])
    result = int(rng.choice(4, p=classes / classes.sum()))
    chances = {
        grade: row[result]
        for grade, row in grade_chances(model, step.modality).items()
        if step.modality != "power" or not grade.isalpha()
    }
    grades, weights = list(chances), np.array(list(chances.values()))
    even = rng.random() < wrong
    grade = str(rng.choice(grades, p=None if even else weights / weights.sum()))
    side = step.side
    return Finding(modality=step.modality, segment=step.segment, side=side, grade=grade)


def is_right(found: SiteKey, true: SiteKey, levels: tuple[str, ...], *, near: bool) -> bool:
    """Whether the site was found; ``near``: one cord segment off is accepted, as for vignettes."""
    if found == true:
        return True
    if not near or found.site != true.site or found.side != true.side or true.site not in _NEAR:
        return False
    return abs(levels.index(found.which or "") - levels.index(true.which or "")) <= 1
