"""The next test: which unexamined step would tell most about the place.

For every step that was not done, the expected fall of the entropy over the sites is computed
over its possible results (Lindley 1956, Ann Math Stat 27:986-1005). A step at a place that
was graded as part of a region, or that could not be judged, is not asked for again.
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
from .space import SIDES

_Float = NDArray[np.float64]
_COUNT, _LEAST_BITS = 3, 0.005
_RESULTS = ("less", "normal", "more")


@dataclass(frozen=True)
class Step:
    """One thing that can be examined: a modality at one leaf, on one side or on none."""

    modality: str
    segment: str
    side: str
    columns: tuple[int, ...]


@dataclass(frozen=True)
class Plan:
    """All steps, with the chance of each result (less, normal, more) under every class."""

    steps: tuple[Step, ...]
    columns: NDArray[np.intp]
    report: _Float


@lru_cache(maxsize=4)
def plan(model: Model) -> Plan:
    """The steps of ``steps`` in ``localisation.toml``, on both sides where there are two."""
    space, steps = model.space, []
    vocabulary = space.lexicon.vocabulary
    unpaired = set(model.odds.steps.values["unpaired"])
    for modality, segments in model.odds.steps.values.items():
        if modality == "unpaired":
            continue
        for segment in segments:
            leaf = space.resolve(modality, segment)[0]
            columns = tuple(space.column(space.channel(modality), leaf, s) for s in range(2))
            if segment in unpaired or modality in unpaired:
                side = "none" if vocabulary.group(modality) == "gait" else "midline"
                steps.append(Step(modality, segment, side, columns))
            else:
                steps += [
                    Step(modality, segment, name, (columns[s],)) for s, name in enumerate(SIDES)
                ]
    report = np.stack([_report(model, step.modality) for step in steps])
    return Plan(tuple(steps), np.array([(s.columns[0], s.columns[-1]) for s in steps]), report)


def _report(model: Model, modality: str) -> _Float:
    """Chance that a result (less, normal, more) is put down as each of the three."""
    chances = np.array(list(grade_chances(model, modality).values()))
    kind = np.array([0, 0, 1, 2])[chances.argmax(1)]
    table = np.stack([chances[kind == k].sum(0) for k in range(3)], 1)[[1, 2, 3]]
    return np.asarray(table / table.sum(1, keepdims=True))


def chances(model: Model, age_months: int | None, steps: NDArray[np.intp] | None = None) -> _Float:
    """Chance of each report, step by result by hypothesis."""
    all_steps = plan(model)
    wanted = np.arange(len(all_steps.steps)) if steps is None else steps
    columns = all_steps.columns[wanted]
    rates = rates_at(model.space, age_months)
    names = [(all_steps.steps[i].modality, _leaf(model, all_steps.steps[i])) for i in wanted]
    less_rate = np.array([rates.down.get(n, 0.0) for n in names])[:, None]
    more_rate = np.array([rates.up.get(n, 0.0) for n in names])[:, None]
    less = 1 - (1 - model.down[columns].max(1)) * (1 - less_rate)
    more = (1 - (1 - model.up[columns].max(1)) * (1 - more_rate)) * (1 - less)
    classes = np.stack([less, 1 - less - more, more], 1)
    return np.asarray(np.einsum("sch,scr->srh", classes, all_steps.report[wanted]))


def _leaf(model: Model, step: Step) -> str:
    return model.space.resolve(step.modality, step.segment)[0]


def information(model: Model, by_form: _Float, reports: _Float) -> _Float:
    """Expected fall of the entropy over the sites in bits, by step.

    ``by_form`` is the posterior by hypothesis, ``reports`` the chances of the reports.
    """
    joint = np.add.reduceat(reports * by_form, model.starts, axis=2)
    site, result = joint.sum(1, keepdims=True), joint.sum(2, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        bits = np.where(joint > 0, joint * np.log2(joint / (site * result)), 0.0)
    return np.asarray(np.maximum(bits.sum((1, 2)), 0.0))


def suggest(case: Case, model: Model, posterior: Posterior) -> tuple[NextTest, ...]:
    """The three most informative steps that were not examined, each at a place of its own."""
    steps = plan(model).steps
    done = examined(case, model)
    open_steps = np.array([i for i, s in enumerate(steps) if not _is_done(model, s, done)])
    if not len(open_steps):
        return ()
    by_form = posterior.joint.sum(0)
    reports = chances(model, case.record.age_months, open_steps)
    bits = information(model, by_form, reports)
    found: list[NextTest] = []
    taken: set[tuple[str, str]] = set()
    for i in (-bits).argsort(kind="stable"):
        step = steps[open_steps[i]]
        where = (model.space.channel(step.modality), _leaf(model, step))
        if len(found) == _COUNT or bits[i] < _LEAST_BITS:
            break
        if where not in taken:
            taken.add(where)
            found.append(_test(model, posterior, step, float(bits[i]), reports[i], by_form))
    return tuple(found)


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
    where = model.space.channel(step.modality), _leaf(model, step)
    sides = (step.side,) if step.side in SIDES else SIDES
    return all((*where, side) in done for side in sides)


def _test(
    model: Model,
    posterior: Posterior,
    step: Step,
    bits: float,
    reports: _Float,
    by_form: _Float,
) -> NextTest:
    joint = np.add.reduceat(reports * by_form, model.starts, axis=1)
    odd = 1 - joint[1] / np.maximum(joint.sum(0), 1e-300)
    high, low = _parted(posterior.probability, odd)
    names = [model.sites[i] for i in (*high, *low)]
    return NextTest(
        modality=step.modality,
        segment=step.segment,
        side=step.side,
        information_bits=round(bits, 4),
        text=_sentence(model, step, high, low),
        separates=tuple(SiteName(site=s.site, which=s.which, side=s.side) for s in names),
    )


def _parted(probability: _Float, odd: _Float) -> tuple[list[int], list[int]]:
    """The likely sites that the step would show abnormal, and those that it would not."""
    mean = float((probability * odd).sum())
    order = [int(i) for i in (-probability).argsort(kind="stable")[:8]]
    pull = {i: float(probability[i] * (odd[i] - mean)) for i in order}
    high = [i for i in order if pull[i] > 0][:2]
    low = [i for i in order if pull[i] < 0][:2]
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
