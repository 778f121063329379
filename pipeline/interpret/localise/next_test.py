"""The next test: which unexamined step would tell most about the place.

For every step that was not done, the expected fall of the entropy over the leading sites is
computed over its possible results (Lindley 1956, Ann Math Stat 27:986-1005). The second and
the third step are those that tell most beside the ones before. A step at a place that was
graded as part of a region, or that could not be judged, is not asked for again.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ....lexicon.labels import place_name, site_name
from ..grading import Case
from ..models import NextTest, SiteName
from ..wording import listed, on_sides
from .damage import SiteKey
from .likelihood import rates_at
from .model import Model
from .posterior import Posterior
from .reading import grade_chances
from .space import SENSORY, SIDES

_Float = NDArray[np.float64]
_COUNT, _LEAST_BITS = 3, 0.001
#: So many sites are told apart, and their forms above this share of the likeliest.
_LEADING, _LEAST_SHARE = 6, 1e-3
#: Of the steps that tell most by themselves, so many are weighed together.
_CONSIDERED = 60
#: The posterior is taken as less sure than it says: no model of a lesion is the lesion.
_DOUBT = 0.5


@dataclass(frozen=True)
class Step:
    """One thing that can be examined: a modality at one leaf, on one side or on none."""

    modality: str
    segment: str
    side: str
    leaf: str
    columns: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class Plan:
    """All steps; ``columns`` are the first and the last of each.

    ``report`` is the chance that a result (less, normal, more) is put down as each of these.
    """

    steps: tuple[Step, ...]
    columns: NDArray[np.intp]
    report: _Float


@lru_cache(maxsize=4)
def plan(model: Model) -> Plan:
    """The steps of ``localisation.toml``, on both sides where there are two."""
    space, steps = model.space, []
    vocabulary, listed_steps = space.lexicon.vocabulary, dict(model.odds.steps.values)
    unpaired = set(listed_steps.pop("unpaired"))
    for modality, segments in listed_steps.items():
        for segment in segments:
            leaf = space.resolve(modality, segment)[0]
            columns = tuple(space.column(space.channel(modality), leaf, s) for s in range(2))
            if segment in unpaired or modality in unpaired:
                side = "none" if vocabulary.group(modality) == "gait" else "midline"
                steps.append(Step(modality, segment, side, leaf, columns))
                continue
            for s, name in enumerate(SIDES):
                steps.append(Step(modality, segment, name, leaf, (columns[s],)))
    by_modality = {m: _report(model, m) for m in listed_steps}
    return Plan(
        tuple(steps),
        np.array([(s.columns[0], s.columns[-1]) for s in steps]),
        np.stack([by_modality[s.modality] for s in steps]),
    )


def _report(model: Model, modality: str) -> _Float:
    """Result by report; a slight result counts as less than normal."""
    chances_of = np.array(list(grade_chances(model, modality).values()))
    kind = np.array([0, 0, 1, 2])[chances_of.argmax(1)]
    table = np.stack([chances_of[kind == k].sum(0) for k in range(3)], 1)[[1, 2, 3]]
    return np.asarray(table / table.sum(1, keepdims=True))


@lru_cache(maxsize=64)
def _rates(model: Model, age_months: int | None) -> tuple[_Float, _Float]:
    rates = rates_at(model.space, age_months)
    keys = [(s.modality, s.leaf) for s in plan(model).steps]
    down = np.array([rates.down.get(k, 0.0) for k in keys])
    return down[:, None], np.array([rates.up.get(k, 0.0) for k in keys])[:, None]


def chances(
    model: Model, age_months: int | None, steps: NDArray[np.intp], forms: NDArray[np.intp]
) -> _Float:
    """Chance of each report (less, normal, more) of ``steps`` under ``forms``.

    float64, report by step by form; steps index the plan, forms the model's hypotheses.
    """
    all_steps = plan(model)
    first, last = all_steps.columns[steps].T
    down_rate, up_rate = (rate[steps] for rate in _rates(model, age_months))
    down, up = (
        np.maximum(of[np.ix_(first, forms)], of[np.ix_(last, forms)])
        for of in (model.down, model.up)
    )
    less = 1 - (1 - down) * (1 - down_rate)
    more = (1 - (1 - up) * (1 - up_rate)) * (1 - less)
    classes = (less, 1 - less - more, more)
    table = all_steps.report[steps]
    return np.stack(
        [sum(c * table[:, k, r, None] for k, c in enumerate(classes)) for r in range(3)]
    )


def leading_forms(model: Model, by_form: _Float) -> tuple[NDArray[np.intp], _Float]:
    """The forms of the leading sites, in the order of the model, and their weights.

    ``by_form`` is the posterior by hypothesis; the weights add up to one.
    """
    by_site = np.add.reduceat(by_form, model.starts)
    leading = (-by_site).argsort(kind="stable")[:_LEADING]
    doubted = np.zeros_like(by_site)
    doubted[leading] = by_site[leading] ** (_DOUBT - 1)
    weights = by_form * doubted[model.site_of]
    forms = np.flatnonzero(weights > _LEAST_SHARE * weights.max())
    return forms, weights[forms] / weights[forms].sum()


def information(site_of: NDArray[np.intp], by_form: _Float, reports: _Float) -> _Float:
    """Expected fall of the entropy over the sites in bits, by step.

    ``by_form`` is the posterior of the forms, ``site_of`` their sites (in order), ``reports``
    the chances of the reports.
    """
    starts = np.flatnonzero(np.diff(site_of, prepend=-1))
    joint = np.add.reduceat(reports * (by_form / max(by_form.sum(), 1e-300)), starts, axis=2)
    site, result = joint.sum(0, keepdims=True), joint.sum(2, keepdims=True)
    bits = (joint * np.log2(np.maximum(joint, 1e-300) / np.maximum(site * result, 1e-300))).sum(
        (0, 2)
    )
    return np.asarray(np.maximum(bits, 0.0))


def suggest(case: Case, model: Model, posterior: Posterior) -> tuple[NextTest, ...]:
    """The three steps that tell most together and were not examined, the best first."""
    steps, done = plan(model).steps, examined(case, model)
    open_steps = np.array([i for i, s in enumerate(steps) if not _is_done(model, s, done)], int)
    if not len(open_steps):
        return ()
    forms, weights = leading_forms(model, posterior.joint.sum(0))
    site_of = model.site_of[forms]
    reports = chances(model, case.record.age_months, open_steps, forms)
    found: list[NextTest] = []
    taken: set[tuple[str, str]] = set()
    given = weights[None, :]  # the weights under each result of the steps chosen so far
    bits = information(site_of, weights, reports)
    best = (-bits).argsort(kind="stable")[:_CONSIDERED]
    open_steps, reports = open_steps[best], reports[:, best]
    for _ in range(_COUNT):
        bits = sum(information(site_of, w, reports) * w.sum() for w in given)
        for i in (-bits).argsort(kind="stable"):
            step = steps[open_steps[i]]
            if (place := _place(model, step)) not in taken:
                break
        if bits[i] < _LEAST_BITS or place in taken:
            break
        taken.add(place)
        odd = np.bincount(site_of, weights * (1 - reports[1, i]), len(model.sites))
        share: _Float = np.bincount(site_of, weights, len(model.sites)).astype(np.float64)
        found.append(_test(model, step, float(bits[i]), share, odd / np.maximum(share, 1e-300)))
        given = np.concatenate([given * reports[r, i] for r in range(3)])
    return tuple(found)


def _place(model: Model, step: Step) -> tuple[str, str]:
    """What two suggestions should not share: one kind of sign, or any feeling, at one place."""
    channel = model.space.channel(step.modality)
    return ("feeling" if channel in SENSORY else channel), step.leaf


def examined(case: Case, model: Model) -> set[tuple[str, str, str]]:
    """Channel, leaf and side of everything that was done or could not be judged."""
    found = set()
    for finding in case.findings:
        if finding.status == "not_examined":
            continue
        sides = (finding.side,) if finding.side in SIDES else SIDES
        for leaf in model.space.resolve(finding.modality, finding.segment):
            channel = model.space.channel(finding.modality)
            found |= {(channel, leaf, side) for side in sides}
    return found


def _is_done(model: Model, step: Step, done: set[tuple[str, str, str]]) -> bool:
    where = model.space.channel(step.modality), step.leaf
    sides = (step.side,) if step.side in SIDES else SIDES
    return all((*where, side) in done for side in sides)


def _test(model: Model, step: Step, bits: float, share: _Float, odd: _Float) -> NextTest:
    """``share`` is the weight of each site, ``odd`` its chance of an abnormal report."""
    high, low = _parted(share, odd)
    names = [model.sites[i] for i in (*high, *low)]
    return NextTest(
        modality=step.modality,
        segment=step.segment,
        side=step.side,
        information_bits=round(bits, 4),
        text=_sentence(model, step, high, low),
        separates=tuple(SiteName(site=s.site, which=s.which, side=s.side) for s in names),
    )


def _parted(share: _Float, odd: _Float) -> tuple[list[int], list[int]]:
    """The leading sites that the step would show abnormal, and those that it would not."""
    mean = float((share * odd).sum())
    order = [int(i) for i in (-share).argsort(kind="stable")[:_LEADING] if share[i] > 0]
    pull = {i: float(share[i] * (odd[i] - mean)) for i in order}
    most = 0.1 * max(map(abs, pull.values()), default=0.0)
    high = [i for i in order if pull[i] > most][:2]
    low = [i for i in order if pull[i] < -most][:2]
    return high, low


def _sentence(model: Model, step: Step, high: list[int], low: list[int]) -> str:
    what = place_name(step.modality, step.segment)
    side = on_sides([step.side])
    tested = f"{what[0].upper()}{what[1:]}{' ' + side if side else ''}"
    if not high or not low:
        return f"{tested} would tell most about what is left open."
    return (
        f"{tested} would separate {_names(model, high)}, where an abnormal result is likelier, "
        f"from {_names(model, low)}."
    )


def _names(model: Model, sites: list[int]) -> str:
    return listed(_site_name(model.sites[i]) for i in sites)


def _site_name(site: SiteKey) -> str:
    return site_name(site.site, site.which, site.side)
