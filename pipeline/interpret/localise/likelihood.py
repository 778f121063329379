"""How probable each finding is under every hypothesis.

What the lesion does (the model) meets what health does at that age (rates) and in that
constitution: either can make a result abnormal. Parts of a region are put together; left and
right of one thing are read together, since one cause often acts on both sides alike. Then the
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
from .space import SIDES, Space

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
    """Weighted logs of the readings; left and right of one thing are read together."""
    # The same thing may be said many times over; what is probable there is asked for once.
    asked = {(r.modality, r.mode, r.leaves, r.columns): r for r in readings}
    classes = _classes(model, list(asked.values()), rates, down, up)
    if len(asked) < len(readings):
        at = {key: i for i, key in enumerate(asked)}
        classes = classes[:, [at[r.modality, r.mode, r.leaves, r.columns] for r in readings]]
    wrong = np.array([r.wrong for r in readings], np.float32)
    given = np.array([r.grade for r in readings], np.float32).T * (1 - wrong) + wrong
    alone = sum(chance * grade[:, None] for chance, grade in zip(classes, given, strict=True))
    for i, reading in enumerate(readings):
        if reading.gait is not None:
            alone[i] = _gait(model, reading.gait, rates, up) * (1 - reading.wrong) + reading.wrong
    logs: Array = np.log(alone)
    left, right, agree = _pairs(model, readings)
    if left:
        one_cause = _coupled(classes[:, left], classes[:, right], given[:, left], given[:, right])
        together = np.log(agree * one_cause + (1 - agree) * alone[left] * alone[right])
        shift = (together - logs[left] - logs[right]) / 2
        logs[left] += shift
        logs[right] += shift
    weights = np.array([r.weight for r in readings], np.float32)[:, None]
    logs *= weights
    return logs


def _coupled(left: Array, right: Array, given_left: Array, given_right: Array) -> Array:
    """The likelihood of both sides when their results agree as often as their chances allow.

    The maximal coupling (Thorisson 2000, Coupling, Stationarity, and Regeneration): what both
    sides have in common happens to both at once; only what is left over happens apart.
    """
    common = np.minimum(left, right)
    same = np.einsum("crh,cr->rh", common, given_left * given_right)
    apart = np.einsum("crh,cr->rh", left - common, given_left)
    apart *= np.einsum("crh,cr->rh", right - common, given_right)
    found: Array = same + apart / np.maximum(1 - common.sum(0), 1e-6)
    return found


def _classes(
    model: Model, readings: Sequence[Reading], rates: Rates, down: Array, up: Array
) -> Array:
    """Chance of a result that is markedly less, slightly less, normal, more.

    float32, class by reading by hypothesis: the lesion makes the result, or health does.
    """
    columns = np.concatenate([r.columns for r in readings])
    less, more = down[columns], up[columns]
    less, more, normal = _together(readings, less, more * (1 - less))
    odds = model.odds.marked
    # A site's own slope is about strength and feeling; a reflex is lost or not.
    is_reflex = np.array([r.modality == "reflex" for r in readings])[:, None]
    slope = np.where(is_reflex, np.float32(odds["slope"]), model.slope)
    marked = less * np.maximum(slope * less, np.float32(odds["health"]))
    lower, higher = _health(readings, rates)
    found = np.empty((4, *less.shape), np.float32)
    untouched = 1 - lower - higher
    np.multiply(marked, untouched + higher, out=found[0])
    np.multiply(less - marked, untouched + higher, out=found[1])
    np.multiply(normal, untouched, out=found[2])
    np.multiply(more, untouched, out=found[3])
    found[0] += lower * odds["health"]
    found[1] += lower * (1 - odds["health"])
    if higher.any():
        found[3] += (1 - less) * higher
    return found


def _health(readings: Sequence[Reading], rates: Rates) -> tuple[Array, Array]:
    """How often health lessens a reading and raises it; reading by one."""
    down = np.zeros((len(readings), 1), np.float32)
    up = np.zeros((len(readings), 1), np.float32)
    for i, r in enumerate(readings):
        put = max if r.mode == "worst" else _mean
        down[i] = put([rates.down.get((r.modality, leaf), 0.0) for leaf in r.leaves])
        up[i] = put([rates.up.get((r.modality, leaf), 0.0) for leaf in r.leaves]) * (1 - down[i])
    return down, up


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _pairs(model: Model, readings: Sequence[Reading]) -> tuple[list[int], list[int], Array]:
    """Readings of one thing on the left and on the right, and how far the two go together.

    Of several on one side the same one is paired in whatever order they were recorded.
    """
    by_place: dict[tuple[str, tuple[str, ...]], dict[str, int]] = {}
    for i, r in enumerate(readings):
        group = model.space.lexicon.vocabulary.group(r.modality)
        if r.side in SIDES and model.odds.both_sides[group]:
            at = by_place.setdefault((r.modality, r.leaves), {})
            rival = readings[at[r.side]] if r.side in at else r
            if (r.grade, r.weight) >= (rival.grade, rival.weight):
                at[r.side] = i
    pairs = [(at["left"], at["right"]) for at in by_place.values() if len(at) == 2]
    groups = [model.space.lexicon.vocabulary.group(readings[i].modality) for i, _ in pairs]
    agree = np.array([model.odds.both_sides[g] for g in groups], np.float32)[:, None]
    return [i for i, _ in pairs], [j for _, j in pairs], agree


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
    found = (less[starts], more[starts], normal[starts])
    for i, reading in enumerate(readings):
        if sizes[i] == 1:
            continue
        part = slice(starts[i], starts[i] + sizes[i])
        if reading.mode == "worst":
            parts = (less[part].max(0), more[part].max(0), normal[part].min(0))
        elif reading.mode == "one":
            parts = (less[part].mean(0), more[part].mean(0), normal[part].mean(0))
        else:
            worst, mean = normal[part].min(0), np.log(np.maximum(normal[part], 1e-6)).mean(0)
            parts = (less[part].mean(0), more[part].mean(0), worst * np.exp(mean))
        for into, value in zip(found, parts, strict=True):
            into[i] = value
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
