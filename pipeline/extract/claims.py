"""Taught facts: a site and its level, a movement or a reflex and its root, a grade's meaning.

Claims are read from every kind of talk but impressions, since teaching wraps them in
instructions and explanations, and they are kept as spoken, even when wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from ...lexicon import load
from ...lexicon.words import load_words
from .kinds import Utterance
from .statement import Statement
from .targets import as_reflex, compatible, place_as_reflex, target_of
from .units import Unit, following

#: A taught site or root has a few levels; a longer run is a finding.
_CLAIM_LEVELS = 3
#: How many utterances back "that" and a bare level may refer.
_REFERRED = 2
_GOES_ON = 1

ClaimKind = Literal["dermatome", "myotome", "reflex_root", "grade_meaning"]


@dataclass(frozen=True)
class ClaimDraft:
    """A claim and the atoms that it was read from."""

    kind: ClaimKind
    subject: str
    value: str
    start: int
    end: int


@dataclass(frozen=True)
class _Subject:
    kind: ClaimKind
    code: str
    start: int
    end: int


class ClaimReader:
    """Reads the claims of one utterance after another; remembers what was spoken of."""

    def __init__(self) -> None:
        self._before: list[_Subject] = []
        self._age = 0
        #: the part of the examination that was named last
        self._topic: str | None = None

    def forget(self) -> None:
        """Let a level that follows refer to nothing said before."""
        self._before = []

    def read(
        self, utterance: Utterance, units: Sequence[Unit], statements: Sequence[Statement]
    ) -> list[ClaimDraft]:
        """The claims of ``utterance``."""
        used = _levels_in_findings(statements)
        so_verbs = load_words().so_verbs
        self._age += 1
        graded = any(u.sort == "grade" and u.number for u in units)
        subjects: list[_Subject] = []
        out: list[ClaimDraft] = []
        about_reflex = bool(self._before) and self._before[0].kind == "reflex_root"
        last: Unit | None = None  # the level before
        fresh = False
        passed = -1
        for i, unit in enumerate(units):
            self._topic = _general(unit) or self._topic
            found = None if i == passed else _subject(unit, self._topic)
            yours = utterance.texts[unit.start - 1 : unit.start] == ["your"]
            if found is not None and found.kind == "dermatome" and yours and about_reflex:
                continue  # "you put your thumb on the tendon, that's C5"
            if found is not None:
                so = "so" in unit.gap and unit.gap_has(so_verbs)
                if last is not None and (so or (i and units[i - 1].sort == "same")):
                    out += _claims([found], last)
                if fresh or not _continues(unit):
                    subjects = _prefer(subjects, found, fresh)
                else:
                    subjects = _join(subjects, found)
                fresh = False
                continue
            if unit.sort != "level" or _of_lesion(utterance, unit) or _is_finding(units, i):
                continue
            if id(unit) in used:
                out += _claims(_tied_site(units, i), unit)
                continue
            if not subjects and (ahead := _looks_ahead(units, i)):
                out += _claims(ahead, unit)
                last = unit
                passed = i + 1
                continue
            if unit.kind in ("impression", "history", "another_patient") or "not" in unit.gap:
                continue
            about = subjects
            if not about and not graded and (last or _refers(utterance, unit, self._age)):
                about = self._before
            out += _claims(about, unit)
            last = unit
            fresh = True
        if subjects:
            self._before, self._age = subjects, 0
        return list(dict.fromkeys(out))


def _general(unit: Unit) -> str | None:
    """The part of the examination that a unit names ("tendon reflexes")."""
    target = target_of(unit) if unit.sort == "target" else None
    general = target is not None and target.generic
    return target.modality if target is not None and general else None


def _subject(unit: Unit, topic: str | None = None) -> _Subject | None:
    """What a level can be taught of: a movement, a reflex or a site of the skin.

    ``topic`` is the part of the examination spoken of: "biceps" can be a muscle or a jerk.
    """
    jerk = place_as_reflex(unit) if topic == "reflex" and unit.sort == "place" else None
    if jerk is not None and jerk.segment is not None:
        return _Subject("reflex_root", jerk.segment, unit.start, unit.end)
    if unit.sort == "target":
        target = target_of(unit)
        if target is not None and target.muscle and topic == "reflex":
            target = as_reflex(target)
        if target is not None and target.segment and target.modality in ("power", "reflex"):
            kind: ClaimKind = "myotome" if target.modality == "power" else "reflex_root"
            return _Subject(kind, target.segment, unit.start, unit.end)
    if unit.sort == "place":
        regions, broad = load().vocabulary.segments["region"], load_words().broad_regions
        for term in unit.terms:
            if term.kind == "segment" and term.code in regions and term.code not in broad:
                return _Subject("dermatome", term.code, unit.start, unit.end)
    return None


def _continues(unit: Unit) -> bool:
    return load_words().claim_list_words.issuperset(unit.gap)


def _join(old: list[_Subject], new: _Subject) -> list[_Subject]:
    if old and old[-1].kind == new.kind:
        return old if any(o.code == new.code for o in old) else [*old, new]
    return _prefer(old, new, False)


def _prefer(old: list[_Subject], new: _Subject, fresh: bool) -> list[_Subject]:
    """A movement or a reflex stays the subject when a mere place is named after it."""
    if not fresh and old and old[0].kind != "dermatome" and new.kind == "dermatome":
        return old
    return [new]


def _claims(subjects: Sequence[_Subject], level: Unit) -> list[ClaimDraft]:
    return [
        ClaimDraft(s.kind, s.code, code, min(s.start, level.start), max(s.end, level.end))
        for s in subjects
        for code in level.codes
    ]


def _refers(utterance: Utterance, unit: Unit, age: int) -> bool:
    """Whether a level without a subject goes on from ``age`` utterances before."""
    if age > _REFERRED:
        return False
    words, head = load_words(), utterance.texts[utterance.start : unit.start]
    if not words.claim_anaphora.isdisjoint(head):
        return True
    return age <= _GOES_ON and words.openers.issuperset(head)


def _is_finding(units: Sequence[Unit], i: int) -> bool:
    """ "Reduced at T10, absent from T11 to S5": said of a child, whatever was examined."""
    if len(units[i].codes) > _CLAIM_LEVELS:
        return True
    return (
        i > 0 and units[i - 1].sort == "grade" and units[i].gap_has(load_words().level_prepositions)
    )


def _looks_ahead(units: Sequence[Unit], i: int) -> list[_Subject]:
    """ "C eight looks after the little finger": the level stands before its site."""
    after = following(units, i)
    if after is None or not after.gap_has(load_words().serving_verbs):
        return []
    if after.comma and "which" not in after.gap:  # "S one, which is ankle plantarflexion"
        return []
    site = _subject(after)
    return [] if site is None else [site]


def _of_lesion(utterance: Utterance, unit: Unit) -> bool:
    return not load_words().lesion_nouns.isdisjoint(utterance.texts[unit.end : unit.end + 1])


def _levels_in_findings(statements: Sequence[Statement]) -> set[int]:
    """The identities of the levels at which something was found."""
    used: set[int] = set()
    for statement in statements:
        if not statement.headed or statement.heading or not statement.targets:
            continue
        if statement.grade is not None and not compatible(statement.grade, statement.targets):
            continue
        used.update(id(place) for place in statement.places if place.sort == "level")
    return used


def _tied_site(units: Sequence[Unit], i: int) -> list[_Subject]:
    """ "Over the thumb, that is C six, reduced": the site and its level are a claim too."""
    at, tied = i - 1, units[i].gap_has(load_words().tie_words)
    if at > 0 and units[at].sort == "side":
        at -= 1
    if at < 0 or units[at].sort != "place":
        return []
    after = following(units, i)
    apposed = units[i].gap == (",",) and (after is None or after.comma)  # "the thumb, C6, is …"
    site = _subject(units[at]) if tied or apposed else None
    return [] if site is None else [site]
