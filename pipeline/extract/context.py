"""What is in force between statements: the side, the limb, the modality being examined.

A stretch that opens with a side ("On the left: …", "Left leg now.") keeps it until another
side, or a heading that is not about one side. A limb heading keeps the limb likewise; a
plural one ("Legs:") is about both sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from .kinds import OPENERS, Utterance
from .statements import Statement
from .units import Unit

LIMBS = ("upper_limb", "lower_limb")
OPPOSITE = {"left": "right", "right": "left"}
_OPENING = OPENERS | frozenset(
    "on in at the for to of starting beginning start begin with coming moving turning over "
    "going onto from same side back his her".split()
)
#: How many words beside trade words and fillers a heading may have.
_HEADING_WORDS = 3
_HEADING_FILLERS = _OPENING | frozenset(
    "exam examination testing test screen finally lastly last next only ill will we well lets "
    "let us do move look at is are this by my i a comes come turn then".split()
)


@dataclass
class Context:
    """The state carried from one statement to the next."""

    side: str | None = None
    limbs: tuple[str, ...] = ()
    topic: str | None = None
    #: whether the utterance being read goes on from the one before
    runs_on: bool = False
    #: number of the first finding of the stretch that the side in force opened
    stretch: int = 0
    #: side of the last finding that had one, for "the other side"
    last_side: str | None = None
    #: numbers of the findings of the last statement and of the last utterance
    last_batch: list[int] = field(default_factory=list)
    last_utterance: list[int] = field(default_factory=list)

    def open_side(self, side: str, at: int) -> None:
        """Put a side in force from finding ``at`` on."""
        if self.side != side:
            self.stretch = at
        self.side = side

    def clear_side(self) -> None:
        """Put no side in force."""
        self.side = None


def is_heading(utterance: Utterance, statements: Sequence[Statement]) -> bool:
    """Whether an utterance only announces what comes."""
    if not statements or any(s.headed or s.same for s in statements):
        return False
    units = [u for s in statements for u in s.units]
    located = any(u.side or u.sort in ("place", "side") for u in units)
    signs = [t for s in statements for t in s.targets if t.is_sign]
    if any(t.unit.there_is for t in signs) or (signs and located):
        return False
    if any(u.sort in ("grade", "status", "level") for u in units):
        return False
    covered = {i for u in units for i in range(u.start, u.end)}
    other = [
        t
        for i in range(utterance.start, utterance.end)
        if i not in covered and (t := utterance.texts[i]) not in _HEADING_FILLERS and len(t) > 1
    ]
    return len(other) <= _HEADING_WORDS


def opening_side(utterance: Utterance, units: Sequence[Unit]) -> str | None:
    """The side that an utterance opens with, if it opens with one."""
    if not units:
        return None
    first = units[0]
    if not all(t in _OPENING for t in utterance.texts[utterance.start : first.start]):
        return None
    if first.sort == "side":
        return first.side if first.side in OPPOSITE else None
    if first.sort == "place" and first.side in OPPOSITE:
        lead = set(utterance.texts[utterance.start : first.start + 1]) & {"on", "in"}
        after = utterance.texts[first.end : first.end + 1]
        if lead or tuple(after) in ((",",), (":",), ("now",), ("first",)):
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
