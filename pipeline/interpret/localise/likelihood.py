"""How probable each finding is under every hypothesis.

What the lesion does (the model) meets what health does at that age (rates) and in that
constitution: either can make a result abnormal. Parts of a region are put together, then the
grade is asked for: how often is it given when the result is markedly less, slightly less,
normal or more?
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ....lexicon.odds import Constitution
from .damage import Array
from .model import Model
from .reading import Reading
from .space import Space

_Key = tuple[str, str]


@dataclass(frozen=True, eq=False)
class Rates:
    """Chance of less and of more than normal without a lesion, by modality and leaf."""

    down: dict[_Key, float]
    up: dict[_Key, float]


@lru_cache(maxsize=128)
def rates_at(space: Space, age_months: int | None, constitution: str = "") -> Rates:
    """The rates of health at this age, of the ordinary constitution or the one named."""
    down: dict[_Key, float] = {}
    up: dict[_Key, float] = {}
    for rate in space.odds.rate:
        if rate.holds_at(age_months):
            for key in _keys(space, rate.modalities, rate.segments):
                down[key], up[key] = rate.down, rate.up
    for entry in space.odds.constitution:
        for result in entry.results if entry.id == constitution else ():
            for key in _keys(space, result.modalities, result.segments):
                down[key] = 1 - (1 - down.get(key, 0.0)) * (1 - result.down)
                up[key] = 1 - (1 - up.get(key, 0.0)) * (1 - result.up)
    return Rates(down, up)


def _keys(space: Space, modalities: Sequence[str], segments: Sequence[str]) -> list[_Key]:
    return [
        (modality, leaf)
        for modality in modalities
        for leaf in space.leaves[space.channel(modality)]
        if not segments or any(space.places.within(leaf, segment) for segment in segments)
    ]


@lru_cache(maxsize=64)
def constitutions_at(space: Space, age_months: int | None) -> tuple[Constitution, ...]:
    """The constitutions of this age beside the ordinary one."""
    return tuple(c for c in space.odds.constitution if c.holds_at(age_months))


def log_likelihoods(
    model: Model,
    readings: Sequence[Reading],
    age_months: int | None,
    *,
    down: Array | None = None,
    up: Array | None = None,
) -> tuple[Array, ...]:
    """Weighted natural logarithms of the likelihoods, float32, reading by hypothesis.

    One array for the ordinary constitution, then one for each that ``constitutions_at``
    gives; they differ only in what the constitution touches. ``down`` and ``up`` replace the
    model's own (for two lesions at once).
    """
    down = model.down if down is None else down
    up = model.up if up is None else up
    constitutions = constitutions_at(model.space, age_months)
    if not readings:
        empty = np.zeros((0, down.shape[1]), np.float32)
        return (empty,) * (1 + len(constitutions))
    plain = _logs(model, readings, rates_at(model.space, age_months), down, up)
    found = [plain]
    for constitution in constitutions:
        touched = {m for result in constitution.results for m in result.modalities}
        rows = [i for i, r in enumerate(readings) if r.modality in touched]
        if not rows:
            found.append(plain)
            continue
        rates = rates_at(model.space, age_months, constitution.id)
        changed = plain.copy()
        changed[rows] = _logs(model, [readings[i] for i in rows], rates, down, up)
        found.append(changed)
    return tuple(found)


def _logs(model: Model, readings: Sequence[Reading], rates: Rates, down: Array, up: Array) -> Array:
    found = _likelihood(
        model, readings, *_together(readings, *_with_health(readings, rates, down, up))
    )
    for i, reading in enumerate(readings):
        if reading.gait is not None:
            found[i] = _gait(model, reading.gait, rates, up)
    wrong = np.array([r.wrong for r in readings], np.float32)[:, None]
    weights = np.array([r.weight for r in readings], np.float32)[:, None]
    logs: Array = np.log(found * (1 - wrong) + wrong) * weights
    return logs


def _with_health(
    readings: Sequence[Reading], rates: Rates, down: Array, up: Array
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
    """Less, more and normal of each reading from its columns.

    A region that was graded as a whole is "less" as its parts are on average; it is normal
    as its worst part is and, once more, as its parts are on average (between parts that
    agree wholly and parts that do not at all).
    """
    normal = 1 - less - more
    sizes = np.array([len(r.columns) for r in readings])
    if (sizes == 1).all():
        return less, more, normal
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]])
    found = [
        np.asarray(np.add.reduceat(a, starts, axis=0) / sizes[:, None], np.float32)
        for a in (less, more, normal)
    ]
    for i, reading in enumerate(readings):
        part = slice(starts[i], starts[i] + sizes[i])
        if sizes[i] == 1 or reading.mode == "one":
            continue
        found[2][i] = normal[part].min(0)
        if reading.mode == "worst":
            found[0][i], found[1][i] = less[part].max(0), more[part].max(0)
        else:
            found[2][i] *= np.exp(np.log(np.maximum(normal[part], 1e-6)).mean(0))
    return found[0], found[1], found[2]


def _likelihood(
    model: Model, readings: Sequence[Reading], less: Array, more: Array, normal: Array
) -> Array:
    odds = model.odds.marked
    grades = np.array([r.grade for r in readings], np.float32)
    # A site's own slope is about strength and feeling; a reflex is lost or not.
    is_reflex = np.array([r.modality == "reflex" for r in readings])[:, None]
    slope = np.where(is_reflex, np.float32(odds["slope"]), model.slope)
    marked = less * np.maximum(slope * less, np.float32(odds["health"]))
    found: Array = (
        grades[:, :1] * marked
        + grades[:, 1:2] * (less - marked)
        + grades[:, 2:3] * normal
        + grades[:, 3:] * more
    )
    return found


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
