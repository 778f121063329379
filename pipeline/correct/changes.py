"""What the lattice is made of and what comes out of it: weights, replacements, changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

#: Where a replacement comes from: near sounds, the closed list for numbers, sides and levels,
#: the house spelling, a side parted from the word it was glued to, a term parted by commas, a
#: mishearing seen before, or the personal lexicon.
Kind = Literal["sound", "closed", "spelling", "glued", "parted", "seen", "own"]
SEEN = 0.5  # a mishearing seen before counts as this much of its distance


@dataclass(frozen=True)
class Weights:
    """The parameters of the decision; ``bench/decision.py`` says what they earn."""

    sound: float = 3.8  # per phoneme of distance
    change: float = -0.3  # per change
    keep: float = -3.0  # for keeping a word ...
    sure: float = 4.9  # ... more when the recogniser was sure of it
    homophone: float = 0.4  # a word of a closed list
    fresh: float = 0.02  # the chance that a sentence starts where no mark stands,
    fresh_comma: float = 0.4  # after a comma,
    fresh_stop: float = 0.85  # and after a full stop
    spelling: float = 30.0  # for the house spelling of the same word
    plain: float = 1.8  # for becoming words that are not the trade's
    valid: float = 3.5  # for keeping a word of the trade
    lose: float = 0.8  # for every word that there is less of
    comma: float = 1.2  # for joining words across a comma ...
    stop: float = 4.2  # ... or across the end of a sentence
    share: float = 6.0  # for distance as a share of what is said
    nonword: float = 2e-8  # the chance of a word that no dictionary knows
    fluent: float = 0.92  # power of a word's frequency, since words of a sentence go together
    letters: float = 0.5  # by which it is less for every letter after the sixth
    trade_least: float = 0.03  # the least that trade talk weighs, in plain prose
    trade_rise: float = 5.0  # how fast that weight grows with the share of trade words
    whole: float = 0.55  # what the share of trade words in the whole text adds to it
    trade_most: float = 0.87  # the most that trade talk weighs against ordinary English
    ear: float = 0.2  # per nat by which the sound bears a reading out ...
    ear_most: float = 8.0  # ... of which so many count, and so many against
    ear_least: float = -24.0
    beam: int = 5
    prose: float = 0.06  # below this share of trade talk only unknown words are searched

    def heard(self, edge: Edge, nats: float) -> Edge:
        """``edge`` when the sound bears it out by ``nats`` (negative: speaks against it)."""
        counted = max(self.ear_least, min(self.ear_most, nats))
        return replace(edge, cost=edge.cost + self.ear * counted, nats=counted)


@dataclass(frozen=True, slots=True)
class Edge:
    """A replacement of units ``first`` to ``last`` (excluded) by ``tokens``."""

    first: int
    last: int
    tokens: tuple[str, ...]
    term: str
    distance: float
    cost: float
    plain: bool = False
    size: int = 0  # phonemes of the target; 0 for a spelling
    nats: float | None = None  # what the sound says for it, when the recogniser was asked
    kind: Kind = "sound"


@dataclass(frozen=True, slots=True)
class Change:
    """A replacement on the best path, the parts of its gain, and its neighbours there."""

    edge: Edge
    sound: float
    fit: float
    doubt: float
    before: tuple[str, ...]
    after: tuple[str, ...]

    @property
    def first(self) -> int:
        """The first unit that is replaced."""
        return self.edge.first

    @property
    def last(self) -> int:
        """The unit after the last that is replaced."""
        return self.edge.last

    @property
    def tokens(self) -> tuple[str, ...]:
        """What the units become."""
        return self.edge.tokens

    @property
    def gain(self) -> float:
        """The advantage over keeping what was heard, in natural logarithms."""
        return self.sound + self.fit + self.doubt
