"""What "it", a bare grade or a bare side can speak of: what was found, shown or announced last.

"Look at this gait. It is waddling.", "And the right knee jerk. Also two plus.": the words that
name what is examined stand a little before the words that say how it is. How far back they may
stand is bounded, so that nothing is tied to what was said long before.
"""

from __future__ import annotations

from collections.abc import Sequence

from .asserting import is_praise, says_only_grade
from .kinds import Utterance
from .statement import Statement, Target
from .targets import compatible, place_as_reflex, target_of
from .units import Unit

#: How many utterances back what was shown, and what was found last, may be referred to.
_SHOWN = 3
_REMEMBERED = 5


class Referents:
    """Remembers, by the number of the utterance, what later ones may speak of."""

    def __init__(self) -> None:
        #: the last statement that found something
        self.last: Statement | None = None
        self._last_number = 0
        self._shown: list[tuple[int, Sequence[Unit]]] = []
        self._heading: tuple[int, Sequence[Unit]] = (-_SHOWN - 1, ())

    def find(self, statement: Statement, number: int) -> None:
        """Remember the statement that found something last."""
        self.last, self._last_number = statement, number

    def show(self, number: int, units: Sequence[Unit]) -> None:
        """Remember what was shown, or told of another day."""
        self._shown = [*self._shown[-_SHOWN:], (number, units)]

    def announce(self, number: int, units: Sequence[Unit]) -> None:
        """Remember what a heading announced."""
        self._heading = number, units
        self.show(number, units)

    def recent(self, number: int) -> Statement | None:
        """What was found last, if that is not long ago."""
        return self.last if number - self._last_number <= _REMEMBERED else None

    @property
    def names_announced(self) -> bool:
        """Whether a heading that names what is examined stands after the last finding."""
        number, units = self._heading
        return number > self._last_number and any(u.sort == "target" for u in units)

    def names_side_only(self, number: int) -> bool:
        """ "Now the right leg.": said just before, of the movement that was being tested."""
        said, units = self._heading
        if said <= self._last_number or number - said > _SHOWN:
            return False
        return all(u.sort in ("place", "side") for u in units)

    def shown(self, statement: Statement, utterance: Utterance, number: int) -> list[Target]:
        """What was announced or shown just before, when hardly more than a grade follows."""
        grade = statement.grade
        if grade is None or statement.places or is_praise(utterance, statement):
            return []
        if not says_only_grade(utterance, statement):
            return []
        jerks = set(grade.readings) == {"reflex"}
        for said, units in reversed(self._shown):
            if number - said > _SHOWN:
                break
            named = (
                target_of(u) if u.sort == "target" else place_as_reflex(u) if jerks else None
                for u in units
                if u.sort in ("target", "place")
            )
            fitting = [t for t in named if t is not None and compatible(grade, [t])]
            if fitting:
                return fitting
        return []
