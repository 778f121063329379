"""From units to statements: which grade belongs to which targets, places and sides.

Examiners name the target first ("ankle jerk absent"), the grade first ("mild wasting of the
calf"), or go on from what stands ("absent on the left, present on the right"). One pass over
the units of an utterance keeps one open statement; a unit either fills it or closes it. A
statement that names no target of its own takes over the one before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from ...lexicon import Term, load
from .grading import grade_of
from .units import Unit

_PREPOSITIONS = frozenset(
    "in at over of on from to for around across along down within about".split()
)
_LIST_WORDS = frozenset(", and or nor plus as well also both the a an then".split())
#: What a joint or a muscle is called when its jerk is meant.
REFLEX_OF_PLACE = {"knee": "knee_jerk", "ankle": "ankle_jerk"}
REFLEX_OF_MOVEMENT = {
    "elbow_flexion": "biceps_jerk", "elbow_extension": "triceps_jerk",
    "knee_extension": "knee_jerk", "ankle_plantarflexion": "ankle_jerk",
    "hip_adduction": "adductor_jerk", "finger_flexion": "finger_jerk",
}  # fmt: skip


@dataclass
class Target:
    """What is examined: a modality, and the segment that its own name gives."""

    modality: str
    segment: str | None
    term: Term
    unit: Unit
    muscle: bool = False

    @property
    def generic(self) -> bool:
        """Whether it names a modality without a place ("power", "reflexes")."""
        return self.segment is None

    @property
    def is_sign(self) -> bool:
        """Whether naming it can assert it: something that is there or not."""
        scale = load().vocabulary.modalities[self.modality].scale
        return scale in ("presence", "sign")

    @property
    def own(self) -> str | None:
        """The scale of its own that the term has."""
        return self.term.scale


@dataclass
class Statement:
    """One assertion, its parts still as spoken."""

    targets: list[Target] = field(default_factory=list)
    places: list[Unit] = field(default_factory=list)
    sides: list[Unit] = field(default_factory=list)
    grade: Unit | None = None
    status: Unit | None = None
    grade_first: bool = False
    throughout: bool = False
    symmetric: bool = False
    otherwise: bool = False
    exception: bool = False
    same: bool = False
    part: str = ""
    all_those: bool = False
    heading: bool = False
    inherited: Statement | None = None
    own_targets: bool = True
    units: list[Unit] = field(default_factory=list)

    @property
    def headed(self) -> bool:
        """Whether something is asserted already."""
        return self.grade is not None or self.status is not None or self._self_headed

    @property
    def _self_headed(self) -> bool:
        return bool(self.targets) and any(
            t.unit.negated or t.term.implies for t in self.targets if self.own_targets
        )

    @property
    def empty(self) -> bool:
        """Whether nothing was said yet."""
        return not (
            self.targets or self.places or self.sides or self.headed or self.same or self.all_those
        )


def targets_of(unit: Unit) -> list[Target]:
    """What a target unit can stand for, the likeliest reading only."""
    vocabulary = load().vocabulary
    for term in unit.terms:
        if term.kind == "segment" and vocabulary.segment_kinds[term.codes[0]][0] == "reflex":
            return [Target("reflex", term.code, term, unit)]
    for term in unit.terms:
        if term.kind == "modality":
            segment = "none" if not vocabulary.modalities[term.code].takes_place else term.segment
            return [Target(term.code, segment, term, unit)]
    for term in unit.terms:
        if term.kind == "segment":
            return [Target("power", term.code, term, unit)]
    for term in unit.terms:
        if term.kind == "muscle":
            return [Target("power", term.code, term, unit, muscle=True)]
    return []


def compatible(grade: Unit, targets: Sequence[Target]) -> bool:
    """Whether the grade says something of one of the targets at least."""
    if any(grade_of(grade, t.modality, own=t.own) is not None for t in targets):
        return True
    # "biceps two plus" is a jerk: power has no such grade.
    return any(t.muscle and grade_of(grade, "reflex") is not None for t in targets)


def statements_of(units: Sequence[Unit], *, topic: str | None = None) -> list[Statement]:
    """The statements of one utterance; ``topic`` is the modality under which it stands."""
    return _Parser(units, topic).parse()


class _Parser:
    def __init__(self, units: Sequence[Unit], topic: str | None):
        self._units = units
        self._topic = topic
        self._cur = Statement()
        self._done: list[Statement] = []
        self._excepting = False

    def parse(self) -> list[Statement]:
        for i, unit in enumerate(self._units):
            if unit.colon and not self._cur.empty:
                remark = self._cur.grade is not None and not self._cur.targets
                if not self._cur.headed:
                    self._close(heading=True)
                elif remark:  # "The legs are weak: hip flexion three"
                    self._close()
            read = getattr(self, f"_{unit.sort}")
            read(unit, i)
        self._close()
        return self._done

    # -- opening and closing ------------------------------------------------------------

    def _close(self, *, heading: bool = False, inherit: bool = False) -> None:
        cur = self._cur
        first = cur.targets[0] if cur.targets else None
        if first is not None and any(self._absorbs(first, t) for t in cur.targets[1:]):
            cur.targets = cur.targets[1:]  # "reflexes: biceps and triceps …"
        if not cur.empty or cur.otherwise:
            cur.heading = heading
            if heading and cur.targets:
                self._topic = cur.targets[0].modality
            self._done.append(cur)
        self._cur = Statement(exception=self._excepting)
        if self._excepting:
            self._cur.inherited = next(
                (s for s in self._done if s.targets and not s.exception), None
            )
        if inherit:
            self._inherit()

    def _inherit(self) -> None:
        """Take over the targets of the last statement that has some."""
        for before in reversed(self._done):
            if before.targets:
                self._cur.targets = list(before.targets)
                self._cur.inherited = before
                self._cur.own_targets = False
                return
        if self._done:  # the target is the heading's; the places are still these
            self._cur.inherited = self._done[-1]

    def _after(self, i: int, skip: tuple[str, ...] = ()) -> Unit | None:
        j = i + 1
        while j < len(self._units) and self._units[j].sort in skip:
            j += 1
        return self._units[j] if j < len(self._units) else None

    def _keep(self, unit: Unit) -> None:
        self._cur.units.append(unit)

    # -- targets ------------------------------------------------------------------------

    def _target(self, unit: Unit, i: int) -> None:
        targets = targets_of(unit)
        if not targets:
            return
        target, cur = targets[0], self._cur
        if cur.targets and cur.own_targets and target.generic and not unit.gap:
            if cur.targets[-1].modality == target.modality:  # "a high-arched deformity"
                self._keep(unit)
                return
        if self._grades_like(target, cur):
            scale = load().vocabulary.modalities[target.modality].scale
            unit.readings = {scale: target.term.implies or ""}
            self._grade(unit, i)
            return
        if target.muscle and self._names_a_place(target, unit):
            unit.sort = "place"
            self._place(unit, i)
            return
        if target.muscle and self._topic == "reflex" and not self._power_named():
            self._to_reflex(target)
        if not cur.headed or not cur.own_targets and not cur.grade_first and cur.grade is None:
            if not cur.own_targets and cur.grade is None:
                cur.targets, cur.own_targets = [], True
            self._join_or_open(target, unit, i)
        elif not cur.targets:
            if unit.comma and set(unit.gap) != {","}:
                self._close()
            self._add_target(target, unit)
        elif self._specifies(target, unit):
            self._absorb(target, unit)
        elif self._continues_list(unit, i) or self._named_as_well(target, unit, i):
            self._add_target(target, unit)
        else:
            self._close()
            self._add_target(target, unit)

    def _named_as_well(self, target: Target, unit: Unit, i: int) -> bool:
        """ "Sensation intact to light touch and pinprick"."""
        last = self._cur.units[-1] if self._cur.units else None
        return (
            unit.joined
            and last is not None
            and last is self._cur.targets[-1].unit
            and self._cur.grade is not None
            and self._cur.grade.end < last.start
            and load().vocabulary.group(target.modality)
            == load().vocabulary.group(self._cur.targets[-1].modality)
            and not self._has_own_grade(i)
        )

    def _join_or_open(self, target: Target, unit: Unit, i: int) -> None:
        cur = self._cur
        if target.modality == "reflex" and not target.generic:
            self._convert_list(unit)
        if not cur.targets:
            self._add_target(target, unit)
        elif self._complete(cur, unit, i):
            goes_on = cur.targets[0].unit.there_is and (unit.joined or unit.comma)
            if goes_on and target.is_sign and not self._has_own_grade(i):
                unit.there_is = True  # "dysmetria on both sides and rebound on both sides"
            self._close()
            self._add_target(target, unit)
        elif self._absorbs(cur.targets[-1], target):
            self._absorb(target, unit)
        elif self._coordinated(target, unit):
            self._add_target(target, unit)
        else:
            self._close()
            self._add_target(target, unit)

    def _grades_like(self, target: Target, cur: Statement) -> bool:
        """ "The knee jerks are hyperreflexic": a noun that only says how they are."""
        return bool(
            target.generic
            and target.term.implies
            and not target.unit.negated
            and cur.targets
            and cur.own_targets
            and not cur.headed
            and all(t.modality == target.modality and t.term.implies is None for t in cur.targets)
        )

    def _complete(self, cur: Statement, unit: Unit, i: int) -> bool:
        """Whether what stands asserts something by itself, and the new target is another's."""
        located = bool(cur.units) and cur.units[-1].sort in ("place", "side", "level")
        if self._self_sufficient(cur):
            return located or unit.negated or unit.there_is or self._has_own_grade(i)
        return located and not unit.joined and cur.units[0].sort == "target"

    def _add_target(self, target: Target, unit: Unit) -> None:
        if not self._cur.own_targets:
            self._cur.targets, self._cur.own_targets = [], True
        self._cur.targets.append(target)
        self._keep(unit)

    def _absorbs(self, general: Target, target: Target) -> bool:
        if general.modality == "sensation" and target.modality != "sensation":
            return load().vocabulary.group(target.modality) == "sensation"
        return general.generic and not target.generic and general.modality == target.modality

    def _absorb(self, target: Target, unit: Unit) -> None:
        general = self._cur.targets.pop()
        if general.term.implies and not target.term.implies:
            target.term = _with_implied(target.term, general.term.implies)
        target.unit.negated = target.unit.negated or general.unit.negated
        target.unit.there_is = target.unit.there_is or general.unit.there_is
        target.unit.side = target.unit.side or general.unit.side
        self._add_target(target, unit)

    def _specifies(self, target: Target, unit: Unit) -> bool:
        """ "Strength five in the deltoids": the place of the general word before."""
        cur = self._cur
        named = all(self._absorbs(t, target) or self._is_muscle_of(t, target) for t in cur.targets)
        if not named:
            return False
        if (
            cur.units
            and cur.units[-1].sort in ("target", "place")
            and unit.joined
            and not cur.targets[0].generic
        ):
            return False
        return bool(_PREPOSITIONS & set(unit.gap)) and not unit.comma

    def _is_muscle_of(self, general: Target, target: Target) -> bool:
        return general.generic and general.modality == "reflex" and target.muscle

    def _coordinated(self, target: Target, unit: Unit) -> bool:
        last = self._cur.targets[-1]
        group = load().vocabulary.group
        if unit.there_is and not unit.joined:
            return False
        if group(last.modality) == group(target.modality):
            return True
        return unit.joined or (unit.comma and set(unit.gap) <= _LIST_WORDS)

    def _continues_list(self, unit: Unit, i: int) -> bool:
        """ "No wasting, fasciculation or tremor": one grade before a list."""
        cur = self._cur
        leads = cur.grade_first or any(t.unit.negated for t in cur.targets)
        if not leads or not (unit.comma or unit.joined) or unit.negated or unit.there_is:
            return False
        if cur.places and not unit.joined:
            return False
        target = targets_of(unit)[0]
        if cur.grade is not None and (target.term.implies or target.term.segment):
            return False
        return not self._has_own_grade(i)

    def _has_own_grade(self, i: int) -> bool:
        for j in range(i + 1, len(self._units)):
            unit = self._units[j]
            if unit.sort == "target":
                return False
            if unit.sort in ("grade", "status", "none"):
                after = self._after(j)
                leads = (
                    after is not None
                    and after.sort == "target"
                    and not (after.comma or after.joined)
                    and (unit.comma or unit.joined)
                )
                return not leads
        return False

    def _convert_list(self, unit: Unit) -> None:
        """ "Biceps, knee and ankle jerks": the names before it are jerks as well."""
        if not (unit.joined or unit.comma):
            return
        cur = self._cur
        for target in cur.targets:
            if target.muscle:
                self._to_reflex(target)
                target.unit.plural = target.unit.plural or unit.plural
        for place in list(cur.places):
            converted = _place_as_reflex(place)
            if converted is not None:
                cur.places.remove(place)
                place.plural = place.plural or unit.plural
                cur.targets.append(converted)

    def _to_reflex(self, target: Target) -> None:
        reflex = reflex_of_muscle(target.term)
        if reflex is not None:
            target.modality, target.segment, target.muscle = "reflex", reflex, False

    def _power_named(self) -> bool:
        return any(t.modality == "power" and t.generic for t in self._cur.targets)

    def _names_a_place(self, target: Target, unit: Unit) -> bool:
        """ "Wasting of the quadriceps": the muscle is where, not what."""
        cur = self._cur
        group = load().vocabulary.group
        seen = [t for t in cur.targets if group(t.modality) == "inspection"]
        if not target.term.segment:
            return False
        if not seen:
            nxt = self._peek(unit)
            return bool(
                nxt is not None and not nxt.gap and nxt.sort == "target"
                and group(targets_of(nxt)[0].modality) == "inspection"
            )  # fmt: skip
        return bool(_PREPOSITIONS & set(unit.gap)) or (unit.joined and bool(cur.places))

    def _peek(self, unit: Unit) -> Unit | None:
        i = next((k for k, u in enumerate(self._units) if u is unit), None)
        return None if i is None else self._after(i)

    # -- places, sides, levels ----------------------------------------------------------

    def _place(self, unit: Unit, i: int) -> None:
        cur = self._cur
        if self._topic == "reflex" and not self._other_modality():
            converted = _place_as_reflex(unit)
            if converted is not None:
                if cur.headed and cur.own_targets and cur.targets and not _generic_only(cur):
                    if self._starts_next(unit, i) or not unit.joined:
                        self._close()
                elif _generic_only(cur):
                    cur.targets = []
                self._add_target(converted, unit)
                return
        if cur.headed and self._starts_next(unit, i):
            self._close()
        self._cur.places.append(unit)
        self._keep(unit)

    def _other_modality(self) -> bool:
        return any(t.modality != "reflex" for t in self._cur.targets)

    def _level(self, unit: Unit, i: int) -> None:
        self._place(unit, i)

    def _side(self, unit: Unit, i: int) -> None:
        cur = self._cur
        after = self._after(i)
        if cur.headed and after is not None:
            if after.sort == "grade" and not (after.comma or after.joined):
                if (unit.comma or unit.joined) and (cur.sides or _sided(cur)):
                    self._close()
            elif after.sort in ("target", "place") and (cur.sides or self._opened_by_side(unit)):
                if unit.comma or not after.comma:
                    self._close()
        self._cur.sides.append(unit)
        self._keep(unit)

    def _opened_by_side(self, unit: Unit) -> bool:
        first = self._units[0]
        return first.sort == "side" and first is not unit and "on" in unit.gap

    def _starts_next(self, unit: Unit, i: int) -> bool:
        """Whether a place after a grade is the subject of what follows."""
        after = self._after(i, ("place", "level"))
        if after is None:
            return False
        prepositional = bool(_PREPOSITIONS & set(unit.gap))
        if after.sort in ("grade", "none", "status"):
            if after.comma or (after.joined and not unit.comma):
                return False
            if prepositional and not unit.comma:
                return False
            beyond = self._after(self._units.index(after))
            if beyond is not None and beyond.sort in ("place", "level") and not unit.comma:
                if _PREPOSITIONS & set(beyond.gap) and not beyond.comma:
                    return False  # "reduced in the arm and leg, intact in …": it has its own
            return unit.comma or unit.joined
        if after.sort == "target":
            return unit.comma and not after.comma
        return False

    # -- grades -------------------------------------------------------------------------

    def _grade(self, unit: Unit, i: int) -> None:
        cur, after = self._cur, self._after(i)
        leads = self._leads(unit, after, i)
        if self._asserted_elsewhere(unit):
            self._close(inherit=True)
            self._set_grade(unit)
            return
        if cur.grade is None and cur.status is None:
            if cur.targets and compatible(unit, cur.targets):
                if leads and (unit.comma or unit.joined):
                    self._open_grade_first(unit)
                else:
                    self._set_grade(unit)
            elif leads:
                if cur.targets:
                    self._close()
                self._open_grade_first(unit, close=False)
            elif not cur.targets:
                self._inherit()
                if self._cur.targets and compatible(unit, self._cur.targets):
                    self._set_grade(unit)
                elif not any(s.targets for s in self._done):
                    self._set_grade(unit)
                else:
                    cur.targets, cur.own_targets, cur.inherited = [], True, None
            return
        if leads and (unit.comma or unit.joined):
            self._open_grade_first(unit)
        elif self._merges(unit):
            return
        elif leads:
            self._open_grade_first(unit)
        elif compatible(unit, cur.targets) or not cur.targets:
            self._close(inherit=True)
            self._set_grade(unit)

    def _asserted_elsewhere(self, unit: Unit) -> bool:
        """ "There was a tremor on the right, which was absent on the left"."""
        cur = self._cur
        return bool(
            cur.grade is None
            and cur.status is None
            and unit.comma
            and cur.targets
            and cur.own_targets
            and cur.targets[-1].unit.there_is
            and cur.targets[-1].is_sign
            and cur.units[-1].sort in ("side", "place")
            and compatible(unit, cur.targets)
            and {"absent", "normal"} & set(unit.readings.values())
        )

    def _set_grade(self, unit: Unit) -> None:
        self._cur.grade = unit
        self._keep(unit)

    def _open_grade_first(self, unit: Unit, *, close: bool = True) -> None:
        if close:
            self._close()
        self._cur.grade_first = True
        self._set_grade(unit)

    def _self_sufficient(self, cur: Statement) -> bool:
        return any(t.unit.negated or t.unit.there_is or t.term.implies for t in cur.targets)

    def _leads(self, unit: Unit, after: Unit | None, i: int) -> bool:
        """Whether the grade stands before its target ("mild wasting", "full power")."""
        if after is None or after.comma or after.colon or _points(unit):
            return False
        if after.sort == "place" and not _PREPOSITIONS & set(after.gap):
            beyond = self._after(i + 1)
            if beyond is None or beyond.sort != "target" or beyond.gap:
                return False
            after = beyond
        if after.sort != "target" or after.negated:
            return False
        if after.joined or {"is", "are", "was", "were"} & set(after.gap):
            return False
        targets = targets_of(after)
        if not compatible(unit, targets):
            return False
        cur = self._cur
        located = bool(cur.units) and cur.units[-1].sort in ("place", "side", "level")
        placed = located and cur.units[0].sort == "target" and unit.comma
        if (self._self_sufficient(cur) and (unit.comma or unit.joined)) or placed:
            return True
        if cur.targets and cur.own_targets and not cur.headed and compatible(unit, cur.targets):
            # "tone normal power five": the target before has no grade yet.
            return False
        nxt = self._after(i + 1)
        if not after.gap and nxt is not None and nxt.sort == "grade" and not nxt.comma:
            return not compatible(nxt, targets) or self._leads_plainly(unit)
        return True

    def _leads_plainly(self, unit: Unit) -> bool:
        return set(unit.readings) == {"presence"}

    def _merges(self, unit: Unit) -> bool:
        """ "Weak, four minus": two words for one grade; a number says more than a word."""
        cur = self._cur
        if cur.grade is None or not cur.targets:
            return False
        target = cur.targets[0]
        old = grade_of(cur.grade, target.modality, own=target.own)
        new = grade_of(unit, target.modality, own=target.own)
        last = cur.units[-1] if cur.units else None
        if _plainly_present(unit) and {"is", "are", "was", "were"} & set(unit.gap):
            # "mild wasting of the thigh is visible", "none was seen"
            if cur.grade.sort == "none" or (cur.grade_first and old is not None):
                return True
        adjacent = last is cur.grade or (cur.grade_first and last is target.unit)
        if not adjacent or not set(unit.gap) <= _LIST_WORDS | {
            "but",
            "only",
            "very",
            "quite",
            "to",
            "be",
            "at",
        }:
            return False
        if new is None:
            return True
        if old == new:
            self._keep(unit)
            return True
        if unit.number and not cur.grade.number and target.modality == "power":
            cur.grade = unit
            self._keep(unit)
            return True
        if old == "present" and new in ("mild", "moderate", "marked"):
            cur.grade = unit
            self._keep(unit)
            return True
        return old in ("mild", "moderate", "marked") and new == "present"

    def _none(self, unit: Unit, i: int) -> None:
        self._close(inherit=True)
        unit.readings = {"presence": "absent", "sign": "absent", "reflex": "absent"}
        self._cur.grade = unit
        self._keep(unit)

    def _status(self, unit: Unit, i: int) -> None:
        cur, after = self._cur, self._after(i)
        leads = (
            after is not None
            and after.sort == "target"
            and not after.comma
            and not {"but", "and"} & set(after.gap)
        )
        open_target = cur.targets and cur.own_targets and not cur.headed
        if not open_target and (cur.headed or leads):
            self._close()
            if not leads:
                self._inherit()
        elif not cur.targets and not leads:
            self._inherit()
        elif open_target and leads and unit.comma:
            self._close()
        self._cur.status = unit
        self._cur.grade_first = leads and not self._cur.targets
        self._keep(unit)

    # -- steering words -----------------------------------------------------------------

    def _throughout(self, unit: Unit, i: int) -> None:
        self._cur.throughout = True
        self._keep(unit)

    def _all_those(self, unit: Unit, i: int) -> None:
        if self._cur.headed or self._cur.targets:
            self._close()
        self._cur.all_those = True
        self._keep(unit)

    def _part(self, unit: Unit, i: int) -> None:
        self._cur.part = unit.codes[0]
        self._keep(unit)

    def _symmetric(self, unit: Unit, i: int) -> None:
        self._cur.symmetric = True
        self._keep(unit)

    def _except(self, unit: Unit, i: int) -> None:
        self._excepting = True
        self._close()

    def _otherwise(self, unit: Unit, i: int) -> None:
        if not self._cur.empty:
            self._close()
        self._cur.otherwise = True

    def _same(self, unit: Unit, i: int) -> None:
        if self._cur.headed:
            self._close()
        self._cur.same = True
        self._keep(unit)

    def _correction(self, unit: Unit, i: int) -> None:
        return

    def _retract(self, unit: Unit, i: int) -> None:
        return

    def _other_way(self, unit: Unit, i: int) -> None:
        return


def _points(unit: Unit) -> bool:
    """Up and down say how something is, never what it is ("woke up with …")."""
    return set(unit.readings) == {"plantar", "tone"}


def _plainly_present(unit: Unit) -> bool:
    return not unit.negated and unit.readings.get("presence") == "present"


def _generic_only(statement: Statement) -> bool:
    return bool(statement.targets) and all(t.generic for t in statement.targets)


def _sided(statement: Statement) -> bool:
    return any(p.side for p in statement.places) or any(t.unit.side for t in statement.targets)


def _with_implied(term: Term, implies: str) -> Term:
    from dataclasses import replace

    return replace(term, implies=implies)


def reflex_of_muscle(term: Term) -> str | None:
    """The jerk that is called after a muscle."""
    if "brachioradialis" in term.spoken:
        return "supinator_jerk"
    return REFLEX_OF_MOVEMENT.get(term.code)


def _place_as_reflex(unit: Unit) -> Target | None:
    for term in unit.terms:
        if term.kind == "segment" and term.code in REFLEX_OF_PLACE:
            return Target("reflex", REFLEX_OF_PLACE[term.code], term, unit)
        if term.kind == "muscle" and (reflex := reflex_of_muscle(term)):
            return Target("reflex", reflex, term, unit)
    return None
