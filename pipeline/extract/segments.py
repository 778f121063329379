"""What was said since the last stop, as features of whether the next one comes here.

A heading is short and holds no grade; a sentence that began as a condition goes on past its
comma; one that holds a target and its grade is done when the next target comes.
"""

from __future__ import annotations

from typing import NamedTuple

_EDGE = "#"
_CONDITIONS = frozenset(["if", "when", "suppose", "should", "unless", "were", "once"])
_TARGETS = frozenset("thi")
_GRADES = frozenset(["g", "none", "same"])
#: Classes of which a heading is made.
_HEADINGS = frozenset(["SIDE", "BOTH", "LIMB", "LIMBS", "GENERAL", "M:heading", "on", "the", "in"])
_MOST = 2
_SHORT, _LONG, _VERY_LONG = 4, 8, 15  # tokens


class Segment(NamedTuple):
    """What the tokens since a stop are: how they opened, what they hold, how many there are."""

    first: str = _EDGE
    second: str = _EDGE
    talk: str = ""
    condition: bool = False
    targets: int = 0
    grades: int = 0
    sides: int = 0
    size: int = 0
    #: whether it says so far what comes next, and nothing else
    heads: bool = False
    #: the side that it began with
    led_by: str = ""

    def with_token(self, kind: str, word: str, sort: str, cue: str) -> Segment:
        """The segment when a token of this class, first word, sort and cue goes on with it."""
        size = min(self.size + 1, _VERY_LONG)
        heads = (self.heads or not self.size) and kind in _HEADINGS
        first = kind if not self.size else self.first
        second = kind if self.size == 1 else self.second
        condition = self.condition or word in _CONDITIONS
        named = word not in _CONDITIONS
        return Segment(
            first,
            second,
            self.talk or cue,
            condition,
            min(self.targets + (named and sort in _TARGETS), _MOST),
            min(self.grades + (named and sort in _GRADES), _MOST),
            min(self.sides + (named and sort == "s"), _MOST),
            size,
            heads,
            word if heads and kind == "SIDE" else self.led_by,
        )

    def ended(self) -> Segment:
        """What comes after it; a heading's side leads that, too."""
        return Segment(led_by=self.led_by) if self.heads else Segment()

    @property
    def _length(self) -> int:
        if self.size < _SHORT:
            return self.size
        return _SHORT + (self.size >= _LONG) + (self.size >= _VERY_LONG)

    def features(self, kind: str, word: str, sort: str, cue: str, state: str) -> list[str]:
        """How it would go on with a token; ``state`` says whether a target waits for its grade."""
        size, holds = self._length, f"{self.targets}{self.grades}{self.sides}"
        return [
            f"a {size}",
            f"b {self.first} {kind}",
            f"c {self.first} {self.second} {size}",
            f"d {self.talk} {kind}",
            f"e {self.talk} {cue} {state}",
            f"f {self.condition:d} {kind} {size}",
            f"g {holds} {sort}{size}",
            f"h {holds} {state} {kind}",
            f"i {size} {word}",
            f"j {self.first} {holds} {sort}",
            f"k {self.talk} {holds} {sort}",
        ]
