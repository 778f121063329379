"""From findings to likelihoods: how probable each finding is under every hypothesis.

A grade speaks by its scale: power 4+ is weak evidence, 0 strong, a brisk reflex weighs
little where health is brisk as well. A region that was graded as a whole speaks for all its
parts: "normal" as if for the worst, "reduced" as if for the mean, and only for parts that have
no finding of their own. What was not examined or could not be judged says nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ...record import Finding
from .damage import Array
from .model import Model
from .space import INSPECTED, SENSORY, SIDES, SUPERFICIAL, Space

Mode = str  # "worst": one part is enough; "whole": all parts; "one": a part that is not named
_Key = tuple[str, str]


@dataclass(frozen=True)
class Reading:
    """What one finding is read as: columns, how they go together, its grade, its weight.

    ``grade`` holds the chance of the grade when the result is markedly less, slightly less,
    normal or more. ``weight`` is the power that the likelihood is raised to, ``wrong`` the
    chance of this grade by a slip, whatever the site.
    """

    finding: int
    modality: str
    columns: tuple[int, ...]
    leaves: tuple[str, ...]
    mode: Mode
    grade: tuple[float, float, float, float]
    gait: str | None
    weight: float
    wrong: float


def read_findings(model: Model, findings: Sequence[Finding]) -> list[Reading]:
    """The readings of the observed findings; those that no column stands for are left out."""
    observed = [(i, f) for i, f in enumerate(findings) if f.grade is not None]
    leaves = {i: model.space.resolve(f.modality, f.segment) for i, f in observed}
    finer: dict[_Key, list[frozenset[str]]] = {}
    times: dict[tuple[str, str, str], int] = {}
    for i, f in observed:
        finer.setdefault((f.modality, f.side), []).append(frozenset(leaves[i]))
        times[f.key] = times.get(f.key, 0) + 1
    readings = []
    for i, f in observed:
        mine = frozenset(leaves[i])
        named = {leaf for part in finer[f.modality, f.side] if part < mine for leaf in part}
        left = tuple(leaf for leaf in leaves[i] if leaf not in named)
        if left:
            readings.append(_reading(model, i, f, left, 1 / times[f.key]))
    return readings


def _reading(
    model: Model, index: int, finding: Finding, leaves: tuple[str, ...], share: float
) -> Reading:
    space, weight = model.space, model.odds.weight
    is_gait = finding.modality == "gait"
    channel = space.channel(finding.modality)
    sides = [SIDES.index(finding.side)] if finding.side in SIDES else [0, 1]
    columns = tuple(space.column(channel, leaf, s) for leaf in leaves for s in sides)
    if finding.side == "unstated":
        mode = "one"
    elif channel in INSPECTED or (len(leaves) == 1 and len(sides) == 2):
        mode = "worst"
    else:
        mode = "whole"
    group = space.lexicon.vocabulary.group(finding.modality)
    power = weight[group] * share * finding.confidence
    if finding.certainty == "possible":
        power *= weight["possible"]
    return Reading(
        finding=index,
        modality=finding.modality,
        columns=columns,
        leaves=leaves,
        mode=mode,
        grade=(0.0,) * 4
        if is_gait
        else grade_chances(model, finding.modality)[finding.grade or ""],
        gait=finding.grade if is_gait else None,
        weight=power,
        wrong=weight["wrong"] / len(space.lexicon.vocabulary.grades(finding.modality)),
    )


def grade_chances(model: Model, modality: str) -> dict[str, tuple[float, float, float, float]]:
    """The chances of each grade of a modality, as ``localisation.toml`` gives them."""
    scale = model.space.lexicon.vocabulary.modalities[modality].scale
    wanted = "superficial" if modality in SUPERFICIAL else scale
    return next(dict(g.values) for g in model.odds.grades if g.scale == wanted)


@dataclass(frozen=True)
class Rates:
    """Chance of less and of more than normal without a lesion, by modality and leaf."""

    down: dict[_Key, float]
    up: dict[_Key, float]


def rates_at(model: Model, age_months: int | None) -> Rates:
    """The rates of health at this age."""
    return _rates(model.space, age_months)


@lru_cache(maxsize=64)
def _rates(space: Space, age_months: int | None) -> Rates:
    down: dict[_Key, float] = {}
    up: dict[_Key, float] = {}
    for rate in space.odds.rate:
        if not rate.holds_at(age_months):
            continue
        for modality in rate.modalities:
            for leaf in space.leaves[space.channel(modality)]:
                if not rate.segments or _lies_in(space, leaf, rate.segments):
                    down[modality, leaf], up[modality, leaf] = rate.down, rate.up
    return Rates(down, up)


def _lies_in(space: Space, leaf: str, segments: Sequence[str]) -> bool:
    return any(space.places.within(leaf, segment) for segment in segments)


def log_likelihoods(
    model: Model,
    readings: Sequence[Reading],
    age_months: int | None,
    *,
    down: Array | None = None,
    up: Array | None = None,
) -> tuple[Array, Array, Array]:
    """Weighted natural logarithms of the likelihoods, float32, reading by hypothesis.

    Three arrays: for an ordinary constitution, for one with brisk and one with sluggish
    reflexes. They differ for tendon reflexes only. ``down`` and ``up`` replace the model's
    own (for two lesions at once).
    """
    down = model.down if down is None else down
    up = model.up if up is None else up
    count = down.shape[1]
    plain = np.zeros((len(readings), count), np.float32)
    if not readings:
        return plain, plain, plain
    rates = rates_at(model, age_months)
    weights = np.array([r.weight for r in readings], np.float32)[:, None]
    wrong = np.array([r.wrong for r in readings], np.float32)[:, None]
    lessen, raised = _with_health(model, readings, rates, down, up)
    shapes = _together(readings, lessen, raised)
    plain = _likelihood(model, readings, *shapes)
    for i, reading in enumerate(readings):
        if reading.gait is not None:
            plain[i] = _gait(model, reading.gait, rates, up)
    jerks = [i for i, r in enumerate(readings) if r.modality == "reflex"]
    brisk = sluggish = plain = np.log(plain * (1 - wrong) + wrong) * weights
    if jerks:
        some = [readings[i] for i in jerks]
        rows = np.concatenate([_rows(readings)[i] for i in jerks])
        values = model.odds.constitution
        less, more = lessen[rows], raised[rows]
        more = 1 - (1 - more) * (1 - values["brisk_up"])
        brisk = plain.copy()
        found = _likelihood(model, some, *_together(some, less, more * (1 - less)))
        brisk[jerks] = np.log(found * (1 - wrong[jerks]) + wrong[jerks]) * weights[jerks]
        sluggish = plain.copy()
        less = 1 - (1 - less) * (1 - values["sluggish_down"])
        found = _likelihood(model, some, *_together(some, less, raised[rows] * (1 - less)))
        sluggish[jerks] = np.log(found * (1 - wrong[jerks]) + wrong[jerks]) * weights[jerks]
    return plain, brisk, sluggish


def _rows(readings: Sequence[Reading]) -> list[NDArray[np.intp]]:
    ends = np.cumsum([len(r.columns) for r in readings])
    starts = [0, *ends[:-1]]
    return [np.arange(a, b) for a, b in zip(starts, ends, strict=True)]


def _with_health(
    model: Model, readings: Sequence[Reading], rates: Rates, down: Array, up: Array
) -> tuple[Array, Array]:
    """Chances of less and more than normal, column by column of all readings."""
    columns = np.concatenate([r.columns for r in readings])
    names = [
        (r.modality, leaf)
        for r in readings
        for leaf in r.leaves
        for _ in range(len(r.columns) // len(r.leaves))
    ]
    less_rate = np.array([rates.down.get(n, 0.0) for n in names], np.float32)[:, None]
    more_rate = np.array([rates.up.get(n, 0.0) for n in names], np.float32)[:, None]
    less = 1 - (1 - down[columns]) * (1 - less_rate)
    more = (1 - (1 - up[columns]) * (1 - more_rate)) * (1 - less)
    return less, more


def _together(readings: Sequence[Reading], less: Array, more: Array) -> tuple[Array, Array, Array]:
    """Less, more and normal of each reading from its columns."""
    sizes = np.array([len(r.columns) for r in readings])
    if (sizes == 1).all():
        return less, more, 1 - less - more
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    normal = 1 - less - more
    by_mean = [np.add.reduceat(a, starts, axis=0) / sizes[:, None] for a in (less, more, normal)]
    worst = np.array([r.mode == "worst" for r in readings])
    for i in np.flatnonzero((sizes > 1) & (np.array([r.mode for r in readings]) != "one")):
        part = slice(starts[i], starts[i] + sizes[i])
        by_mean[2][i] = normal[part].min(0)
        if worst[i]:
            by_mean[0][i] = less[part].max(0)
            by_mean[1][i] = more[part].max(0)
    return by_mean[0], by_mean[1], by_mean[2]


def _likelihood(
    model: Model, readings: Sequence[Reading], less: Array, more: Array, normal: Array
) -> Array:
    slope = model.slope if less.shape[1] == len(model.slope) else model.odds.marked["slope"]
    health = model.odds.marked["health"]
    grades = np.array([r.grade for r in readings], np.float32)
    marked = less * np.maximum(slope * less, health)
    found: Array = (
        grades[:, :1] * marked
        + grades[:, 1:2] * (less - marked)
        + grades[:, 2:3] * normal
        + grades[:, 3:] * more
    )
    return found.astype(np.float32, copy=False)


def _gait(model: Model, kind: str, rates: Rates, up: Array) -> Array:
    """The chance of a kind of gait: first whether it is abnormal, then which kind."""
    kinds = model.space.leaves["gait"]
    base = np.array([rates.up.get(("gait", k), 0.0) for k in kinds], np.float32)[:, None]
    block = up[model.space.block("gait")].reshape(len(kinds), 2, -1).max(1)
    each = 1 - (1 - block) * (1 - base)
    abnormal = 1 - np.prod(1 - each, axis=0)
    if kind == "normal":
        return np.asarray(1 - abnormal, np.float32)
    share = each[kinds.index(kind)] / each.sum(0)
    # Any abnormal gait may be put into words that have no code of their own.
    named = 0.85 * share + (0.15 if kind == "abnormal" else 0.0)
    return np.asarray(abnormal * named, np.float32)


__all__ = ["SENSORY", "Reading", "grade_chances", "log_likelihoods", "rates_at", "read_findings"]
