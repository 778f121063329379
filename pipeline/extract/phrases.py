"""From mentions to units: sides and negations are tied to the phrase that they belong to.

"Both" before a noun belongs to it, "on the left" stands by itself; a negation reaches a few
words, as far as the next comma. What the speaker took back is left out first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...lexicon import load
from ...lexicon.words import load_words
from .joins import is_adjective
from .kinds import Utterance
from .mentions import Mention, longest
from .repairs import without_repairs
from .units import Unit, UnitSort

#: How many atoms on a negation reaches, as far as the next comma.
NEGATION_REACH = 4
#: How far from its toes a word for their motion may stand.
_NEAR = 6
LIMBS = frozenset(["upper_limb", "lower_limb"])
#: Markers that become units of their own, and the sort of the unit.
_STEERING: Mapping[str, UnitSort] = {
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


def units_of(utterance: Utterance) -> list[Unit]:
    """The units of one utterance, in order."""
    texts = utterance.texts
    hits = {(h.start, h.end): h.cue.kind for h in utterance.status_hits()}
    statuses = [Unit("status", *span, status=hits[span]) for span in longest(hits)]
    covered = {i for u in statuses for i in range(u.start, u.end)}
    mentions = [m for m in utterance.mentions if not m.touches(covered)]
    mentions = _resolve_toes(texts, without_repairs(texts, mentions))
    units = [*_Reader(texts, mentions).read(), *statuses]
    units.sort(key=lambda u: u.start)
    end, prepositions = utterance.start, load_words().prepositions
    for unit in units:
        begin = unit.start if unit.origin < 0 else min(unit.origin, unit.start)
        unit.gap = _without_hesitations(texts[end:begin]) if begin > end else ()
        if unit.sort == "target" and texts[unit.start] in prepositions:  # "intact to LT"
            unit.gap = (*unit.gap, texts[unit.start])
        end = max(end, unit.end)
        unit.kind = utterance.kind_at(min(unit.start, utterance.end - 1))
    return units


def _without_hesitations(gap: Sequence[str]) -> tuple[str, ...]:
    """A gap without hesitations and the commas that set them off."""
    hesitations = load_words().hesitations
    if hesitations.isdisjoint(gap):
        return tuple(gap)
    out: list[str] = []
    i = 0
    while i < len(gap):
        if gap[i] in hesitations:
            if out and out[-1] == ",":
                out.pop()
            i += 1
            if i < len(gap) and gap[i] == ",":
                i += 1
            continue
        out.append(gap[i])
        i += 1
    return tuple(out)


def _resolve_toes(texts: Sequence[str], mentions: Sequence[Mention]) -> list[Mention]:
    """Toes that go up or down are the plantar response; other toes are a place."""
    out: list[Mention] = []
    for i, mention in enumerate(mentions):
        plantar = tuple(t for t in mention.terms if t.scale == "toes")
        if not plantar:
            out.append(mention)
        elif _toes_move(texts, mentions, i):
            out.append(replace(mention, sort="target", terms=plantar))
        else:
            places = tuple(t for t in mention.terms if t.kind == "segment")
            out.append(replace(mention, sort="place", terms=places))
    return out


def _toes_move(texts: Sequence[str], mentions: Sequence[Mention], i: int) -> bool:
    words, mention = load_words(), mentions[i]
    beside = (*mentions[max(i - 1, 0) : i], *mentions[i + 1 : i + 2])
    if not mention.plural and not any(m.sort == "side" for m in beside):
        return False
    before = mentions[max(i - 2, 0) : i]
    if any(m.sort == "target" and "," not in texts[m.end : mention.start] for m in before):
        return False  # something else is examined there
    after = next((m for m in mentions[i + 1 :] if m.sort != "side"), None)
    if after is None or after.start - mention.end > _NEAR:
        return False
    return texts[after.start] in words.vertical or texts[after.start] in words.going


class _Reader:
    """Reads mentions in order, tying sides and negation to the phrase that they belong to."""

    def __init__(self, texts: Sequence[str], mentions: Sequence[Mention]):
        self._texts = texts
        self._mentions = mentions
        self._words = load_words()
        self._units: list[Unit] = []
        #: a side that waits for its noun, and where it stands
        self._side = ""
        self._side_start = 0
        self._compared = -1
        self._negated_until = self._there_until = -1

    def read(self) -> list[Unit]:
        for i, mention in enumerate(self._mentions):
            if self._compared == i:
                continue  # "worse on the right": a comparison, not a place of its own
            after = self._mentions[i + 1] if i + 1 < len(self._mentions) else None
            if mention.marker == "more_on":
                self._compared = i + 1 if after is not None and after.sort == "side" else -1
            elif mention.sort == "marker":
                self._marker(mention, after)
            elif mention.sort == "side":
                self._side_word(mention, after)
            elif mention.sort == "grade" or self._is_gait_word(mention):
                self._grade(mention, after)
            elif mention.sort == "level":
                self._add(Unit("level", mention.start, mention.end, codes=mention.levels), mention)
            elif mention.sort == "target" or mention.sort == "place":
                self._named(mention, mention.sort, after)
        return self._units

    def _named(self, mention: Mention, sort: UnitSort, after: Mention | None) -> None:
        unit = Unit(
            sort,
            mention.start,
            mention.end,
            terms=mention.terms,
            plural=mention.plural
            or self._is_limb_adjective(mention, after)
            or self._texts[mention.end : mention.end + 1] == ["are"],
            side=mention.side or None,
        )
        self._add(unit, mention)

    def _is_limb_adjective(self, mention: Mention, after: Mention | None) -> bool:
        """ "Upper limb reflexes": of both limbs; "the left upper limb reflexes" of one."""
        before = self._texts[mention.start - 1] if mention.start else ""
        return (
            mention.sort == "place"
            and after is not None
            and after.sort == "target"
            and after.start == mention.end
            and not self._side
            and before not in self._words.determiners
            and before not in self._words.side_of_word
            and any(not LIMBS.isdisjoint(t.codes) for t in mention.terms)
        )

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
        last = self._units[-1] if self._units else None
        return (
            last is not None
            and any(t.kind == "grade" for t in mention.terms)
            and any(t.code == "gait" and t.kind == "modality" for t in last.terms)
            and mention.start - last.end <= NEGATION_REACH
        )

    def _marker(self, mention: Mention, after: Mention | None) -> None:
        marker, start, end = mention.marker, mention.start, mention.end
        if self._is_plain_no(mention):
            self._add(Unit("grade", start, end, readings={"sign": "absent"}), mention)
        elif marker == "negation":
            self._negated_until = end + NEGATION_REACH
            if self._texts[start] == "neither":  # "neither leg": both of them, denied
                self._side, self._side_start = "both", start
        elif marker == "there_is":
            article = self._texts[start] in self._words.indefinite
            reach = 0 if article else NEGATION_REACH
            self._there_until = max(self._there_until, end + reach)
        elif marker == "beats" and self._counts_beats(mention):
            self._add(Unit("grade", start, end, readings={"sign": "present"}), mention)
        elif marker == "able" and (self._names_a_test(after) or self._ends_able(mention, after)):
            self._add(Unit("grade", start, end, readings={"performance": "normal"}), mention)
        elif marker in ("other_side", "that_side"):
            self._add(Unit("side", start, end, side=marker.removesuffix("_side")), mention)
        elif marker in _STEERING:
            unit = Unit(_STEERING[marker], start, end)
            if unit.sort == "part":
                unit.codes = (marker,)
            self._add(unit, mention)

    def _ends_able(self, mention: Mention, after: Mention | None) -> bool:
        """ "On toes he can."."""
        ended = mention.end >= len(self._texts) or self._texts[mention.end] in (".", ",", ";")
        last = self._units[-1] if self._units else None
        return ended and last is not None and last.sort == "place" and after is None

    def _names_a_test(self, after: Mention | None) -> bool:
        """ "Can walk on her heels": what is done is a test by itself."""
        if after is None or after.sort != "target":
            return False
        modalities = load().vocabulary.modalities
        return any(
            t.kind == "modality" and modalities[t.code].scale == "performance" for t in after.terms
        )

    def _counts_beats(self, mention: Mention) -> bool:
        """ "Three beats of clonus", not "four beats some resistance"."""
        before = self._texts[mention.start - 1] if mention.start else ""
        ended = mention.end >= len(self._texts)
        counted = before.isdigit() or before in self._words.some
        return counted and (ended or self._texts[mention.end] not in self._words.not_beats)

    def _side_word(self, mention: Mention, after: Mention | None) -> None:
        words = self._texts[mention.start : mention.end]
        single = len(words) == 1 and words[0] not in ("bilaterally", "midline")
        after_it = self._texts[mention.end : mention.end + 1]
        led = self._texts[max(mention.start - 1, 0) : mention.start]
        if words == ["both"] and (
            after_it in (["are"], ["were"])
            or (
                led in (["on"], ["in"], ["at"])
                and (not after_it or not after_it[0].isalpha())
                and not any(u.sort == "side" and u.end == mention.start - 1 for u in self._units)
            )
        ):  # "Plantars. Both are up.", "four on both."
            self._add(Unit("side", mention.start, mention.end, side="both"), mention)
            return
        near = after is not None and self._words.determiners.issuperset(
            self._texts[mention.end : after.start]
        )
        if single and near and after is not None and after.sort in ("target", "place"):
            if after.sort == "target" and not is_adjective(self._texts, mention):
                self._add(Unit("side", mention.start, mention.end, side=mention.side), mention)
                return
            self._side, self._side_start = mention.side, mention.start
        elif not (single and words[0] in ("both", "either", "each")) or self._grades_both(
            mention, after
        ):
            self._add(Unit("side", mention.start, mention.end, side=mention.side), mention)

    def _grades_both(self, side: Mention, after: Mention | None) -> bool:
        """ "Biceps both four", not "both brisk and crossed"."""
        named = 0  # "abduction and adduction are both five": the two of them
        for unit in reversed(self._units):
            if unit.sort == "grade":
                break
            named += unit.sort in ("target", "place")
        return (
            named <= 1
            and after is not None
            and after.sort == "grade"
            and after.start == side.end
            and self._texts[side.start] == "both"
            and self._texts[after.end : after.end + 1] != ["and"]
        )

    def _grade(self, mention: Mention, after: Mention | None) -> None:
        readings: dict[str, str] = {}
        for term in mention.terms:
            for code in term.codes if term.kind == "grade" else ():
                scale, grade = code.split(":")
                readings.setdefault(scale, grade)
        if self._texts[mention.start] in ("up", "down") and not self._points(mention):
            return
        if self._texts[mention.start] == "down" and not any(
            u.sort == "target" for u in self._units
        ):
            readings = {s: g for s, g in readings.items() if s in ("plantar", "tone")}
        degree = set(readings) == {"presence"}
        if (
            degree
            and after is not None
            and after.sort == "grade"
            and self._qualifies(mention, after)
        ):
            return  # "a little weak": how much of the grade that follows
        negated = mention.start <= self._negated_until
        if negated and degree and after is not None and after.sort == "target":
            self._negated_until = mention.end + NEGATION_REACH  # "no marked wasting"
            return
        of = self._texts[mention.end - 2 : mention.end] == ["of", "5"]
        if mention.number and (of or self._texts[mention.end - 2 : mention.end] == ["over", "5"]):
            readings = {"mrc": mention.number}  # "five out of five" is power
        unit = Unit("grade", mention.start, mention.end, readings=readings, number=mention.number)
        self._add(unit, mention)

    def _qualifies(self, mention: Mention, after: Mention) -> bool:
        codes = [c for t in mention.terms for c in t.codes if t.kind == "grade"]
        degree = all(c.split(":")[1] in self._words.degrees for c in codes)
        scales = {c.split(":")[0] for t in after.terms for c in t.codes if t.kind == "grade"}
        return degree and after.start == mention.end and not scales & {"presence", "sign", "gait"}

    def _points(self, mention: Mention) -> bool:
        """Whether "up" says how something is, and does not belong to a verb ("held up")."""
        words, at = self._words, mention.start - 1
        if at < 0 or any(u.end == mention.start for u in self._units[-1:]):
            return True
        before, known = self._texts[at], words.before_own_grade | words.joining | words.openers
        return before in known or before in words.side_of_word or not before.isalpha()

    def _add(self, unit: Unit, mention: Mention) -> None:
        unit.origin = mention.origin
        if self._side and unit.sort in ("target", "place"):
            unit.side = self._side
            unit.start = min(unit.start, self._side_start)
            self._side = ""
        if unit.sort in ("target", "grade", "place"):
            self._reach(unit, mention)
        self._units.append(unit)

    def _reach(self, unit: Unit, mention: Mention) -> None:
        """Let the negation or the "there is" in force reach the unit."""
        if mention.start <= self._negated_until and unit.sort != "place":
            low = max(self._negated_until - NEGATION_REACH, 0)
            if "," not in self._texts[low : mention.start]:
                unit.negated = True
                self._negated_until = -1
        plus = self._texts[max(unit.start - 2, 0) : unit.start]
        marked = plus[-1:] == ["plus"] and not plus[0].isdigit()  # "+Hoffmann"
        if mention.start <= self._there_until or (marked and unit.sort == "target"):
            unit.there_is = True
            if unit.sort == "target":
                self._there_until = -1
