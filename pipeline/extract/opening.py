"""Whether a target, a place or a side belongs to the open statement or opens another one.

Small decisions over the units of an utterance, the number of the unit in hand and the
statement that is open. They change nothing; the parser acts on them.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import load
from ...lexicon.words import load_words
from .leading import has_own_grade
from .statement import Statement, Target
from .targets import absorbs, same_group, target_of
from .units import Unit, following, next_at


def names_again(cur: Statement, target: Target) -> bool:
    """A second word for what was just named ("a high-arched deformity")."""
    return bool(
        cur.targets
        and cur.own_targets
        and target.generic
        and not target.unit.gap
        and cur.targets[-1].modality == target.modality
    )


def says_how(cur: Statement, target: Target) -> bool:
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


def names_a_place(units: Sequence[Unit], i: int, cur: Statement, target: Target) -> bool:
    """ "Wasting of the quadriceps": the muscle is where, not what."""
    if not target.term.segment:
        return False
    group, unit = load().vocabulary.group, units[i]
    if any(group(t.modality) == "inspection" for t in cur.targets):
        return unit.gap_has(load_words().prepositions) or (unit.joined and bool(cur.places))
    after = following(units, i)
    if after is None or after.gap or after.sort != "target":
        return False
    seen = target_of(after)
    return seen is not None and group(seen.modality) == "inspection"


def specifies(cur: Statement, target: Target) -> bool:
    """ "Strength five in the deltoids": the place of the general word before."""
    unit = target.unit
    if not all(absorbs(t, target) or _is_muscle_of(t, target) for t in cur.targets):
        return False
    listed = cur.last is not None and cur.last.sort in ("target", "place") and unit.joined
    if listed and not cur.targets[0].generic:
        return False
    tied = unit.gap_has(load_words().prepositions) or "with" in unit.gap
    if not unit.gap and cur.last is cur.grade:  # "strength 4+/5 left iliopsoas"
        listed = cur.targets[0].modality in ("power", "reflex") and cur.targets[0].generic
        tied = listed or cur.targets[0].modality == "sensation"
    return tied and not unit.comma


def _is_muscle_of(general: Target, target: Target) -> bool:
    return general.generic and general.modality == "reflex" and target.muscle


def continues_list(units: Sequence[Unit], i: int, cur: Statement, target: Target) -> bool:
    """ "No wasting, fasciculation or tremor": one grade before a list."""
    unit = units[i]
    leads = cur.grade_first or any(t.unit.negated for t in cur.targets)
    apart = bool(unit.gap) and not (unit.comma or unit.joined)
    if not leads or apart or unit.negated or unit.there_is:
        return False
    if cur.places and not unit.joined and cur.units[0].sort != "place":
        return False
    if cur.grade is not None and (target.term.implies or target.term.segment):
        return False
    return not has_own_grade(units, i)


def named_as_well(units: Sequence[Unit], i: int, cur: Statement, target: Target) -> bool:
    """ "Sensation intact to light touch, pinprick and vibration"."""
    last = cur.last
    return (
        (target.unit.joined or target.unit.comma)
        and load_words().list_words.issuperset(target.unit.gap)
        and last is not None
        and last is cur.targets[-1].unit
        and cur.grade is not None
        and cur.grade.end < last.start
        and same_group(target, cur.targets[-1])
        and not has_own_grade(units, i)
    )


def complete(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """Whether what stands asserts something by itself, and the new target is another's."""
    unit = units[i]
    if cur.self_sufficient:
        return cur.located or unit.negated or unit.there_is or has_own_grade(units, i)
    return cur.located and not unit.joined and cur.units[0].sort == "target"


def coordinated(cur: Statement, target: Target) -> bool:
    """Whether a target is listed beside the last one, to share what is said of it."""
    unit = target.unit
    if unit.there_is and not unit.joined:
        return False
    if unit.negated and not cur.targets[0].unit.negated and not (unit.joined or unit.comma):
        return False
    if same_group(cur.targets[-1], target):
        return True
    return unit.joined or (unit.comma and load_words().list_words.issuperset(unit.gap))


def starts_next(units: Sequence[Unit], i: int) -> bool:
    """Whether a place after a grade is the subject of what follows."""
    unit, prepositions = units[i], load_words().prepositions
    at = next_at(units, i, skip=("place", "level"))
    if at is None:
        return False
    after = units[at]
    if after.sort in ("grade", "none", "status"):
        if after.comma or (after.joined and not unit.comma):
            return False
        if unit.gap_has(prepositions) and not unit.comma:
            words = load_words()
            return unit.joined and after.gap_has(words.copulas | words.anaphora)  # "… it is fine"
        beyond = following(units, at)
        if beyond is not None and beyond.sort == "side" and _opposed(unit, beyond):
            return False  # "absent at the right ankle, normal on the left"
        if beyond is not None and beyond.sort in ("place", "level") and not unit.comma:
            own_place = beyond.gap_has(prepositions) and not beyond.comma
            if own_place:
                return False  # "reduced in the arm and leg, intact in …": it has its own
        return unit.comma or unit.joined
    return after.sort == "target" and unit.comma and not after.comma


def _opposed(unit: Unit, other: Unit) -> bool:
    return {unit.side, other.side} == {"left", "right"}


def asserts_before(cur: Statement, unit: Unit) -> bool:
    """ "There's rigidity at the right wrist, the left wrist is loose": not a list of places."""
    by_name = any(t.unit.there_is for t in cur.targets) and cur.grade is None
    apart = unit.comma and not unit.joined and not unit.gap_has(load_words().prepositions)
    return by_name and cur.located and apart and "the" in unit.gap


def names_muscles(cur: Statement, unit: Unit) -> bool:
    """ "Finger flexors and the intrinsics are five": muscles in a list of movements."""
    words = load_words()
    listed = unit.joined and not unit.gap_has(words.prepositions) and cur.grade is None
    power = bool(cur.targets) and all(t.modality == "power" for t in cur.targets)
    return (
        listed
        and power
        and cur.targets[-1].segment is not None
        and (any(t.code in words.muscle_places for t in unit.terms))
    )


def places_in_turn(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """ "Left ankle present right ankle absent": without marks, each place before its grade."""
    unit, at = units[i], next_at(units, i, skip=("place",))
    after = None if at is None else units[at]
    if after is None or after.sort != "grade" or after.comma or after.joined:
        return False
    if unit.gap and not load_words().determiners.issuperset(unit.gap):
        return False
    named = bool(cur.places) or any(not t.generic for t in cur.targets)
    return named and not cur.grade_first and cur.units[0].sort != "grade"


def grades_follow(units: Sequence[Unit], i: int) -> bool:
    """Whether a grade stands anywhere from unit ``i`` on."""
    return any(u.sort in ("grade", "status", "none") for u in units[i:])


def names_it(cur: Statement, unit: Unit) -> bool:
    """ "It's a little weak on the left, the dorsiflexion": what "it" was."""
    words = load_words()
    first = cur.units[0] if cur.units else None
    it = first is not None and first.gap_has(words.anaphora)
    return it and not cur.places and (words.determiners | {",", "there"}).issuperset(unit.gap)


def lists_what(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """ "The arms are all normal: tone, power and reflexes": what the grade was said of."""
    unit, words = units[i], load_words()
    apart = unit.comma and not unit.gap_has(words.namely)
    return cur.grade is not None and bool(cur.places) and not (apart or grades_follow(units, i))


def says_how_far(cur: Statement, unit: Unit) -> bool:
    """ "A stocking up to the knees": how far the place before reaches."""
    words = load_words()
    return (
        bool(cur.places)
        and unit.gap_has(words.extents)
        and any(t.code in words.outgrown_places for t in cur.places[-1].terms)
    )


def speaks_of_reflexes(cur: Statement) -> bool:
    """Whether a joint named next is a jerk ("reflexes absent at the knee and ankle")."""
    if not cur.targets or any(t.modality != "reflex" for t in cur.targets):
        return False
    return cur.generic_only or any(
        t.unit.sort == "place" or t.term.kind == "muscle" for t in cur.targets
    )


def lists_more_jerks(cur: Statement, unit: Unit) -> bool:
    """ "Reflexes two plus in the biceps, triceps": the list after the grade goes on."""
    if cur.grade is None or not cur.targets:
        return False
    if cur.generic_only and cur.targets[0].modality == "reflex" and not unit.comma:
        return cur.headed and (unit.gap_has(load_words().prepositions) or not unit.gap)
    if cur.last is not cur.targets[-1].unit:
        return False
    jerks = all(t.modality == "reflex" and t.segment is not None for t in cur.targets)
    return jerks and cur.grade.end <= cur.last.start and (unit.joined or unit.comma)


def lists_reflexes(cur: Statement, unit: Unit) -> bool:
    """ "Reflexes biceps two plus": the muscle right after is a jerk."""
    if not cur.targets or cur.headed or any(t.modality != "reflex" for t in cur.targets):
        return False
    last = cur.targets[-1]
    if cur.last is not last.unit:
        return False
    jerk = last.term.kind == "muscle"  # "… biceps, triceps": the list goes on
    return (jerk and (unit.joined or unit.comma or not unit.gap)) or (last.generic and not unit.gap)


def says_rest(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """Whether "elsewhere" belongs to the grade before it ("reduced at C6, intact elsewhere")."""
    after = following(units, i)
    ended = after is None or after.comma or after.sort == "target"
    return ended and cur.grade is not None and cur.last is cur.grade and not cur.own_targets


def located_after(units: Sequence[Unit], i: int) -> bool:
    """Whether a side or a place follows grade ``i`` at once ("…, four on the left")."""
    after = following(units, i)
    return after is not None and after.sort in ("side", "place") and not after.comma


def located_next(units: Sequence[Unit], i: int) -> bool:
    """Whether a place is tied to grade ``i``."""
    after = following(units, i)
    tied = after is not None and after.sort == "place" and not after.comma
    return tied and after is not None and after.gap_has(load_words().prepositions)


def side_starts_next(units: Sequence[Unit], i: int, cur: Statement) -> bool:
    """Whether a side after an assertion is said of what follows."""
    unit, after = units[i], following(units, i)
    if not cur.headed or after is None:
        return False
    told = after.gap_has(load_words().copulas)  # "…, the right is solid, five"
    if after.sort == "grade" and (told or not (after.comma or after.joined)):
        return (unit.comma or unit.joined) and (bool(cur.sides) or cur.sided)
    if after.sort in ("target", "place") and (cur.sides or _opened_by_side(units, unit)):
        return unit.comma or not after.comma
    return False


def _opened_by_side(units: Sequence[Unit], unit: Unit) -> bool:
    """Whether the utterance opened with a side, and another one follows ("…, on the left")."""
    first = units[0]
    return first.sort == "side" and first is not unit and "on" in unit.gap
