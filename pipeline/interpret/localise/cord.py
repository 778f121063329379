"""Cord syndromes at every level: one rule for each syndrome, the level runs through it.

A movement or reflex whose roots lie below the level loses its corticospinal path, one at the
level its own neurons; feeling is lost from the level down, each path on the side where it
runs. How far each tract is taken comes from ``forms.toml``, the roots from the tables.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .damage import Array, Damage, Hypothesis, SiteKey, nothing
from .peripheral import level_weights
from .space import SIDES, Space

#: Cord levels that have a syndrome of their own; below them lies the conus.
FIRST, LAST = "C3", "L2"
_ORDER = (1.0, 0.6, 0.3)
_BAND_SHARES = ((-1, 0.3), (0, 0.4), (1, 0.3))


@dataclass(frozen=True)
class _Segments:
    """Shares of the roots of each leaf: leaf by level, each row adding up to 1 or 0."""

    movements: Array
    reflexes: Array
    skin: Array
    zones: Array


def cord_sites(space: Space) -> Iterator[Hypothesis]:
    """The hypotheses of all cord syndromes, by level, side and form."""
    segments = _segments(space)
    levels = space.lexicon.vocabulary.levels
    used = levels.index(LAST) - levels.index(FIRST) + 1
    builders = {
        "cord_complete": _across,
        "cord_anterior": _across,
        "cord_hemisection": _half,
        "cord_central": _centre,
    }
    for form in space.odds.form:
        if form.site not in builders:
            continue
        sides = SIDES if form.site == "cord_hemisection" else ("none",)
        prior = space.odds.prior[form.site] * form.weight / used / len(sides)
        for at in range(levels.index(FIRST), levels.index(LAST) + 1):
            for name in sides:
                key = SiteKey(form.site, levels[at], name)
                here = SIDES.index(name) if name in SIDES else 0
                for suffix, share, damage in builders[form.site](
                    space, segments, form.tracts, at, here
                ):
                    damage.severity = form.severity
                    yield Hypothesis(key, f"{form.id}{suffix}", prior * share, damage)


def _segments(space: Space) -> _Segments:
    tables, levels = space.lexicon.tables, space.lexicon.vocabulary.levels

    def row(weights: Mapping[str, float]) -> list[float]:
        total = sum(w for level, w in weights.items() if level in levels) or 1.0
        return [weights.get(level, 0.0) / total for level in levels]

    def of_roots(roots: Sequence[str]) -> dict[str, float]:
        return dict(zip(roots, (*_ORDER, *([_ORDER[-1]] * len(roots))), strict=False))

    def even(first: str, last: str) -> dict[str, float]:
        return dict.fromkeys(space.lexicon.vocabulary.level_range(first, last), 1.0)

    movements = [tables.movements.get(code) for code in space.movements]
    reflexes = [tables.reflexes.get(code) for code in space.reflexes]
    zones = {
        "upper_limb": even("C5", "T1"),
        "lower_limb": even("L2", "S1"),
        "trunk": even("T2", "T12"),
    }
    return _Segments(
        movements=np.array([row(of_roots(m.roots) if m else {}) for m in movements], np.float32),
        reflexes=np.array([row(of_roots(r.roots) if r else {}) for r in reflexes], np.float32),
        skin=np.array([row(level_weights(space, leaf)) for leaf in space.skin], np.float32),
        zones=np.array(
            [row(z) for z in ({}, zones["upper_limb"], zones["lower_limb"], zones["trunk"])],
            np.float32,
        ),
    )


def _motor(
    damage: Damage, segments: _Segments, side: int, at: Sequence[int], tract: float, horn: float
) -> None:
    """Loss of one side's corticospinal path below the last of ``at``, of the neurons within."""
    below = slice(max(at) + 1, None)
    damage.upper[:, side] = tract * segments.movements[:, below].sum(1)
    damage.upper_reflex[:, side] = tract * segments.reflexes[:, below].sum(1)
    damage.upper_zone[:, side] = tract * segments.zones[:, below].sum(1)
    damage.lower[:, side] = horn * segments.movements[:, at].sum(1)
    damage.reflex[:, side] = 0.8 * horn * segments.reflexes[:, at].sum(1)


def _numb(segments: _Segments, levels: Mapping[int, float], sacral: float | None = None) -> Array:
    """Chance of lost feeling by leaf, from the chance by level."""
    by_level = np.zeros(segments.skin.shape[1], np.float32)
    for level, chance in levels.items():
        if 0 <= level < len(by_level):
            by_level[level] = chance
    if sacral is not None:
        by_level[-3:] = np.minimum(by_level[-3:], sacral)
    found: Array = segments.skin @ by_level
    return found


def _down_from(level: int, chance: float, count: int) -> dict[int, float]:
    return dict.fromkeys(range(level, count), chance)


def _across(
    space: Space, segments: _Segments, tracts: Mapping[str, float], at: int, _here: int
) -> Iterator[tuple[str, float, Damage]]:
    damage = nothing(space)
    count = segments.skin.shape[1]
    for side in range(len(SIDES)):
        _motor(damage, segments, side, [at], tracts["motor"], tracts["motor"])
        for path in ("pain", "position", "touch"):
            chance = tracts[path]
            sacral = tracts.get("sacral", 1.0) * chance
            getattr(damage, path)[:, side] = _numb(segments, _down_from(at, chance, count), sacral)
    damage.shock = tracts.get("shock", 0.0)
    yield "", 1.0, damage


def _half(
    space: Space, segments: _Segments, tracts: Mapping[str, float], at: int, here: int
) -> Iterator[tuple[str, float, Damage]]:
    damage = nothing(space)
    there, count = 1 - here, segments.skin.shape[1]
    band = {at: tracts["band"], at + 1: tracts["band"] / 3}
    _motor(damage, segments, here, [at], tracts["motor"], tracts["motor"])
    _motor(damage, segments, there, [at], tracts.get("motor_other", 0.0), 0.0)
    damage.position[:, here] = _numb(segments, _down_from(at, tracts["position"], count))
    below = _down_from(at, tracts["touch"], count) | {at: tracts["band"]}
    damage.touch[:, here] = _numb(segments, below)
    damage.touch[:, there] = _numb(segments, _down_from(at + 1, tracts["touch_other"], count))
    damage.pain[:, here] = _numb(segments, band)
    crossed = _down_from(at + 2, tracts["pain"], count) | {at + 1: 0.6 * tracts["pain"]}
    damage.pain[:, there] = _numb(segments, crossed, tracts["sacral"])
    yield "", 1.0, damage


def _centre(
    space: Space, segments: _Segments, tracts: Mapping[str, float], at: int, _here: int
) -> Iterator[tuple[str, float, Damage]]:
    count = segments.skin.shape[1]
    for wider, share in _BAND_SHARES:
        half = round(tracts["reach"]) + wider
        band = [level for level in range(at - half, at + half + 1) if 0 <= level < count]
        damage = nothing(space)
        for side in range(len(SIDES)):
            _motor(damage, segments, side, band, tracts["motor"], tracts["horn"])
            arms = tracts.get("arms", 0.0) * segments.zones[1].astype(bool)
            within = arms[min(band) :].nonzero()[0] + min(band)
            weak = tracts.get("arms", 0.0) * segments.movements[:, within].sum(1)
            damage.lower[:, side] = np.maximum(damage.lower[:, side], weak)
            for path in ("pain", "touch", "position"):
                levels = dict.fromkeys(band, tracts[path])
                if path == "position":
                    levels = _down_from(min(band), tracts[path], count)
                getattr(damage, path)[:, side] = _numb(segments, levels)
        yield f"_{half}", share, damage
