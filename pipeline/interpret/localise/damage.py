"""What a lesion takes, structure by structure, before it is asked which signs that gives.

Every site is first described by the same few structures: how probable weakness is in each
movement by muscle or lower motor neuron, how far the corticospinal path to each movement is
lost, which feeling is lost where. ``signs.py`` turns this into results by general rules.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from .space import SIDES, Space

Array = NDArray[np.float32]
OTHER = {"left": "right", "right": "left"}


@dataclass(frozen=True)
class SiteKey:
    """A site of the vocabulary: its code, which one, and the side (as the record says it)."""

    site: str
    which: str | None
    side: str


@dataclass
class Damage:
    """The losses of one hypothesis. Arrays are leaves by side (left, right), 0 to 1."""

    muscle: Array
    lower: Array
    upper: Array
    reflex: Array
    upper_reflex: Array
    pain: Array
    position: Array
    touch: Array
    cortical: Array
    cerebellar: Array
    upper_zone: Array
    shock: float = 0.0
    #: "dense" or "mild" for an upper motor neuron lesion of that kind, else "".
    severity: str = ""
    #: Columns of signs that the site adds of its own, each with its chance.
    down: dict[int, float] = field(default_factory=dict)
    up: dict[int, float] = field(default_factory=dict)

    def add(self, more: dict[int, float], *, down: bool) -> None:
        """Add signs; two causes of one sign act apart from each other."""
        into = self.down if down else self.up
        for column, chance in more.items():
            into[column] = 1 - (1 - into.get(column, 0.0)) * (1 - chance)


@dataclass(frozen=True)
class Hypothesis:
    """One form of one site: what it takes, and its prior within everything."""

    key: SiteKey
    form: str
    prior: float
    damage: Damage


def nothing(space: Space) -> Damage:
    """No loss at all."""

    def zeros(leaves: int) -> Array:
        return np.zeros((leaves, len(SIDES)), np.float32)

    moves, reflexes, skin = len(space.movements), len(space.reflexes), len(space.skin)
    return Damage(
        muscle=zeros(moves),
        lower=zeros(moves),
        upper=zeros(moves),
        reflex=zeros(reflexes),
        upper_reflex=zeros(reflexes),
        pain=zeros(skin),
        position=zeros(skin),
        touch=zeros(skin),
        cortical=zeros(skin),
        cerebellar=zeros(2),
        upper_zone=zeros(4),
    )
