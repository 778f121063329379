"""One call from a case to what it says of the place: sites, two lesions, next tests."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from ..grading import Case
from ..models import NextTest, Site, TwoSites, Weight
from .evidence import weigh
from .model import Model, load_model
from .next_test import suggest
from .pairs import pair_sites
from .posterior import Posterior, localise

#: At least so many sites are listed, and those above this probability; the first have evidence.
_FEWEST, _MOST, _LEAST, _WEIGHED = 5, 12, 0.005, 5
_EXPLAINS_DECIBANS = 1.0


@dataclass(frozen=True)
class Location:
    """The sites, most probable first, and what follows; ``other`` is the rest's probability."""

    sites: tuple[Site, ...] = ()
    other: float = 0.0
    two_sites: TwoSites | None = None
    next_tests: tuple[NextTest, ...] = ()


def locate(case: Case, abnormal: Collection[int]) -> Location:
    """The location that the observed findings and the age point to.

    ``abnormal`` are the findings that are abnormal for the age (their indices). Nothing
    observed gives an empty location: not examined is not normal.
    """
    if not case.observed:
        return Location()
    model = load_model()
    posterior = localise(model, case.findings, case.record.age_months)
    sites = _sites(case, model, posterior, abnormal)
    return Location(
        sites=sites,
        other=max(0.0, 1.0 - sum(site.probability for site in sites)),
        two_sites=pair_sites(case, model, posterior, sites[0].unexplained),
        next_tests=suggest(case, model, posterior),
    )


def _sites(
    case: Case, model: Model, posterior: Posterior, abnormal: Collection[int]
) -> tuple[Site, ...]:
    chances = posterior.probability
    order = [int(i) for i in (-chances).argsort(kind="stable")[:_MOST]]
    listed = [s for n, s in enumerate(order) if n < _FEWEST or chances[s] >= _LEAST]
    weights = weigh(case, model, posterior, listed[:_WEIGHED])
    return tuple(
        Site(
            site=model.sites[s].site,
            which=model.sites[s].which,
            side=model.sites[s].side,
            probability=float(chances[s]),
            evidence=weights[n] if n < len(weights) else (),
            unexplained=_unexplained(weights[n], abnormal) if n < len(weights) else (),
        )
        for n, s in enumerate(listed)
    )


def _unexplained(weights: tuple[Weight, ...], abnormal: Collection[int]) -> tuple[int, ...]:
    explained = {i for w in weights if w.decibans >= _EXPLAINS_DECIBANS for i in w.findings}
    return tuple(sorted(i for i in abnormal if i not in explained))
