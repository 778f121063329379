"""The statements of one utterance as they grow: the open one, and those that are done.

The parser decides what a unit does; here it is done: closing the open statement, letting it
take over the targets of one before, naming and grading.
"""

from __future__ import annotations

from dataclasses import replace

from .statement import Statement, Target
from .targets import absorbs, as_reflex, place_as_reflex
from .units import Unit


class Building:
    """``done`` are the statements closed so far, ``open`` is the one being filled.

    ``topic`` is the modality under which the utterance, or what follows a heading in it,
    stands.
    """

    def __init__(self, topic: str | None):
        self.topic = topic
        self.open = Statement()
        self.done: list[Statement] = []
        self._excepting = False

    def close(self, *, heading: bool = False, inherit: bool = False) -> None:
        """Finish the open statement, as a ``heading`` or not, and open another.

        The new one may ``inherit`` targets at once.
        """
        cur = self.open
        if len(cur.targets) > 1 and any(absorbs(cur.targets[0], t) for t in cur.targets[1:]):
            cur.targets = cur.targets[1:]  # "reflexes: biceps and triceps …"
        if not cur.empty or cur.otherwise:
            cur.heading = heading
            if heading and cur.targets:
                self.topic = cur.targets[0].modality
            self.done.append(cur)
        self.open = Statement(exception=self._excepting)
        if self._excepting:
            rule = (s for s in self.done if s.targets and not s.exception)
            self.open.inherited = next(rule, None)
        if inherit:
            self.inherit()

    def except_from(self) -> None:
        """Make everything that follows an exception from what was said first."""
        self._excepting = True
        self.close()

    def inherit(self) -> None:
        """Take over the targets of the last statement that has some."""
        for before in reversed(self.done):
            if before.targets:
                self.open.targets = list(before.targets)
                self.open.inherited = before
                self.open.own_targets = False
                return
        if self.done:  # the target is the heading's; the places are still these
            self.open.inherited = self.done[-1]

    def keep(self, unit: Unit) -> None:
        """Count a unit as the open statement's own."""
        self.open.units.append(unit)

    def add_target(self, target: Target) -> None:
        """Name a target, the first own one in place of those taken over."""
        if not self.open.own_targets:
            self.open.targets, self.open.own_targets = [], True
        self.open.targets.append(target)
        self.keep(target.unit)

    def absorb(self, target: Target) -> None:
        """Let a target stand for the more general one before it, with what that carried."""
        general = self.open.targets.pop()
        if general.term.implies and not target.term.implies:
            target = replace(target, term=replace(target.term, implies=general.term.implies))
        unit = target.unit
        unit.negated = unit.negated or general.unit.negated
        unit.there_is = unit.there_is or general.unit.there_is
        unit.side = unit.side or general.unit.side
        self.add_target(target)

    def convert_list(self, unit: Unit) -> None:
        """ "Biceps, knee and ankle jerks": the names before ``unit`` are jerks as well."""
        cur = self.open
        for k, target in enumerate(cur.targets):
            if target.muscle:
                cur.targets[k] = as_reflex(target)
                target.unit.plural = target.unit.plural or unit.plural
        for place in list(cur.places):
            converted = place_as_reflex(place)
            if converted is not None:
                cur.places.remove(place)
                place.plural = place.plural or unit.plural
                cur.targets.append(converted)

    def set_grade(self, unit: Unit, *, first: bool = False) -> None:
        """Grade the open statement; ``first`` when the grade leads its target."""
        self.open.grade_first = self.open.grade_first or first
        self.open.grade = unit
        self.keep(unit)
