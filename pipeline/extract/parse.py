"""From units to statements: which grade belongs to which targets, places and sides.

Examiners name the target first ("ankle jerk absent"), the grade first ("mild wasting of the
calf"), or go on from what stands ("absent on the left, present on the right"). One pass over
the units of an utterance keeps one open statement; a unit either fills it or closes it. A
statement that names no target of its own takes over the one before it. The parser may settle
what a unit is: a muscle after "wasting of" becomes a place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ...lexicon import load
from . import leading, opening
from .building import Building
from .statement import Statement, Target
from .targets import absorbs, as_reflex, compatible, place_as_reflex, target_of
from .units import Unit, UnitSort, following


def statements_of(units: Sequence[Unit], *, topic: str | None = None) -> list[Statement]:
    """The statements of one utterance; ``topic`` is the modality under which it stands."""
    return _Parser(units, topic).parse()


class _Parser:
    """One pass over the units of one utterance."""

    def __init__(self, units: Sequence[Unit], topic: str | None):
        self._units = units
        self._built = Building(topic)

    @property
    def _cur(self) -> Statement:
        return self._built.open

    def parse(self) -> list[Statement]:
        for i, unit in enumerate(self._units):
            if unit.colon and not self._cur.empty:
                self._colon(i)
            _READERS[unit.sort](self, unit, i)
        self._built.close()
        return self._built.done

    # -- opening and closing ------------------------------------------------------------

    def _colon(self, i: int) -> None:
        remark = self._cur.grade is not None and not self._cur.targets
        if not self._cur.headed:
            self._built.close(heading=True)
        elif remark and opening.grades_follow(self._units, i):
            self._built.close()  # "The legs are weak: hip flexion three"

    # -- targets ------------------------------------------------------------------------

    def _target(self, unit: Unit, i: int) -> None:
        target, cur = target_of(unit), self._cur
        if target is None:
            return
        if opening.names_again(cur, target):
            self._built.keep(unit)
        elif opening.says_how(cur, target):
            unit.readings = {_scale_of(target): target.term.implies or ""}
            self._grade(unit, i)
        elif target.muscle and opening.names_a_place(self._units, i, cur, target):
            unit.sort = "place"
            self._place(unit, i)
        elif target.muscle and (
            opening.lists_reflexes(cur, unit)
            or opening.lists_more_jerks(cur, unit)
            or (self._built.topic == "reflex" and not self._power_named())
        ):
            self._named(as_reflex(target), i)
        else:
            self._named(target, i)

    def _power_named(self) -> bool:
        return any(t.modality == "power" and t.generic for t in self._cur.targets)

    def _named(self, target: Target, i: int) -> None:
        """Add a target to the open statement, or open another with it."""
        cur, unit = self._cur, target.unit
        ungraded = not cur.own_targets and cur.grade is None
        if not cur.headed or (ungraded and not cur.grade_first):
            if ungraded:
                cur.targets, cur.own_targets = [], True
            self._join_or_open(target, i)
        elif not cur.targets:
            if opening.lists_what(self._units, i, cur):
                cur.grade_first = True  # "the arms are normal, I mean tone and power"
            else:
                remark = unit.comma and bool(cur.places) and leading.has_own_grade(self._units, i)
                apart = unit.comma and set(unit.gap) != {","}
                if remark or (apart and not opening.names_it(cur, unit)):
                    self._built.close()  # "the legs are weak, hip flexion three"
            self._built.add_target(target)
        elif opening.specifies(cur, target):
            self._built.absorb(target)
        elif opening.continues_list(self._units, i, cur, target) or opening.named_as_well(
            self._units, i, cur, target
        ):
            self._built.add_target(target)
        else:
            self._built.close()
            self._built.add_target(target)

    def _join_or_open(self, target: Target, i: int) -> None:
        cur, unit = self._cur, target.unit
        if target.modality == "reflex" and not target.generic and (unit.joined or unit.comma):
            self._built.convert_list(unit)
        if not cur.targets:
            self._built.add_target(target)
        elif opening.complete(self._units, i, cur):
            goes_on = cur.targets[0].unit.there_is and (unit.joined or unit.comma)
            if goes_on and target.is_sign and not leading.has_own_grade(self._units, i):
                unit.there_is = True  # "dysmetria on both sides and rebound on both sides"
            self._built.close()
            self._built.add_target(target)
        elif absorbs(cur.targets[-1], target):
            self._built.absorb(target)
        elif opening.coordinated(cur, target):
            self._built.add_target(target)
        else:
            self._built.close()
            self._built.add_target(target)

    # -- places, sides, levels ----------------------------------------------------------

    def _place(self, unit: Unit, i: int) -> None:
        cur = self._cur
        if opening.says_how_far(cur, unit):
            self._built.keep(unit)
            return
        spoken = opening.speaks_of_reflexes(cur)
        jerk = place_as_reflex(unit) if spoken or self._built.topic == "reflex" else None
        if jerk is not None and all(t.modality == "reflex" for t in cur.targets):
            asserted = cur.headed and cur.own_targets and bool(cur.targets)
            if asserted and not cur.generic_only:
                if opening.starts_next(self._units, i) or not unit.joined:
                    self._built.close()
            elif cur.generic_only:
                cur.targets = []
            self._built.add_target(jerk)
            return
        if opening.names_muscles(cur, unit):
            term = next(t for t in unit.terms if t.kind == "segment")
            self._built.add_target(Target("power", term.code, term, unit))
            return
        if opening.asserts_before(cur, unit) or (
            cur.headed
            and (opening.starts_next(self._units, i) or opening.places_in_turn(self._units, i, cur))
        ):
            self._built.close()
        self._cur.places.append(unit)
        self._built.keep(unit)

    def _side(self, unit: Unit, i: int) -> None:
        if opening.side_starts_next(self._units, i, self._cur):
            self._built.close()
        self._cur.sides.append(unit)
        self._built.keep(unit)

    # -- grades -------------------------------------------------------------------------

    def _grade(self, unit: Unit, i: int) -> None:
        cur = self._cur
        if leading.asserted_elsewhere(unit, cur):
            self._built.close(inherit=True)
            self._built.set_grade(unit)
            return
        leads = leading.leads(self._units, i, cur)
        apart = unit.comma or unit.joined
        if cur.grade is None and cur.status is None:
            self._first_grade(unit, leads, apart)
        elif leads and apart:
            self._built.close()
            self._built.set_grade(unit, first=True)
        elif (merge := leading.merge(unit, cur)) != "other" and not (
            merge == "betters" and cur.located and opening.located_after(self._units, i)
        ):
            if merge == "betters":
                cur.grade = unit
            elif merge == "confirms" and leading.is_doubled(unit, cur):
                cur.doubled = True
            if merge != "repeats":
                self._built.keep(unit)
        elif leads:
            self._built.close()
            self._built.set_grade(unit, first=True)
        elif compatible(unit, cur.targets) or not cur.targets:
            self._built.close(inherit=True)
            self._built.set_grade(unit)
        elif opening.located_next(self._units, i):
            self._built.close()  # "…, scissoring of the legs": of something else
            self._built.set_grade(unit)

    def _first_grade(self, unit: Unit, leads: bool, apart: bool) -> None:
        """A grade where the open statement has none yet."""
        cur = self._cur
        if cur.targets and compatible(unit, cur.targets):
            if leads and apart:
                self._built.close()
                self._built.set_grade(unit, first=True)
            else:
                self._built.set_grade(unit)
        elif leads:
            if cur.targets:
                self._built.close()
            self._built.set_grade(unit, first=True)
        elif not cur.targets:
            self._built.inherit()
            fits = cur.targets and compatible(unit, cur.targets)
            if fits or not any(s.targets for s in self._built.done):
                self._built.set_grade(unit)
            else:
                cur.targets, cur.own_targets, cur.inherited = [], True, None

    def _none(self, unit: Unit, i: int) -> None:
        cur, after = self._cur, following(self._units, i)
        elsewhere = after is not None and after.sort in ("side", "place") and not after.comma
        if elsewhere and cur.located and not cur.headed:
            for target in cur.targets:  # "rigidity at the right wrist and none at the left"
                target.unit.there_is = True
        self._built.close(inherit=True)
        unit.readings = {"presence": "absent", "sign": "absent", "reflex": "absent"}
        self._built.set_grade(unit)

    def _status(self, unit: Unit, i: int) -> None:
        cur, leads = self._cur, leading.leads_status(self._units, i)
        open_target = bool(cur.targets) and cur.own_targets and not cur.headed
        if not open_target and (cur.headed or leads):
            self._built.close()
            if not leads:
                self._built.inherit()
        elif not cur.targets and not leads:
            self._built.inherit()
        elif open_target and leads and unit.comma:
            self._built.close()
        self._cur.status = unit
        self._cur.grade_first = leads and not self._cur.targets
        self._built.keep(unit)

    # -- steering words -----------------------------------------------------------------

    def _throughout(self, unit: Unit, i: int) -> None:
        self._cur.throughout = True
        self._built.keep(unit)

    def _all_those(self, unit: Unit, i: int) -> None:
        if self._cur.headed or self._cur.targets:
            self._built.close()
        self._cur.all_those = True
        self._built.keep(unit)

    def _part(self, unit: Unit, i: int) -> None:
        after = self._units[i + 1] if i + 1 < len(self._units) else None
        if self._cur.headed and after is not None and after.sort == "target" and not after.comma:
            self._built.close()  # "…, distal power five"
        self._cur.part = unit.codes[0]
        self._built.keep(unit)

    def _symmetric(self, unit: Unit, i: int) -> None:
        self._cur.symmetric = True
        self._built.keep(unit)

    def _except(self, unit: Unit, i: int) -> None:
        self._built.except_from()

    def _otherwise(self, unit: Unit, i: int) -> None:
        if opening.says_rest(self._units, i, self._cur):
            self._cur.otherwise = True  # "…, intact elsewhere"
            return
        if not self._cur.empty:
            self._built.close()
        self._cur.otherwise = True

    def _same(self, unit: Unit, i: int) -> None:
        if self._cur.headed:
            self._built.close()
        self._cur.same = True
        self._built.keep(unit)

    def _pass(self, unit: Unit, i: int) -> None:
        """What is taken back is the business of the walk over the narration."""


def _scale_of(target: Target) -> str:
    return load().vocabulary.modalities[target.modality].scale


_READERS: Mapping[UnitSort, Callable[[_Parser, Unit, int], None]] = {
    "target": _Parser._target,
    "place": _Parser._place,
    "level": _Parser._place,
    "side": _Parser._side,
    "grade": _Parser._grade,
    "none": _Parser._none,
    "status": _Parser._status,
    "throughout": _Parser._throughout,
    "all_those": _Parser._all_those,
    "part": _Parser._part,
    "symmetric": _Parser._symmetric,
    "except": _Parser._except,
    "otherwise": _Parser._otherwise,
    "same": _Parser._same,
    "correction": _Parser._pass,
    "retract": _Parser._pass,
    "other_way": _Parser._pass,
}
