"""From mentions to units: the phrases that a statement is built of.

A unit is a target, place, side, grade, level, status or steering word with the side that
its own phrase carries ("the left ankle jerk", "both great toes"), the words that stood
before it, and whether it was negated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from ...lexicon import Term
from .kinds import OBSERVED, Utterance
from .mentions import Mention, longest
from .runon import is_adjective
from .repairs import without_repairs

UnitSort = Literal[
    "target", "place", "side", "grade", "level", "status", "none", "throughout", "except",
    "otherwise", "same", "correction", "retract", "other_way", "symmetric", "part", "all_those",
]  # fmt: skip

_ARTICLES = frozenset("the a an his her its their this that these those my your".split())
_HESITATIONS = frozenset("um uh er erm ah hmm mm".split())
_STEERING: dict[str, UnitSort] = {
    "none": "none",
    "throughout": "throughout",
    "except": "except",
    "otherwise": "otherwise",
    "same": "same",
    "correction": "correction",
    "retract": "retract",
    "other_way": "other_way",
    "all_those": "all_those",
    "proximal": "part",
    "distal": "part",
    "symmetric": "symmetric",
}
_UP_DOWN = frozenset("up down upgoing downgoing upward downward upwards downwards".split())
#: How many atoms on a negation reaches, as far as the next comma.
NEGATION_REACH = 4
_NEAR = 6


@dataclass
class Unit:
    """One phrase. ``gap`` holds the atoms between the unit before and this one."""

    sort: UnitSort
    start: int
    end: int
    gap: tuple[str, ...] = ()
    terms: tuple[Term, ...] = ()
    side: str | None = None
    plural: bool = False
    negated: bool = False
    there_is: bool = False
    readings: dict[str, str] = field(default_factory=dict)
    number: str = ""
    outof: str = ""
    codes: tuple[str, ...] = ()
    status: str = ""
    kind: str = OBSERVED
    origin: int = -1

    @property
    def comma(self) -> bool:
        """Whether a comma parts it from the unit before."""
        return "," in self.gap

    @property
    def joined(self) -> bool:
        """Whether "and" or "or" joins it to the unit before."""
        return bool({"and", "or", "nor", "plus", "as"} & set(self.gap))

    @property
    def colon(self) -> bool:
        """Whether a colon parts it from the unit before."""
        return ":" in self.gap


def units_of(utterance: Utterance) -> list[Unit]:
    """The units of one utterance, in order."""
    texts = utterance.texts
    statuses = _statuses(utterance)
    covered = {i for a, b, _ in statuses for i in range(a, b)}
    mentions = [m for m in utterance.mentions if not set(range(m.start, m.end)) & covered]
    mentions = _resolve_toes(texts, without_repairs(texts, mentions))
    units = _Reader(texts, mentions).read()
    units += [Unit("status", a, b, status=kind) for a, b, kind in statuses]
    units.sort(key=lambda u: u.start)
    end = utterance.start
    for unit in units:
        begin = unit.start if unit.origin < 0 else min(unit.origin, unit.start)
        unit.gap = _without_fillers(texts[end:begin]) if begin > end else ()
        end = max(end, unit.end)
        unit.kind = utterance.kind_at(min(unit.start, utterance.end - 1))
    return units


def _without_fillers(gap: Sequence[str]) -> tuple[str, ...]:
    """A gap without hesitations and the commas that set them off."""
    out: list[str] = []
    i = 0
    while i < len(gap):
        if gap[i] in _HESITATIONS:
            if out and out[-1] == ",":
                out.pop()
            i += 1
            if i < len(gap) and gap[i] == ",":
                i += 1
            continue
        out.append(gap[i])
        i += 1
    return tuple(out)


def _statuses(utterance: Utterance) -> list[tuple[int, int, str]]:
    hits = {(h.start, h.end): h.cue.kind for h in utterance.status_hits()}
    return [(a, b, hits[a, b]) for a, b in longest(hits)]


def _resolve_toes(texts: Sequence[str], mentions: Sequence[Mention]) -> list[Mention]:
    """Toes that go up or down are the plantar response; other toes are a place."""
    out: list[Mention] = []
    for i, mention in enumerate(mentions):
        plantar = [t for t in mention.terms if t.scale == "toes"]
        if not plantar:
            out.append(mention)
            continue
        after = next((m for m in mentions[i + 1 :] if m.sort != "side"), None)
        sided = any(
            m.sort == "side" for m in (*mentions[max(i - 1, 0) : i], *mentions[i + 1 : i + 2])
        )
        examined = any(
            m.sort == "target" and "," not in texts[m.end : mention.start]
            for m in mentions[max(i - 2, 0) : i]
        )
        moves = (
            after is not None
            and texts[after.start] in _UP_DOWN | {"going", "go", "goes"}
            and after.start - mention.end <= _NEAR
        )
        if moves and (mention.plural or sided) and not examined:
            out.append(replace(mention, sort="target", terms=tuple(plantar)))
        else:
            places = tuple(t for t in mention.terms if t.kind == "segment")
            out.append(replace(mention, sort="place", terms=places))
    return out


class _Reader:
    """Reads mentions in order, tying sides and negation to the phrase that they belong to."""

    def __init__(self, texts: Sequence[str], mentions: Sequence[Mention]):
        self._texts = texts
        self._mentions = mentions
        self._units: list[Unit] = []
        self._side: tuple[str, int] | None = None
        self._side_start = 0
        self._compared = -1
        self._negated_until = self._there_until = -1

    def read(self) -> list[Unit]:
        for i, mention in enumerate(self._mentions):
            if self._compared == i:
                continue  # "worse on the right": a comparison, not a place of its own
            after = self._mentions[i + 1] if i + 1 < len(self._mentions) else None
            if mention.sort == "marker" and mention.marker == "more_on":
                self._compared = i + 1 if after is not None and after.sort == "side" else -1
            elif mention.sort == "marker" and self._is_plain_no(mention):
                self._add(
                    Unit("grade", mention.start, mention.end, readings={"sign": "absent"}), mention
                )
            elif mention.sort == "marker":
                self._marker(mention)
            elif mention.sort == "side":
                self._side_word(mention, after)
            elif mention.sort == "grade":
                self._grade(mention, after)
            elif mention.sort == "level":
                self._add(Unit("level", mention.start, mention.end, codes=mention.levels), mention)
            elif self._is_gait_word(mention):
                self._grade(mention, after)
            elif mention.sort in ("target", "place"):
                sort: UnitSort = "target" if mention.sort == "target" else "place"
                unit = Unit(
                    sort,
                    mention.start,
                    mention.end,
                    terms=mention.terms,
                    plural=mention.plural,
                    side=mention.side or None,
                )
                self._add(unit, mention)
        return self._units

    def _is_plain_no(self, mention: Mention) -> bool:
        """ "Right ankle yes, left ankle no": an answer, not a negation of what follows."""
        last = self._units[-1] if self._units else None
        after = self._texts[mention.end] if mention.end < len(self._texts) else "."
        return (
            mention.marker == "negation"
            and self._texts[mention.start] == "no"
            and last is not None
            and last.sort in ("place", "side")
            and last.end == mention.start
            and after in (",", ".", ";", "?")
        )

    def _is_gait_word(self, mention: Mention) -> bool:
        """ "The gait is toe walking": what is a test elsewhere describes the gait here."""
        describes = any(t.kind == "grade" for t in mention.terms)
        last = self._units[-1] if self._units else None
        return (
            describes
            and last is not None
            and any(t.code == "gait" and t.kind == "modality" for t in last.terms)
            and mention.start - last.end <= NEGATION_REACH
        )

    def _marker(self, mention: Mention) -> None:
        if mention.marker == "negation":
            self._negated_until = mention.end + NEGATION_REACH
        elif mention.marker == "there_is":
            article = self._texts[mention.start] in ("a", "an", "some")
            reach = 0 if article else NEGATION_REACH
            self._there_until = max(self._there_until, mention.end + reach)
        elif mention.marker == "beats" and self._counts_beats(mention):
            self._add(
                Unit("grade", mention.start, mention.end, readings={"sign": "present"}), mention
            )
        elif mention.marker in ("other_side", "that_side"):
            side = mention.marker.removesuffix("_side")
            self._add(Unit("side", mention.start, mention.end, side=side), mention)
        elif mention.marker in _STEERING:
            unit = Unit(_STEERING[mention.marker], mention.start, mention.end)
            if unit.sort == "part":
                unit.codes = (mention.marker,)
            self._add(unit, mention)

    def _counts_beats(self, mention: Mention) -> bool:
        """ "Three beats of clonus", not "four beats some resistance"."""
        before = self._texts[mention.start - 1] if mention.start else ""
        after = self._texts[mention.end] if mention.end < len(self._texts) else ""
        return before.isdigit() and after in ("of", "on", "at", ",", ".", "both", "bilaterally", "")

    def _side_word(self, mention: Mention, after: Mention | None) -> None:
        words = self._texts[mention.start : mention.end]
        single = len(words) == 1 and words[0] not in ("bilaterally", "midline")
        near = after is not None and all(
            t in _ARTICLES for t in self._texts[mention.end : after.start]
        )
        noun = near and after is not None and after.sort in ("target", "place")
        adjective = near and after is not None and after.sort == "grade" and len(words) == 1
        if single and noun and after is not None:
            if after.sort == "target" and not is_adjective(self._texts, mention):
                self._add(Unit("side", mention.start, mention.end, side=mention.side), mention)
                return
            self._side = (mention.side, mention.end)
            self._side_start = mention.start
        elif single and words[0] in ("both", "either", "each"):
            if not adjective:
                return
        else:
            self._add(Unit("side", mention.start, mention.end, side=mention.side), mention)

    def _grade(self, mention: Mention, after: Mention | None) -> None:
        readings: dict[str, str] = {}
        for term in mention.terms:
            for code in term.codes if term.kind == "grade" else ():
                scale, grade = code.split(":")
                readings.setdefault(scale, grade)
        degree = set(readings) == {"presence"}
        negated = mention.start <= self._negated_until
        if negated and degree and after is not None and after.sort == "target":
            self._negated_until = mention.end + NEGATION_REACH  # "no marked wasting"
            return
        unit = Unit(
            "grade",
            mention.start,
            mention.end,
            readings=readings,
            number=mention.number,
            outof=mention.outof,
        )
        self._add(unit, mention)

    def _add(self, unit: Unit, mention: Mention) -> None:
        unit.origin = mention.origin
        if self._side is not None and unit.sort in ("target", "place"):
            unit.side, end = self._side
            unit.start = min(unit.start, self._side_start)
            self._side = None
        if unit.sort in ("target", "grade", "place"):
            comma = "," in self._texts[max(self._negated_until - NEGATION_REACH, 0) : mention.start]
            if mention.start <= self._negated_until and not comma:
                if unit.sort != "place":
                    unit.negated = True
                    self._negated_until = -1
            if mention.start <= self._there_until:
                unit.there_is = True
                if unit.sort == "target":
                    self._there_until = -1
        self._units.append(unit)
