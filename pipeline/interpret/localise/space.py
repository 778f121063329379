"""The space of results: every modality at every place that a lesion can change, on each side.

A finding may be coarse ("power five in the left leg") or fine ("great toe extension"). Both
are read in one space of fine places: the leaves. Modalities that test the same path share a
channel (pinprick and temperature: ``pain``). A column of the space is one channel, one leaf
and one side; what a coarse finding speaks of is a set of columns.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ....lexicon import Lexicon
from ....lexicon.odds import Odds
from ....lexicon.places import Places

SIDES = ("left", "right")
ZONES = ("face", "upper_limb", "lower_limb", "trunk")
SENSORY = ("pain", "position", "touch", "feeling", "cortical")
ZONED = ("tone", "spasticity", "rigidity", "clonus")
#: Modalities of which one part is enough for a region to have them.
INSPECTED = (
    "wasting", "hypertrophy", "fasciculation", "tremor", "chorea", "athetosis", "dystonia",
    "myoclonus", "involuntary_movement", "contracture", "deformity", "scar", "asymmetry", "drift",
    "abnormal_posture",
)  # fmt: skip
#: Reflexes that health has and a lesion takes, though their scale is absent and present.
SUPERFICIAL = ("abdominal_reflex", "cremasteric_reflex", "grasp_reflex")
_CHANNELS = {
    "pinprick": "pain",
    "temperature": "pain",
    "vibration": "position",
    "proprioception": "position",
    "light_touch": "touch",
    "sensation": "feeling",
    "two_point_discrimination": "cortical",
    "stereognosis": "cortical",
    "graphaesthesia": "cortical",
}


@dataclass(frozen=True, eq=False)
class Space:
    """The columns and how places lead to them."""

    lexicon: Lexicon
    places: Places
    odds: Odds

    @cached_property
    def movements(self) -> tuple[str, ...]:
        """Movements, face and tongue: the leaves of power."""
        return (*self.lexicon.vocabulary.segments["movement"], "face", "tongue")

    @cached_property
    def reflexes(self) -> tuple[str, ...]:
        """The tendon reflexes."""
        return self.lexicon.vocabulary.segments["reflex"]

    @cached_property
    def skin(self) -> tuple[str, ...]:
        """The leaves of feeling: spinal levels, then the regions that have a dermatome."""
        felt_at = self.odds.felt_at.values
        regions = dict.fromkeys(
            row.site
            for row in self.lexicon.tables.dermatomes
            if row.site_kind == "region"
            and (row.site not in felt_at or row.site in felt_at[row.site])
        )
        return (*self.lexicon.vocabulary.levels, *regions, "face")

    @cached_property
    def bulk(self) -> tuple[str, ...]:
        """The leaves of inspection."""
        named = self.odds.bulk.values
        inner = {p for p in named for q in named if p != q and self.places.within(q, p)}
        return (*(p for p in named if p not in inner), "trunk")

    @cached_property
    def leaves(self) -> Mapping[str, tuple[str, ...]]:
        """Channel to its leaves, in the order of the columns."""
        modalities = self.lexicon.vocabulary.modalities
        found = {"power": self.movements, "reflex": self.reflexes}
        found |= dict.fromkeys(SENSORY, self.skin)
        found |= dict.fromkeys(ZONED, ZONES)
        found |= dict.fromkeys(INSPECTED, self.bulk)
        found["gait"] = tuple(g for g in self.lexicon.vocabulary.scales["gait"] if g != "normal")
        found |= {m: ("none",) for m in modalities if m not in found and m not in _CHANNELS}
        return found

    @cached_property
    def _starts(self) -> Mapping[str, int]:
        starts, at = {}, 0
        for channel, leaves in self.leaves.items():
            starts[channel] = at
            at += 2 * len(leaves)
        return starts

    @cached_property
    def size(self) -> int:
        """The number of columns."""
        return sum(2 * len(leaves) for leaves in self.leaves.values())

    @cached_property
    def _at(self) -> Mapping[tuple[str, str], int]:
        return {
            (channel, leaf): self._starts[channel] + 2 * i
            for channel, leaves in self.leaves.items()
            for i, leaf in enumerate(leaves)
        }

    def column(self, channel: str, leaf: str, side: int) -> int:
        """The column of ``leaf`` on side 0 (left) or 1 (right)."""
        return self._at[channel, leaf] + side

    def block(self, channel: str) -> slice:
        """The columns of ``channel``: leaf by leaf, left before right."""
        start = self._starts[channel]
        return slice(start, start + 2 * len(self.leaves[channel]))

    def channel(self, modality: str) -> str:
        """The channel that ``modality`` is read in."""
        return _CHANNELS.get(modality, modality)

    def resolve(self, modality: str, segment: str) -> tuple[str, ...]:
        """The leaves that a finding of ``modality`` at ``segment`` speaks of; maybe none."""
        key = self.channel(modality), segment
        if key not in self._resolved:
            self._resolved[key] = self._leaves_at(modality, segment)
        return self._resolved[key]

    @cached_property
    def _resolved(self) -> dict[tuple[str, str], tuple[str, ...]]:
        return {}

    def _leaves_at(self, modality: str, segment: str) -> tuple[str, ...]:
        channel = self.channel(modality)
        if channel in ZONED:
            return self._zones(segment)
        if channel == "power":
            return self._power(segment)
        if channel in SENSORY:
            return self._felt(segment)
        if channel in INSPECTED or channel == "reflex":
            return self._nearest(segment, self.leaves[channel])
        return self.leaves[channel] if channel == "gait" else ("none",)

    def _zones(self, segment: str) -> tuple[str, ...]:
        if segment == "whole_body":
            return ZONES[1:]
        limbs = self.places.limbs(segment)
        if limbs:
            return limbs
        return ("face",) if self.places.within(segment, "face") else ("trunk",)

    def _power(self, segment: str) -> tuple[str, ...]:
        if segment not in self.lexicon.vocabulary.levels:
            return self._nearest(segment, self.movements)
        movements = self.lexicon.tables.movements.values()
        key = tuple(m.code for m in movements if m.isncsci_level == segment)
        return key or tuple(m.code for m in movements if m.roots and m.roots[0] == segment)

    def _felt(self, segment: str) -> tuple[str, ...]:
        if segment in self.skin and segment not in ("toes",):
            return (segment,)
        around = self.odds.felt_at.values.get(segment)
        if around is not None:
            parts = (self._felt(code) if code != segment else (code,) for code in around)
            return tuple(dict.fromkeys(leaf for part in parts for leaf in part))
        levels = self.lexicon.vocabulary.levels
        regions = [leaf for leaf in self.skin if leaf not in levels]
        if segment == "whole_body":
            return (*regions, *self._felt("trunk"), *self._felt("neck"), *self._felt("perianal"))
        return self._nearest(segment, regions)

    def _nearest(self, segment: str, leaves: tuple[str, ...] | list[str]) -> tuple[str, ...]:
        for place in self.places.chain(segment):
            if place in leaves:
                return (place,)
            found = tuple(leaf for leaf in leaves if self.places.within(leaf, place))
            if found:
                return found
        return ()

    def by_place(self, values: Mapping[str, float], leaf: str) -> float:
        """The value of the nearest place that contains ``leaf``, else 0."""
        if not values:
            return 0.0
        return next((values[p] for p in self.places.chain(leaf) if p in values), 0.0)

    def regions_of(self, leaf: str) -> tuple[str, ...]:
        """The regions that a spinal level supplies first; none for a region."""
        return self._regions.get(leaf, ())

    @cached_property
    def _regions(self) -> Mapping[str, tuple[str, ...]]:
        rows = self.lexicon.tables.dermatomes
        return {
            level: tuple(
                r.site for r in rows if r.level == level and r.site_kind == "region" and r.rank == 1
            )
            for level in self.lexicon.vocabulary.levels
        }

    def limb(self, leaf: str) -> str:
        """The zone that ``leaf`` belongs to."""
        limbs = self.places.limbs(leaf)
        if len(limbs) == 1:
            return limbs[0]
        return "face" if leaf in ("face", "tongue", "jaw_jerk") else "trunk"
