"""Taught facts: a site and its level, a movement or a reflex and its root, a grade's meaning.

Claims are read from every kind of talk but impressions, since teaching wraps them in
instructions and explanations, and they are kept as spoken, even when wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...lexicon import load
from .kinds import OPENERS, Utterance
from .statements import Statement, compatible, targets_of
from .units import Unit

#: Nouns after a level that make it a lesion or a place in the spine, not a claim.
_LESION = frozenset(
    "radiculopathy root lesion level cord vertebra disc radiculopathies palsy".split()
)
_LIST = frozenset([",", "and", "or", "the", "also", "both", "a"])
_SERVING = frozenset(
    "after supplies serves does covers gives is for moves drives carries feeds does mediates".split()
)
#: A taught site or root has a few levels; a longer run is a finding.
_CLAIM_LEVELS = 3
_TIE = frozenset(["that", "thats", "which", "ie", "called", "is"])
_ANAPHORA = frozenset("that thats this it its one same".split())
_DEFINING = frozenset(
    "is means mean moves beats goes would be being was lifts overcomes holds gives stands says "
    "shows has nothing only just and you gets".split()
)


@dataclass(frozen=True)
class ClaimDraft:
    """A claim and the atoms that it was read from."""

    kind: str
    subject: str
    value: str
    start: int
    end: int


@dataclass(frozen=True)
class _Subject:
    kind: str
    code: str
    start: int
    end: int


class ClaimReader:
    """Reads the claims of one utterance after another; remembers what was spoken of."""

    def __init__(self) -> None:
        self._before: list[_Subject] = []
        self._age = 0

    def read(
        self, utterance: Utterance, units: Sequence[Unit], statements: Sequence[Statement]
    ) -> list[ClaimDraft]:
        """The claims of ``utterance``."""
        used = _levels_in_findings(utterance, statements)
        self._age += 1
        graded = any(u.sort == "grade" and u.number for u in units)
        subjects: list[_Subject] = []
        out: list[ClaimDraft] = []
        last_levels: list[Unit] = []
        fresh = False
        passed = -1
        for i, unit in enumerate(units):
            found = [] if i == passed else _subjects(unit)
            if found:
                if "so" in unit.gap and last_levels and {"is", "are", "does"} & set(unit.gap):
                    out += _claims(found, last_levels[-1])
                if fresh or not _continues(unit):
                    subjects = _prefer(subjects, found, fresh)
                else:
                    subjects = _join(subjects, found)
                fresh = False
                continue
            if unit.sort != "level" or _of_lesion(utterance, unit) or _is_finding(units, i):
                continue
            if id(unit) in used:
                tied = _tied_site(utterance, units, i)
                if tied is not None:
                    out += _claims([tied], unit)
                continue
            if not subjects and (ahead := _looks_ahead(units, i)):
                out += _claims(ahead, unit)
                last_levels.append(unit)
                passed = i + 1
                continue
            if unit.kind in ("impression", "history", "another_patient") or "not" in unit.gap:
                continue
            about = subjects
            if not about and not graded and (last_levels or _refers(utterance, unit, self._age)):
                about = self._before
            out += _claims(about, unit)
            last_levels.append(unit)
            fresh = True
        if subjects:
            self._before, self._age = subjects, 0
        return list(dict.fromkeys(out))


def _subjects(unit: Unit) -> list[_Subject]:
    if unit.sort == "target":
        targets = targets_of(unit)
        if targets and targets[0].segment and targets[0].modality in ("power", "reflex"):
            kind = "myotome" if targets[0].modality == "power" else "reflex_root"
            return [_Subject(kind, targets[0].segment, unit.start, unit.end)]
    if unit.sort == "place":
        for term in unit.terms:
            if term.kind == "segment" and term.code in load().vocabulary.segments["region"]:
                if term.code not in ("upper_limb", "lower_limb", "trunk", "neck"):
                    return [_Subject("dermatome", term.code, unit.start, unit.end)]
    return []


def _continues(unit: Unit) -> bool:
    return set(unit.gap) <= _LIST


def _join(old: list[_Subject], new: list[_Subject]) -> list[_Subject]:
    if old and old[-1].kind == new[0].kind:
        return [*old, *(s for s in new if s.code not in {o.code for o in old})]
    return _prefer(old, new, False)


def _prefer(old: list[_Subject], new: list[_Subject], fresh: bool) -> list[_Subject]:
    """A movement or a reflex stays the subject when a mere place is named after it."""
    if not fresh and old and old[0].kind != "dermatome" and new[0].kind == "dermatome":
        return old
    return new


def _claims(subjects: Sequence[_Subject], level: Unit) -> list[ClaimDraft]:
    return [
        ClaimDraft(s.kind, s.code, code, min(s.start, level.start), max(s.end, level.end))
        for s in subjects
        for code in level.codes
    ]


def _refers(utterance: Utterance, unit: Unit, age: int) -> bool:
    """Whether a level without a subject goes on from the utterance before."""
    head = utterance.texts[utterance.start : unit.start]
    if _ANAPHORA & set(head):
        return age <= 2
    return age <= 1 and all(t in OPENERS for t in head)


def _is_finding(units: Sequence[Unit], i: int) -> bool:
    """ "Reduced at T10, absent from T11 to S5": said of a child, whatever was examined."""
    graded = i > 0 and units[i - 1].sort == "grade" and {"at", "from"} & set(units[i].gap)
    return bool(graded) or len(units[i].codes) > _CLAIM_LEVELS


def _looks_ahead(units: Sequence[Unit], i: int) -> list[_Subject]:
    """ "C eight looks after the little finger": the level stands before its site."""
    if i + 1 >= len(units):
        return []
    after = units[i + 1]
    return _subjects(after) if _SERVING & set(after.gap) and not after.comma else []


def _of_lesion(utterance: Utterance, unit: Unit) -> bool:
    after = utterance.texts[unit.end : unit.end + 1]
    return bool(after) and after[0] in _LESION


def _levels_in_findings(utterance: Utterance, statements: Sequence[Statement]) -> set[int]:
    used: set[int] = set()
    for statement in statements:
        if not statement.headed or statement.heading or not statement.targets:
            continue
        if statement.grade is not None and not compatible(statement.grade, statement.targets):
            continue
        for place in statement.places:
            if place.sort == "level":
                used.add(id(place))
    return used


def _tied_site(utterance: Utterance, units: Sequence[Unit], i: int) -> _Subject | None:
    """ "Over the thumb, that is C six, reduced": the site and its level are a claim too."""
    unit = units[i]
    if i == 0 or units[i - 1].sort != "place" or not _TIE & set(unit.gap):
        return None
    found = _subjects(units[i - 1])
    return found[0] if found else None
