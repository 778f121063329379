"""From what is lost to what an examiner finds: one set of rules for every site.

Upper and lower motor neuron signs, their strength and the signs of the cerebellum come from
``patterns.csv``, the pyramidal pattern from ``movements.csv``, other consequences (who cannot
lift the foot cannot walk on the heel) from ``signs.toml``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ....lexicon.anatomy import Anatomy
from ....lexicon.odds import Sign
from .damage import Array, Damage
from .space import ZONES, Space

_ARM, _LEG, _TRUNK = (ZONES.index(z) for z in ("upper_limb", "lower_limb", "trunk"))
_MOST = 0.97


@dataclass(frozen=True)
class _Rule:
    """A sign with its indices: where the cause is read, where it shows on each side."""

    sign: Sign
    at: list[int]
    columns: list[list[int]]
    is_less: bool


@dataclass(frozen=True)
class Signs:
    """The rules, with the numbers that they need."""

    space: Space
    anatomy: Anatomy

    def predict(self, damage: Damage) -> tuple[Array, Array]:
        """Chance of less and of more than normal by column, float32, without base rates."""
        down = np.zeros(self.space.size, np.float32)
        up = np.zeros(self.space.size, np.float32)
        pyramidal = self._pyramidal
        if damage.severity == "dense":
            spared = self.space.odds.upper_motor_neuron["dense_spared"]
            pyramidal = np.asarray(1 - (1 - pyramidal) * spared, np.float32)
        weak = np.minimum(damage.lower + damage.upper * pyramidal, _MOST)
        weak = 1 - (1 - weak) * (1 - damage.muscle)
        self._set(down, "power", weak)
        self._feelings(damage, down)
        self._tone(damage, down, up)
        self._reflexes(damage, down, up)
        self._bulk(damage, up)
        self._cerebellar(damage, down, up)
        lower = np.maximum(damage.lower, damage.muscle)
        for rule in self._rules:
            self._consequence(rule, damage, weak, lower, down, up)
        for columns, into in ((damage.down, down), (damage.up, up)):
            for column, chance in columns.items():
                into[column] = 1 - (1 - into[column]) * (1 - chance)
        return np.minimum(down, _MOST), np.minimum(up, _MOST)

    def _set(self, into: Array, channel: str, values: Array) -> None:
        block = self.space.block(channel)
        into[block] = 1 - (1 - into[block]) * (1 - values.reshape(-1))

    def _general(self, pattern: str, modality: str, grade: str) -> float:
        """The chance of a sign of an upper or lower motor neuron lesion."""
        odds = self.space.odds
        return max(
            odds.strength[row.strength]
            for row in self.anatomy.rows_of(pattern)
            if row.supports and row.modality == modality and row.grade == grade
        ) * odds.visible(modality)

    @cached_property
    def _pyramidal(self) -> Array:
        odds = self.space.odds.upper_motor_neuron
        marks = {2: odds["marked_two"], 1: odds["marked_one"], 0: odds["unmarked"]}
        movements = self.space.lexicon.tables.movements
        chances = [
            marks[movements[code].umn_weak] if code in movements else odds["face"]
            for code in self.space.movements
        ]
        return np.array(chances, np.float32)[:, None]

    @cached_property
    def _upper(self) -> dict[str, float]:
        pairs = {
            "tone": "increased",
            "spasticity": "present",
            "clonus": "present",
            "reflex": "increased",
            "plantar_response": "extensor",
            "hoffmann_sign": "present",
        }
        return {m: self._general("upper_motor_neuron", m, g) for m, g in pairs.items()}

    @cached_property
    def _lower(self) -> dict[str, float]:
        pairs = {"tone": "reduced", "wasting": "present", "plantar_response": "absent"}
        return {m: self._general("lower_motor_neuron", m, g) for m, g in pairs.items()}

    def _feelings(self, damage: Damage, down: Array) -> None:
        self._set(down, "pain", damage.pain)
        self._set(down, "position", damage.position)
        self._set(down, "touch", damage.touch)
        # "Sensation" without more: mostly touch, often with a pin.
        feeling = 1 - (1 - damage.touch) * (1 - 0.5 * damage.pain) * (1 - 0.15 * damage.position)
        self._set(down, "feeling", feeling)
        # Shape and number need the hand to feel first.
        primary = (1 - 0.8 * damage.touch) * (1 - 0.6 * damage.position)
        seen = self.space.odds.visibility["sensation_cortical"]
        cortical: Array = 1 - (1 - damage.cortical * seen) * primary
        self._set(down, "cortical", cortical)

    def _tone(self, damage: Damage, down: Array, up: Array) -> None:
        stiff = damage.upper_zone * (1 - damage.shock)
        for modality in ("tone", "spasticity"):
            self._set(up, modality, stiff * self._upper[modality])
        ankle = stiff * self._upper["clonus"]
        self._set(up, "clonus", ankle)
        floppy: Array = damage.upper_zone * damage.shock * 0.75
        flaccid = np.zeros_like(floppy)
        for zone, indices in self._by_zone.items():
            if indices:
                flaccid[zone] = damage.lower[indices].mean(0) + 0.3 * damage.muscle[indices].mean(0)
        flaccid = np.asarray(np.minimum(flaccid, 1) * self._lower["tone"], np.float32)
        self._set(down, "tone", 1 - (1 - floppy) * (1 - flaccid))

    @cached_property
    def _by_zone(self) -> dict[int, list[int]]:
        moves = self.space.movements
        return {
            i: [k for k, m in enumerate(moves) if self.space.limb(m) == zone]
            for i, zone in enumerate(ZONES)
        }

    def _reflexes(self, damage: Damage, down: Array, up: Array) -> None:
        space = self.space
        brisk = damage.upper_reflex * (1 - damage.shock)
        jaw = space.reflexes.index("jaw_jerk")
        brisk[jaw] = brisk[jaw].min()  # the jaw jerk is brisk with lesions of both sides
        lost = 1 - (1 - damage.reflex) * (1 - 0.9 * damage.upper_reflex * damage.shock)
        self._set(down, "reflex", lost)
        self._set(up, "reflex", brisk * self._upper["reflex"] * (1 - 0.7 * damage.reflex))
        leg, arm, trunk = (damage.upper_zone[z] for z in (_LEG, _ARM, _TRUNK))
        toes = damage.lower[space.movements.index("toe_flexion")]
        extensor = leg * self._upper["plantar_response"] * (1 - 0.4 * damage.shock)
        self._set(up, "plantar_response", extensor)
        mute = 1 - (1 - 2 * self._lower["plantar_response"] * toes) * (1 - 0.4 * leg * damage.shock)
        self._set(down, "plantar_response", mute)
        self._set(up, "hoffmann_sign", arm * self._upper["hoffmann_sign"] * (1 - damage.shock))
        for modality in ("abdominal_reflex", "cremasteric_reflex"):
            self._set(down, modality, 0.5 * trunk)
        grip = damage.lower[[space.movements.index(m) for m in ("finger_flexion", "grip")]].max(0)
        self._set(down, "grasp_reflex", 0.85 * grip)

    def _bulk(self, damage: Damage, up: Array) -> None:
        if not damage.lower.any():
            return
        chances = (
            ("wasting", self._lower["wasting"]),
            ("fasciculation", self.space.odds.peripheral["twitch"]),
        )
        thin = np.zeros((len(self.space.bulk), 2), np.float32)
        for leaf, indices in self._filling.items():
            thin[leaf] = damage.lower[indices].max(0)
        for modality, chance in chances:
            self._set(up, modality, chance * thin)

    @cached_property
    def _filling(self) -> dict[int, list[int]]:
        bulk = self.space.odds.bulk.values
        return {
            i: [self.space.movements.index(m) for m in bulk[leaf]]
            for i, leaf in enumerate(self.space.bulk)
            if leaf in bulk
        }

    @cached_property
    def _ataxic(self) -> list[tuple[str, int, bool, float]]:
        """Signs of a cerebellar hemisphere: modality, arm or leg, whether less, chance."""
        found = []
        for row in self.anatomy.rows_of("cerebellar"):
            group = self.space.lexicon.vocabulary.group(row.modality)
            if row.supports and row.grade != "normal" and group == "coordination":
                limb = int("lower_limb" in self.space.places.chain(row.modality))
                down = row.grade in ("impaired", "unable")
                found.append((row.modality, limb, down, self.space.odds.strength[row.strength]))
        return found

    def _cerebellar(self, damage: Damage, down: Array, up: Array) -> None:
        if not damage.cerebellar.any():
            return
        for modality, limb, is_down, chance in self._ataxic:
            self._set(down if is_down else up, modality, chance * damage.cerebellar[limb])
        self._set(down, "finger_tapping", 0.4 * damage.cerebellar[0])
        either: Array = np.full(2, 0.7 * damage.cerebellar[1].max(), np.float32)
        self._set(down, "tandem_gait", either)

    @cached_property
    def _rules(self) -> list[_Rule]:
        return [self._rule(sign) for sign in self.space.odds.sign]

    def _rule(self, sign: Sign) -> _Rule:
        space = self.space
        if sign.cause == "position":
            at = [i for i, leaf in enumerate(space.skin) if space.places.within(leaf, sign.at[0])]
        elif sign.cause == "upper":
            at = [ZONES.index(z) for z in sign.at]
        else:
            at = [space.movements.index(m) for m in sign.at]
        leaves: list[str] = ["none"]
        if sign.modality == "gait":
            leaves = [sign.kind]
        elif sign.shows_at:
            leaves = [
                leaf
                for leaf in space.bulk
                if any(space.places.within(leaf, place) for place in sign.shows_at)
            ]
        columns = [[space.column(sign.modality, leaf, s) for leaf in leaves] for s in range(2)]
        performance = space.lexicon.vocabulary.modalities[sign.modality].scale == "performance"
        return _Rule(sign, at, columns, performance)

    def _consequence(
        self, rule: _Rule, damage: Damage, weak: Array, lower: Array, down: Array, up: Array
    ) -> None:
        if rule.sign.cause == "position":
            by_side = damage.position[rule.at].mean(0)
        else:
            causes = {"weak": weak, "lower": lower, "upper": damage.upper_zone}
            by_side = causes[rule.sign.cause][rule.at].max(0)
        left, right = float(by_side[0]), float(by_side[1])
        if rule.sign.sides == "either":
            left = right = max(left, right)
        elif rule.sign.sides == "both":
            left = right = min(left, right)
        elif rule.sign.sides == "one":
            left = right = abs(left - right)
        into = down if rule.is_less else up
        for columns, cause in zip(rule.columns, (left, right), strict=True):
            if cause:
                into[columns] = 1 - (1 - into[columns]) * (1 - rule.sign.chance * cause)
