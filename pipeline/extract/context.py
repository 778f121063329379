"""What is in force between statements: the side, the limb, the modality being examined.

A stretch that opens with a side ("On the left: …", "Left leg now.") keeps it until another
side, or a heading that is not about one side. A limb heading keeps the limb likewise; a
plural one ("Legs:") is about both sides.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from ...lexicon.words import load_words
from .asserting import is_described
from .kinds import OBSERVED, Utterance
from .statement import Statement
from .targets import target_of
from .units import Unit

LIMBS = ("upper_limb", "lower_limb")
OPPOSITE: Mapping[str, str] = MappingProxyType({"left": "right", "right": "left"})
#: How many words beside trade words and fillers a heading may have.
_HEADING_WORDS = 3


@dataclass
class Context:
    """The state carried from one statement to the next."""

    side: str | None = None
    limbs: tuple[str, ...] = ()
    topic: str | None = None
    #: whether the utterance being read goes on from the one before
    runs_on: bool = False
    #: serial number of the first finding of the stretch that the side in force opened
    stretch: int = 0
    #: side of the last finding that had one, for "the other side"
    last_side: str | None = None
    #: numbers of the findings of the last statement and of the last utterance
    last_batch: list[int] = field(default_factory=list)
    last_utterance: list[int] = field(default_factory=list)

    @property
    def in_force(self) -> tuple[str, ...]:
        """Side, limbs and modality in force, those that are."""
        named = (self.side, *self.limbs, self.topic)
        return tuple(name for name in named if name is not None)

    def open_side(self, side: str, at: int) -> None:
        """Put a side in force from finding ``at`` on."""
        if self.side != side:
            self.stretch = at
        self.side = side

    def clear_side(self) -> None:
        """Put no side in force."""
        self.side = None

    def open_heading(self, units: Sequence[Unit], at: int) -> None:
        """Put in force what a heading announces; ``at`` numbers the finding after it."""
        places = [u for u in units if u.sort == "place"]
        if places:
            self.limbs = limbs_of(places)
        targets = (target_of(u) for u in units if u.sort == "target")
        self.topic = next((t.modality for t in targets if t is not None), self.topic)
        said = next((u.side for u in reversed(units) if u.side), None)
        if said in ("other", "that"):
            before = self.side or self.last_side or ""
            side = OPPOSITE.get(before) if said == "other" else before
            if side:
                self.open_side(side, at)
        elif said is not None and said in OPPOSITE:
            self.open_side(said, at)
        elif said == "both" or any(p.plural for p in places):
            self.side = "both"
        else:
            self.clear_side()

    def forget_limbs(self, statement: Statement, *, made: bool) -> None:
        """Put no limb in force when another one, or how the child walks, was spoken of."""
        walking = any(t.modality in load_words().sideless_modalities for t in statement.targets)
        other = set(limbs_of(statement.places)) - set(self.limbs)
        if made and self.limbs and (other or walking):
            self.limbs = ()
            self.side = None if self.side == "both" else self.side

    def forget_side(self, sides: Collection[str]) -> None:
        """End the stretch of the side in force when the other side was spoken in passing."""
        if OPPOSITE.get(self.side or "") in sides:
            self.clear_side()


def is_heading(utterance: Utterance, statements: Sequence[Statement]) -> bool:
    """Whether an utterance only announces what comes."""
    if not statements or any(s.headed or s.same or s.symmetric for s in statements):
        return False
    targets = [(s, t) for s in statements for t in s.targets]
    if any(t.modality == "gait" and is_described(s, t, utterance) for s, t in targets):
        return False
    if any(t.own == "habit" for _, t in targets):
        return False  # "she walks on her toes"
    units = [u for s in statements for u in s.units]
    located = any(u.side or u.sort in ("place", "side") for u in units)
    signs = [t for s in statements for t in s.targets if t.is_sign]
    if any(t.unit.there_is for t in signs) or (signs and located):
        return False
    if any(u.sort in ("grade", "status", "level") for u in units):
        return False
    covered = {i for u in units for i in range(u.start, u.end)}
    fillers = load_words().heading_fillers
    other = [
        t
        for i in range(utterance.start, utterance.end)
        if i not in covered
        and utterance.kind_at(i) == OBSERVED
        and (t := utterance.texts[i]) not in fillers
        and len(t) > 1
    ]
    return len(other) <= _HEADING_WORDS


def opening_side(utterance: Utterance, units: Sequence[Unit]) -> str | None:
    """The side that an utterance opens with, if it opens with one."""
    if not units:
        return None
    first, words = units[0], load_words()
    if not words.opening_words.issuperset(utterance.texts[utterance.start : first.start]):
        return None
    if first.sort == "side":
        return first.side if first.side in OPPOSITE else None
    if first.sort == "place" and first.side in OPPOSITE:
        lead = utterance.texts[utterance.start : first.start + 1]
        after = utterance.texts[first.end : first.end + 1]
        led = not words.side_prepositions.isdisjoint(lead)
        if led or not words.heading_ends.isdisjoint(after):
            return first.side
    return None


def limbs_of(places: Sequence[Unit]) -> tuple[str, ...]:
    """The whole limbs among some places, in the order spoken."""
    found: dict[str, None] = {}
    for place in places:
        for term in place.terms:
            if term.kind == "segment":
                found.update(dict.fromkeys(c for c in term.codes if c in LIMBS))
    return tuple(found)


def heads_list(units: Sequence[Unit]) -> str | None:
    """The part of the examination that heads a list without marks ("reflexes biceps …")."""
    if len(units) < 2 or units[0].sort != "target" or units[1].sort != "target":
        return None
    first, second = target_of(units[0]), target_of(units[1])
    if first is None or second is None or second.generic or units[1].gap:
        return None
    general = first.generic and first.modality in load_words().general_modalities
    return first.modality if general and first.term.implies is None else None
