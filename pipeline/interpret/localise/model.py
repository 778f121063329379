"""Every site with every form, and what each predicts: built once from the tables.

``load_model`` joins the hypotheses of roots, nerves, plexus, cord, diffuse and central sites
and "nothing abnormal" into arrays over the columns of the space. What health itself does to
a result (rates by age) is added when a record is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from ....lexicon import load
from ....lexicon.anatomy import Anatomy, load_anatomy
from ....lexicon.odds import Odds, load_odds
from ....lexicon.places import load_places
from .cord import cord_sites
from .damage import Array, Hypothesis, SiteKey, nothing
from .forms import form_sites
from .peripheral import peripheral_sites
from .signs import Signs
from .space import Space

NORMAL = SiteKey("normal", None, "none")


@dataclass(frozen=True, eq=False)
class Model:
    """The hypotheses as arrays.

    ``down`` and ``up`` are float32, column by hypothesis: the chance of a result that is less
    or more than normal because of the lesion. ``log_prior`` is by hypothesis; ``site_of``
    gives each hypothesis its index in ``sites``; ``sites[0]`` is "nothing abnormal". ``slope``
    says how much of what is less than normal is markedly so.
    """

    space: Space
    anatomy: Anatomy
    odds: Odds
    hypotheses: tuple[Hypothesis, ...]
    sites: tuple[SiteKey, ...]
    site_of: np.ndarray
    starts: np.ndarray
    log_prior: Array
    slope: Array
    down: Array
    up: Array


@cache
def load_model() -> Model:
    """The model of the installed package, built once (about half a second)."""
    return build_model(load_odds())


def build_model(odds: Odds) -> Model:
    """The model with these numbers; ``bench/localise.py`` builds it with others."""
    space, anatomy = Space(load(), load_places(), odds), load_anatomy()
    normal = Hypothesis(NORMAL, "", odds.prior["normal"], nothing(space))
    found = [
        normal,
        *peripheral_sites(space, anatomy),
        *cord_sites(space),
        *form_sites(space, anatomy),
    ]
    sites = tuple(dict.fromkeys(h.key for h in found))
    number = {key: i for i, key in enumerate(sites)}
    found.sort(key=lambda h: number[h.key])
    signs = Signs(space, anatomy)
    predicted = [signs.predict(h.damage) for h in found]
    site_of = np.array([number[h.key] for h in found])
    prior = np.array([h.prior for h in found])
    return Model(
        space=space,
        anatomy=anatomy,
        odds=odds,
        hypotheses=tuple(found),
        sites=sites,
        site_of=site_of,
        starts=np.flatnonzero(np.diff(site_of, prepend=-1)),
        log_prior=np.log(prior / prior.sum()).astype(np.float32),
        slope=np.array([_slope(odds, h) for h in found], np.float32),
        down=np.ascontiguousarray(np.stack([d for d, _ in predicted]).T),
        up=np.ascontiguousarray(np.stack([u for _, u in predicted]).T),
    )


def _slope(odds: Odds, hypothesis: Hypothesis) -> float:
    marked = odds.marked.values
    severity = marked.get(hypothesis.damage.severity)
    return marked.get(hypothesis.key.site, marked["slope"]) if severity is None else severity
