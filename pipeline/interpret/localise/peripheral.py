"""Roots, nerves and parts of a plexus: what they take follows from the tables alone.

A root takes its movements, reflexes and skin by their place in the order of roots; a nerve or
a part of a plexus by its row. Each is hurt fully or mildly, a nerve also by the level of the
lesion; a cauda equina lesion is several roots of both sides, often unevenly.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from ....lexicon.anatomy import Anatomy, Nerve, Supply
from .damage import Array, Damage, Hypothesis, SiteKey, nothing
from .space import SIDES, Space

_ORDER = ("first", "second", "third")


def peripheral_sites(space: Space, anatomy: Anatomy) -> Iterator[Hypothesis]:
    """The hypotheses of roots, nerves, plexus parts and the cauda equina."""
    yield from _roots(space)
    yield from _supplies(space, anatomy)
    yield from _cauda(space)


def root_share(space: Space, root: str, roots: Sequence[str], variants: Sequence[str]) -> float:
    """How much of a movement or reflex hangs on ``root``."""
    share = space.odds.share
    if root in roots:
        return share[_ORDER[min(roots.index(root), 2)]]
    return share["variant"] if root in variants else 0.0


def level_weights(space: Space, leaf: str) -> dict[str, float]:
    """How much each spinal level supplies a leaf of skin: the main levels 1, others less."""
    if leaf in space.lexicon.vocabulary.levels:
        return {leaf: 1.0}
    share = space.odds.share
    weights: dict[str, float] = {}
    for row in space.lexicon.tables.dermatomes:
        if row.site != leaf or row.site_kind != "region":
            continue
        main = share["first"] if row.rank == 1 else share["rank_two"]
        weights[row.level] = max(weights.get(row.level, 0.0), main)
        for level in row.variants:
            weights[level] = max(weights.get(level, 0.0), share["variant"])
    return weights


def root_damage(space: Space, root: str) -> tuple[Array, Array, Array]:
    """Weakness, lost reflexes and lost feeling of one root on one side, by leaf."""
    tables = space.lexicon.tables
    own = space.odds.peripheral
    weak = np.array(
        [
            root_share(space, root, m.roots, m.variants) if m else 0.0
            for m in (tables.movements.get(code) for code in space.movements)
        ],
        np.float32,
    )
    lost = np.array(
        [
            root_share(space, root, r.roots, r.variants) if r else 0.0
            for r in (tables.reflexes.get(code) for code in space.reflexes)
        ],
        np.float32,
    )
    levels = space.lexicon.vocabulary.levels
    at = levels.index(root)
    near = {levels[i] for i in (at - 1, at + 1) if 0 <= i < len(levels)}
    numb = np.zeros(len(space.skin), np.float32)
    for i, leaf in enumerate(space.skin):
        weights = level_weights(space, leaf)
        neighbour = space.odds.share["neighbour"] if near & weights.keys() else 0.0
        numb[i] = max(weights.get(root, 0.0), neighbour)
    return weak * own["power"], lost * own["reflexes"], numb * own["sensation"]


def _place(space: Space, damage: Damage, side: int, losses: tuple[Array, Array, Array]) -> None:
    weak, lost, numb = losses
    damage.lower[:, side] = np.maximum(damage.lower[:, side], weak)
    damage.reflex[:, side] = np.maximum(damage.reflex[:, side], lost)
    for feeling in (damage.pain, damage.touch, damage.position):
        feeling[:, side] = np.maximum(feeling[:, side], numb)


def _degrees(space: Space) -> tuple[tuple[str, float, tuple[float, float, float]], ...]:
    values = space.odds.peripheral
    feeling, reflex = values["mild_sensory"], values["mild_reflex"]
    return (
        ("full", values["full"], (1.0, 1.0, 1.0)),
        ("mild", values["mild"], (values["mild_motor"], reflex, feeling)),
        ("sensory", values["sensory"], (values["sensory_motor"], reflex, 1.0)),
    )


def _scaled(
    losses: tuple[Array, Array, Array], by: tuple[float, float, float]
) -> tuple[Array, Array, Array]:
    return losses[0] * by[0], losses[1] * by[1], losses[2] * by[2]


def _roots(space: Space) -> Iterator[Hypothesis]:
    common, levels = space.odds.common.values, space.lexicon.vocabulary.levels
    thoracic = {level: common["thoracic"] for level in levels if level.startswith("T")}
    shares = {level: common.get(level, thoracic.get(level, 1.0)) for level in levels}
    each = space.odds.prior["root"] / sum(shares.values()) / len(SIDES)
    for level, share in shares.items():
        losses = root_damage(space, level)
        for side, name in enumerate(SIDES):
            for form, part, by in _degrees(space):
                damage = nothing(space)
                _place(space, damage, side, _scaled(losses, by))
                yield Hypothesis(SiteKey("root", level, name), form, each * share * part, damage)


def _supplies(space: Space, anatomy: Anatomy) -> Iterator[Hypothesis]:
    common = space.odds.common.values
    for site, rows in (("nerve", anatomy.nerves), ("plexus", anatomy.plexus)):
        supplies: list[Supply] = [
            s for s in rows.values() if s.full or s.partial or s.skin or s.reflexes
        ]
        shares = {
            s.code: common.get(
                s.code, common["extra"] if isinstance(s, Nerve) and s.scope == "extra" else 1.0
            )
            for s in supplies
        }
        each = space.odds.prior[site] / sum(shares.values()) / len(SIDES)
        for supply in supplies:
            forms = list(_forms(space, supply))
            for form, part, taken, by in forms:
                losses = _scaled(_supply_damage(space, supply, taken), by)
                for side, name in enumerate(SIDES):
                    damage = nothing(space)
                    _place(space, damage, side, losses)
                    _superficial(space, damage, supply, side)
                    _posture(space, damage, supply, side)
                    prior = each * shares[supply.code] * part
                    yield Hypothesis(SiteKey(site, supply.code, name), form, prior, damage)


def _forms(
    space: Space, supply: Supply
) -> Iterator[tuple[str, float, Collection[str] | None, tuple[float, float, float]]]:
    """Form, its share, what is taken (None: all of the row) and how far."""
    places = dict(supply.lesion_levels) if isinstance(supply, Nerve) else {}
    taken: dict[str, Collection[str] | None] = {"": None, **places}
    for place, codes in taken.items():
        for form, part, by in _degrees(space):
            yield f"{place}_{form}".strip("_"), part / len(taken), codes, by


def _supply_damage(
    space: Space, supply: Supply, taken: Collection[str] | None
) -> tuple[Array, Array, Array]:
    share, own = space.odds.share, space.odds.peripheral

    def hit(code: str, full: Collection[str], partial: Collection[str] = ()) -> float:
        if taken is not None and code not in taken:
            return 0.0
        return share["full"] if code in full else share["partial"] if code in partial else 0.0

    weak = np.array([hit(m, supply.full, supply.partial) for m in space.movements], np.float32)
    lost = np.array([hit(r, supply.reflexes) for r in space.reflexes], np.float32)
    region = {leaf: hit(leaf, supply.skin) for leaf in space.skin}
    numb = np.array(
        [
            _at_level(space, leaf, region)
            if leaf in space.lexicon.vocabulary.levels
            else region[leaf]
            for leaf in space.skin
        ],
        np.float32,
    )
    if "abdomen" in supply.skin:
        levels = [level for level in space.odds.felt_at.values["abdomen"] if level in supply.roots]
        for level in levels:
            numb[space.skin.index(level)] = share["full"]
    if "perianal" in supply.skin:
        for level in space.odds.felt_at.values["perianal"]:
            numb[space.skin.index(level)] = share["full"]
    return weak * own["power"], lost * own["reflexes"], numb * own["sensation"]


def _at_level(space: Space, level: str, region: dict[str, float]) -> float:
    """How far a nerve's skin covers a level: its key point first, then its other regions."""
    rows = [row for row in space.lexicon.tables.dermatomes if row.level == level]
    key = [region[r.site] for r in rows if r.site_kind == "isncsci_key_point" and r.site in region]
    main = [region[r.site] for r in rows if r.site_kind == "region" and r.site in region]
    if not main:
        return max(key, default=0.0)
    mean = sum(main) / len(main)
    return 0.7 * key[0] + 0.3 * mean if key else mean


def _superficial(space: Space, damage: Damage, supply: Supply, side: int) -> None:
    chance = space.odds.peripheral["reflexes"]
    lost = {space.column(r, "none", side): chance for r in supply.reflexes if r in space.leaves}
    damage.add(lost, down=True)


def _posture(space: Space, damage: Damage, supply: Supply, side: int) -> None:
    """Winging and the like: signs of muscles that no movement of its own shows."""
    muscles = supply.muscles if isinstance(supply, Nerve) else ()
    chance = max((space.odds.winging.values.get(m, 0.0) for m in muscles), default=0.0)
    if chance:
        column = space.column("abnormal_posture", "shoulder_girdle", side)
        damage.add({column: chance}, down=False)


def _cauda(space: Space) -> Iterator[Hypothesis]:
    uneven = space.odds.peripheral["uneven"]
    prior, key = space.odds.prior["cauda_equina"], SiteKey("cauda_equina", None, "both")
    for form in (f for f in space.odds.form if f.site == key.site):
        for name, sides in (
            ("even", (1.0, 1.0)),
            ("left", (1.0, uneven)),
            ("right", (uneven, 1.0)),
        ):
            damage = nothing(space)
            for root in space.lexicon.vocabulary.level_range(*form.roots):
                losses = root_damage(space, root)
                for side, by in enumerate(sides):
                    _place(space, damage, side, _scaled(losses, (by, by, by)))
            yield Hypothesis(key, f"{form.id}_{name}", prior * form.weight / 3, damage)
