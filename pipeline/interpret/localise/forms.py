"""Diffuse and central sites: the forms of ``forms.toml`` with the signs of ``patterns.csv``.

A form says how far each structure is lost, place by place. The rows of ``patterns.csv`` for
the site add its other signs, on the side that the row's distribution names.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ....lexicon.anatomy import Anatomy, PatternRow
from ....lexicon.odds import Form, Loss
from .damage import Array, Damage, Hypothesis, SiteKey, nothing
from .space import INSPECTED, SENSORY, SIDES, ZONED, ZONES, Space

_FROM_FORMS = (
    "power", "sensation", "light_touch", "pinprick", "temperature", "vibration",
    "proprioception", "stereognosis", "graphaesthesia", "two_point_discrimination",
)  # fmt: skip
_THERE = ("other_side_from_lesion", "smaller_limbs_other_side")
_HERE = ("same_side_as_lesion", "same_side", "one_side")
_WEAK = ("weak_muscles", "affected_limbs", "proximal", "distal_both_sides")
_NORMAL = ("normal", "flexor")
#: How far up a length-dependent disease has come, and how often; see [extent].
_EXTENTS = (("toes", 0.3), ("shin", 0.35), ("hands", 0.25), ("thigh", 0.1))


def form_sites(space: Space, anatomy: Anatomy) -> Iterator[Hypothesis]:
    """The hypotheses of every form without tracts or roots, on each side it can have."""
    for form in space.odds.form:
        if form.tracts or form.roots:
            continue
        prior = space.odds.prior[form.site] * form.weight
        # A site that may stand with a side or without shares its prior between the two.
        side_share = space.odds.common.values.get(f"{form.site}_side")
        if side_share is not None:
            prior *= side_share if form.sided else 1 - side_share
        for side in SIDES if form.sided else ("none",):
            share = prior / len(SIDES) if form.sided else prior
            here = SIDES.index(side) if form.sided else None
            extents = _EXTENTS if form.extents else (("", 1.0),)
            for extent, part in extents:
                damage = _damage(space, form, here, extent)
                _add_rows(space, anatomy, form, damage, side)
                name = f"{form.id}_{extent}".strip("_")
                yield Hypothesis(SiteKey(form.site, None, side), name, share * part, damage)


def _damage(space: Space, form: Form, here: int | None, extent: str) -> Damage:
    damage = nothing(space)
    for side in range(len(SIDES)):
        _take(space, damage, form.both, side)
        if here is not None:
            _take(space, damage, form.here if side == here else form.there, side)
        _take_length(space, damage, form.both, side, extent)
    damage.severity = form.severity
    damage.shock = max(form.both.shock, form.here.shock, form.there.shock)
    return damage


def _take(space: Space, damage: Damage, loss: Loss, side: int) -> None:
    def raise_to(array: Array, values: Mapping[str, float], leaves: Sequence[str]) -> None:
        if not values:
            return
        found = np.array([space.by_place(values, leaf) for leaf in leaves], np.float32)
        array[:, side] = np.maximum(array[:, side], found)

    raise_to(damage.muscle, loss.muscle, space.movements)
    raise_to(damage.lower, loss.lmn, space.movements)
    raise_to(damage.upper, loss.umn, space.movements)
    raise_to(damage.upper_reflex, loss.umn, space.reflexes)
    raise_to(damage.upper_zone, _with_trunk(loss.umn), ZONES)
    raise_to(damage.reflex, loss.reflex, space.reflexes)
    for path in ("pain", "position", "touch", "cortical"):
        values: Mapping[str, float] = getattr(loss, path)
        array: Array = getattr(damage, path)
        if not values:
            continue
        found = np.array([felt_by_place(space, values, leaf) for leaf in space.skin], np.float32)
        array[:, side] = np.maximum(array[:, side], found)
    raise_to(damage.cerebellar, loss.cerebellar, ("upper_limb", "lower_limb"))
    for name, by_place in loss.signs.items():
        _add_sign(space, damage, name, by_place, side)


def _with_trunk(values: Mapping[str, float]) -> dict[str, float]:
    return {"trunk": values.get("lower_limb", 0.0), **values}


def felt_by_place(space: Space, values: Mapping[str, float], leaf: str) -> float:
    """The value of a leaf of skin; a level has that of the regions it supplies."""
    regions = space.regions_of(leaf)
    if not values or leaf in values or not regions:
        return space.by_place(values, leaf)
    return sum(space.by_place(values, r) for r in regions) / len(regions)


def _take_length(space: Space, damage: Damage, loss: Loss, side: int, extent: str) -> None:
    """The longest fibres first: all that lies beyond the extent, or by reach without one."""
    reach, values = space.odds.reach.values, space.odds.extent
    far = np.array([space.by_place(reach, m) for m in space.movements], np.float32)
    felt = np.array([felt_by_place(space, reach, leaf) for leaf in space.skin], np.float32)
    jerks = np.array([space.by_place(reach, r) for r in space.reflexes], np.float32)
    if extent:
        far, felt, jerks = (
            1 / (1 + np.exp(-(a - values[extent]) / values["width"])) for a in (far, felt, jerks)
        )
    for path, most in loss.length.items():
        array, out = (damage.lower, far) if path == "lmn" else (getattr(damage, path), felt)
        array[:, side] = np.maximum(array[:, side], most * out)
    if extent:
        lost = loss.reflex.get("ankle_jerk", 0.0) * jerks
        damage.reflex[:, side] = np.maximum(damage.reflex[:, side], lost)


def _add_sign(
    space: Space, damage: Damage, name: str, by_place: Mapping[str, float], side: int
) -> None:
    what, _, how = name.partition(".")
    if what == "gait":
        # A gait has no side: each side of the form carries half of it.
        damage.add({space.column("gait", how, side): max(by_place.values())}, down=False)
        return
    places = {leaf: space.by_place(by_place, leaf) for leaf in space.leaves[what]}
    if what in ZONED:
        places = {zone: space.by_place(by_place, zone) for zone in ZONES}
    elif what in INSPECTED:
        inner = {
            leaf: max((v for p, v in by_place.items() if space.places.within(p, leaf)), default=0.0)
            for leaf in space.bulk
        }
        places = {leaf: max(places[leaf], inner[leaf]) for leaf in space.bulk}
    elif space.leaves[what] == ("none",):
        places = {"none": max(by_place.values())}
    scale = space.lexicon.vocabulary.modalities[what].scale
    columns = {space.column(what, leaf, side): v for leaf, v in places.items() if v}
    damage.add(columns, down=how == "down" or scale == "performance")


def _add_rows(space: Space, anatomy: Anatomy, form: Form, damage: Damage, side: str) -> None:
    for row in anatomy.patterns:
        wanted = form.only is None or row.modality in form.only
        if row.site != form.site or not wanted or row.modality in form.without:
            continue
        general = row.site == "cerebellum" and _is_coordination(space, row)
        if row.supports and row.grade not in _NORMAL and not (_is_plain(row) or general):
            _add_row(space, damage, row, side)


def _is_coordination(space: Space, row: PatternRow) -> bool:
    """Whether the row is one of limb coordination, which ``signs.py`` adds wherever it is hurt."""
    return space.lexicon.vocabulary.group(row.modality) == "coordination"


def _is_plain(row: PatternRow) -> bool:
    """Whether forms say it already, or the grade is the healthy one."""
    tendon = row.modality == "reflex" and row.segment != "jaw_jerk"
    healthy = row.grade == "absent" and row.modality in INSPECTED
    return row.modality in _FROM_FORMS or tendon or healthy


def _add_row(space: Space, damage: Damage, row: PatternRow, side: str) -> None:
    chance = space.odds.strength[row.strength] * space.odds.visible(row.modality)
    if row.modality == "gait":
        columns = {space.column("gait", row.grade, i): chance for i in range(2)}
        return damage.add(columns, down=False)
    sides = range(2)
    if side in SIDES and row.distribution in (*_THERE, *_HERE):
        here = SIDES.index(side)
        sides = range(here, here + 1) if row.distribution in _HERE else range(1 - here, 2 - here)
    channel = space.channel(row.modality)
    leaves = space.leaves[channel]
    if row.segment not in ("any", "none", "level"):
        leaves = space.resolve(row.modality, row.segment)
    columns = {}
    for leaf in leaves:
        for i in sides:
            by = _weakness(space, damage, leaf, i) if row.distribution in _WEAK else 1.0
            columns[space.column(channel, leaf, i)] = chance * by
    down = row.grade in ("reduced", "absent", "impaired", "unable")
    damage.add(columns, down=down)
    return None


def _weakness(space: Space, damage: Damage, leaf: str, side: int) -> float:
    """How weak the muscles at a leaf of inspection or tone are; 1 at the weakest."""
    movements = space.odds.bulk.values.get(leaf)
    if movements is None:
        movements = tuple(m for m in space.movements if space.limb(m) == leaf)
    indices = [space.movements.index(m) for m in movements]
    weak = np.maximum(damage.muscle, damage.lower)[indices, side]
    return float(weak.max()) if len(weak) else 0.0


__all__ = ["SENSORY", "form_sites"]
