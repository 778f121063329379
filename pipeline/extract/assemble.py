"""Walks the utterances of a narration in order and assembles its record's contents."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...lexicon import Atom, atoms, load
from ..record import Claim, Finding, Unresolved
from ..transcript import Transcript
from .claims import ClaimDraft, ClaimReader
from .context import LIMBS, OPPOSITE, Context, is_heading, limbs_of, opening_side
from .findings import Draft, drafts_of, general_targets, limbs_named, span_of
from .grading import grade_of
from .kinds import OBSERVED, OPENERS, Utterance
from .language import analyse
from .meanings import MeaningReader
from .statements import Statement, statements_of, targets_of
from .units import Unit, units_of


@dataclass(frozen=True)
class ExtractOptions:
    """Options of the extraction.

    ``pause_s``: a silence of this length between two words ends an utterance.
    """

    pause_s: float = 1.5


@dataclass(frozen=True)
class Extraction:
    """What was found in a narration."""

    findings: tuple[Finding, ...]
    claims: tuple[Claim, ...]
    unresolved: tuple[Unresolved, ...]
    utterances: tuple[Utterance, ...]


@dataclass
class _Found:
    draft: Draft
    start: int
    end: int
    possible: bool
    note: str | None
    utterance: int


def extract(transcript: Transcript, *, options: ExtractOptions = ExtractOptions()) -> Extraction:
    """The findings, claims and unresolved stretches of a narration; empty in, empty out."""
    pieces = atoms([w.text for w in transcript.words])
    if not pieces:
        return Extraction((), (), (), ())
    utterances = analyse(pieces, _breaks(transcript, pieces, options.pause_s))
    reader = _Narration(utterances)
    reader.read()
    return Extraction(
        findings=tuple(_finding(f, transcript, pieces) for f in reader.found),
        claims=tuple(_claim(c, transcript, pieces) for c in dict.fromkeys(reader.claims)),
        unresolved=tuple(
            Unresolved(reason=reason, evidence=_evidence(transcript, pieces, a, b))
            for a, b, reason in reader.unresolved
        ),
        utterances=tuple(utterances),
    )


def _breaks(transcript: Transcript, pieces: Sequence[Atom], pause_s: float) -> list[int]:
    """Atoms that begin a line, or follow a long silence."""
    words = transcript.words
    out: list[int] = []
    for i in range(1, len(pieces)):
        here, before = pieces[i].word, pieces[i - 1].word
        if here == before:
            continue
        start, end = words[here].start_s, words[before].end_s
        paused = start is not None and end is not None and start - end >= pause_s
        if words[here].new_line or paused:
            out.append(i)
    return out


class _Narration:
    """The state of one reading."""

    def __init__(self, utterances: Sequence[Utterance]):
        self._utterances = utterances
        self._context = Context()
        self._claim_reader = ClaimReader()
        self._meaning_reader = MeaningReader()
        self._last: Statement | None = None
        self._supersedes = False
        self.found: list[_Found] = []
        self.claims: list[ClaimDraft] = []
        self.unresolved: list[tuple[int, int, str]] = []

    def read(self) -> None:
        for number, utterance in enumerate(self._utterances):
            self._utterance(number, utterance)
        self._drop_general_remarks()

    def _utterance(self, number: int, utterance: Utterance) -> None:
        units = units_of(utterance)
        if not units:
            return
        self._supersedes = False
        context = self._context
        context.runs_on = utterance.runs_on
        following = self._utterances[number + 1] if number + 1 < len(self._utterances) else None
        meanings = self._meaning_reader.read(utterance, units, following, context.topic)
        self.claims += meanings
        defined = {c.start for c in meanings}
        if self._repairs_last(utterance, units):
            return
        units = _without_turned_about(units)
        observed = [u for u in units if u.kind == OBSERVED]
        statements = statements_of(observed, topic=context.topic)
        for statement in statements_of([u for u in units if u.kind != OBSERVED]):
            self._unresolved(statement, utterance)
        claims = self._claim_reader.read(utterance, units, statements)
        self.claims += claims
        silent = utterance.kind not in (OBSERVED,)
        heading = is_heading(utterance, statements) and not claims
        if heading and utterance.kind not in ("hypothetical", "explanation", "question"):
            self._heading(units)
            return
        side = opening_side(utterance, units)
        if side and utterance.kind_at(units[0].start) == OBSERVED:
            context.open_side(side, len(self.found))
            if units[0].sort == "place" and (limbs := limbs_of(units[:1])):
                context.limbs = limbs
        batch: list[int] = []
        done: list[Statement] = []
        for statement in statements:
            made = self._statement(number, statement, utterance, done, defined)
            if made:
                context.last_batch = made
                batch += made
            elif not statement.heading and not claims and not meanings:
                self._unresolved(statement, utterance)
            done.append(statement)
        if batch:
            context.last_utterance = batch
        if not silent:
            self._forget_side(units, side, batch)

    # -- statements ---------------------------------------------------------------------

    def _statement(
        self,
        number: int,
        statement: Statement,
        utterance: Utterance,
        done: Sequence[Statement],
        defined: set[int],
    ) -> list[int]:
        context = self._context
        if defined and statement.units and not (statement.sides or statement.places):
            if any(u.start >= min(defined) for u in statement.units):
                return []  # "five is full power": it speaks of the grade
        kinds = {u.kind for u in statement.units} - {OBSERVED}
        if kinds or not statement.units:
            return []
        if statement.heading:
            self._heading(statement.units)
            return []
        if statement.same and not statement.targets:
            return self._copy(number, statement, utterance)
        if _defines(utterance, statement):
            return []
        if not statement.targets and "instruction" in utterance.kinds:
            return []  # "hold it, strong, strong"
        if statement.all_those:
            return self._for_all(number, statement)
        before = statement.inherited
        if not statement.targets and before is not None and before.targets:
            statement.targets, statement.own_targets = list(before.targets), False
        chained = context.topic is not None and before is not None
        if (
            not statement.targets
            and not chained
            and self._last is not None
            and _goes_on(utterance, statement)
        ):
            wide = statement.places or statement.throughout
            statement.targets = (
                general_targets(self._last.targets) if wide else list(self._last.targets)
            )
            statement.inherited, statement.own_targets = self._last, False
        if (
            statement.same
            and not statement.headed
            and (copied := self._likewise(number, statement, utterance))
        ):
            return copied
        if statement.same and statement.grade is None and statement.status is None:
            before = next((d for d in reversed([*done, self._last]) if d and d.headed), None)
            if before is not None:  # "absent, likewise the biceps jerks"
                statement.grade, statement.status = before.grade, before.status
        drafts = drafts_of(
            statement, utterance, context, [f.draft for f in self.found], limbs_named(done)
        )
        if not drafts:
            return []
        self._last = statement
        made: list[int] = []
        start, end = span_of(statement)
        for draft in drafts:
            if self._supersedes:
                self.found = [f for f in self.found if f.draft.key != draft.key]
            if any(f.draft.key == draft.key and f.draft.grade == draft.grade
                   and f.draft.status == draft.status for f in self.found):  # fmt: skip
                continue
            made.append(len(self.found))
            self.found.append(
                _Found(
                    draft,
                    start,
                    end,
                    utterance.is_possible(start, end),
                    _note(statement, utterance),
                    number,
                )
            )
        sides = [f.draft.side for f in self.found[-len(made) :] if f.draft.side in OPPOSITE]
        if made and sides and len(set(sides)) == 1:
            context.last_side = sides[-1]
        self._share_back(done, statement, made)
        made = [k for k, f in enumerate(self.found) if f.draft.statement is statement]
        self._share_side_back(done, statement, made)
        return made

    def _share_side_back(
        self, done: Sequence[Statement], statement: Statement, made: Sequence[int]
    ) -> None:
        """ "Hip flexion five and knee extension five on both sides": both have the side."""
        if not made or not statement.sides or not statement.targets:
            return
        sides = list(dict.fromkeys(self.found[k].draft.side for k in made))
        joined = statement.units[0].joined
        if not set(sides) <= set(OPPOSITE) or not (joined or len(sides) == 2):
            return
        vocabulary = load().vocabulary
        for before in reversed(done):
            old = [k for k, f in enumerate(self.found) if f.draft.statement is before]
            if not old or any(self.found[k].draft.side != "unstated" for k in old):
                return
            if vocabulary.group(before.targets[0].modality) != vocabulary.group(
                statement.targets[0].modality
            ):
                return
            for k in old:
                shape = self.found[k]
                self.found[k] = replace(shape, draft=replace(shape.draft, side=sides[0]))
                self.found += [
                    replace(shape, draft=replace(shape.draft, side=side)) for side in sides[1:]
                ]

    def _likewise(self, number: int, statement: Statement, utterance: Utterance) -> list[int]:
        """ "Knee jerk right two plus, left three plus, ankle jerk likewise"."""
        last = [k for k, f in enumerate(self.found) if f.utterance == number]
        if not last or not statement.own_targets or statement.sides or statement.places:
            return []
        pattern = self.found[last[-1]].draft
        source = [k for k in last if self.found[k].draft.key[:2] == pattern.key[:2]]
        if len({self.found[k].draft.grade for k in source}) < 2:
            return []
        start, end = span_of(statement)
        made: list[int] = []
        for target in statement.targets:
            if target.segment is None or target.modality != pattern.modality:
                continue
            for k in source:
                made.append(len(self.found))
                draft = replace(self.found[k].draft, segment=target.segment)
                self.found.append(_Found(draft, start, end, self.found[k].possible, None, number))
        return made

    def _for_all(self, number: int, statement: Statement) -> list[int]:
        """ "… and every one of those is both sides"."""
        if not any(u.side == "both" for u in statement.sides):
            return []
        made: list[int] = []
        for k, f in enumerate(list(self.found)):
            if f.utterance == number and f.draft.side == "unstated":
                self.found[k] = replace(f, draft=replace(f.draft, side="left"))
                self.found.append(replace(f, draft=replace(f.draft, side="right")))
                made.append(k)
        return made

    def _share_back(
        self, done: Sequence[Statement], statement: Statement, made: Sequence[int]
    ) -> None:
        """ "No wasting, no tremor in the legs": the place is meant for the whole list."""
        if not made or not statement.places:
            return
        shapes = [self.found[k].draft for k in made]
        for before in reversed(done):
            listed = before.targets and before.targets[0].unit.negated and not before.places
            if not (listed and statement.targets and statement.targets[0].unit.negated):
                return
            old = [f for f in self.found if f.draft.statement is before]
            if not old or before.sides:
                return
            takes = load().vocabulary.takes
            self.found = [f for f in self.found if f.draft.statement is not before]
            for old_one in {f.draft.modality: f for f in old}.values():
                self.found += [
                    replace(old_one, draft=replace(old_one.draft, segment=d.segment, side=d.side))
                    for d in shapes
                    if takes(old_one.draft.modality, d.segment)
                ]

    def _copy(self, number: int, statement: Statement, utterance: Utterance) -> list[int]:
        """ "The same on the right": what was just found, on that side."""
        context = self._context
        side = next((u.side for u in reversed(statement.sides) if u.side), None)
        side = side or next((p.side for p in statement.places if p.side), None)
        if side == "other":
            side = OPPOSITE.get(context.side or context.last_side or "")
        if side not in OPPOSITE:
            return []
        source_side = OPPOSITE[side]
        if context.side == source_side:
            source = range(context.stretch, len(self.found))
        else:
            source = range(min(context.last_utterance, default=0), len(self.found))
        start, end = span_of(statement)
        made: list[int] = []
        for k in list(source):
            draft = self.found[k].draft
            if draft.side != source_side:
                continue
            copy = replace(draft, side=side)
            if any(f.draft.key == copy.key for f in self.found):
                continue
            made.append(len(self.found))
            self.found.append(_Found(copy, start, end, self.found[k].possible, None, number))
        if made:
            context.open_side(side, made[0])
            context.last_side = side
        return made

    # -- repairs an utterance later -----------------------------------------------------

    def _repairs_last(self, utterance: Utterance, units: Sequence[Unit]) -> bool:
        context = self._context
        if any(u.sort == "retract" for u in units):
            gone = set(context.last_batch)
            self.found = [f for k, f in enumerate(self.found) if k not in gone]
            context.last_batch = []
            return True
        if any(u.sort == "other_way" for u in units[:3]):
            return self._other_way(units)
        if units[0].sort != "correction" or not context.last_batch:
            return False
        rest = [u for u in units if u.sort != "correction"]
        sorts = {u.sort for u in rest}
        if "target" in sorts and "grade" in sorts:
            self._supersedes = True  # said again in full
            return False
        if not rest or not _says_only(utterance, units):
            return False
        for unit in rest:
            for k in context.last_batch:
                changed = _changed(self.found[k].draft, unit)
                if changed is not None:
                    self.found[k] = replace(self.found[k], draft=changed)
        self._merge_doubles()
        return True

    def _other_way(self, units: Sequence[Unit]) -> bool:
        """ "Other way round": the last thing said of left and right is turned about."""
        last = self._context.last_batch
        if not last or last[-1] >= len(self.found):
            return True
        draft = self.found[last[-1]].draft
        about = [
            k for k in (self._context.last_utterance or last)
            if k < len(self.found)
            and self.found[k].draft.key[:2] == draft.key[:2]
        ]  # fmt: skip
        if any(u.sort == "grade" for u in units):  # said again, the right way round
            self.found = [f for k, f in enumerate(self.found) if k not in set(about)]
            self._context.last_batch = self._context.last_utterance = []
            return False
        for k in about:
            f = self.found[k]
            side = OPPOSITE.get(f.draft.side, f.draft.side)
            self.found[k] = replace(f, draft=replace(f.draft, side=side))
        return True

    def _merge_doubles(self) -> None:
        seen: set[tuple[object, ...]] = set()
        kept: list[_Found] = []
        for f in self.found:
            identity = (*f.draft.key, f.draft.grade, f.draft.status)
            if identity not in seen:
                seen.add(identity)
                kept.append(f)
        self.found = kept
        self._context.last_batch = [k for k in self._context.last_batch if k < len(kept)]

    # -- context ------------------------------------------------------------------------

    def _heading(self, units: Sequence[Unit]) -> None:
        context = self._context
        places = [u for u in units if u.sort == "place"]
        targets = [t for u in units if u.sort == "target" for t in targets_of(u)]
        sides = [u.side for u in units if u.side]
        if limbs := limbs_of(places):
            context.limbs = limbs
        elif places:
            context.limbs = ()
        if targets:
            context.topic = targets[0].modality
        if sides and sides[-1] in OPPOSITE:
            context.open_side(sides[-1], len(self.found))
        elif sides and sides[-1] in ("other", "that"):
            before = context.side or context.last_side or ""
            side = OPPOSITE.get(before) if sides[-1] == "other" else before
            if side:
                context.open_side(side, len(self.found))
        elif (sides and sides[-1] == "both") or any(p.plural for p in places):
            context.side = "both"
        else:
            context.clear_side()

    def _forget_side(self, units: Sequence[Unit], opened: str | None, batch: Sequence[int]) -> None:
        """Another side, spoken in passing, ends the stretch."""
        context = self._context
        if context.side is None or opened or not batch:
            return
        sides = {self.found[k].draft.side for k in batch if k < len(self.found)} & set(OPPOSITE)
        if context.side in OPPOSITE and OPPOSITE[context.side] in sides:
            context.clear_side()

    # -- leavings -----------------------------------------------------------------------

    def _unresolved(self, statement: Statement, utterance: Utterance) -> None:
        if not statement.units or not (statement.targets or statement.headed):
            return
        if not any(u.sort in ("target", "place", "grade", "status") for u in statement.units):
            return
        start, end = span_of(statement)
        kinds = [u.kind for u in statement.units if u.kind != OBSERVED]
        reason = kinds[0] if kinds else "no statement could be read"
        if (
            self.unresolved
            and self.unresolved[-1][2] == reason
            and (self.unresolved[-1][0] >= utterance.start)
        ):
            self.unresolved[-1] = (self.unresolved[-1][0], end, reason)
        else:
            self.unresolved.append((start, end, reason))

    def _drop_general_remarks(self) -> None:
        """ "The legs are weak, hip flexion three": the grades say it better."""
        from ...lexicon.places import load_places as places

        tree = places()
        gone: set[int] = set()
        for k, f in enumerate(self.found):
            d = f.draft
            if (
                d.modality not in ("power", "reflex")
                or not d.word_grade
                or d.grade == "normal"
                or d.status != "observed"
            ):
                continue
            if load().vocabulary.segment_kinds[d.segment][0] != "region":
                continue
            later = [
                g for g in self.found[k + 1 :]
                if g.utterance - f.utterance <= 1 and g.draft.modality == d.modality
                and g.draft.segment != d.segment
                and (d.segment == "whole_body" or tree.within(g.draft.segment, d.segment))
                and g.draft.status == "observed"
                and not g.draft.statement.exception
                and (d.side in (g.draft.side, "unstated"))
            ]  # fmt: skip
            if later:
                gone.add(k)
        self.found = [f for k, f in enumerate(self.found) if k not in gone]


def _without_turned_about(units: list[Unit]) -> list[Unit]:
    """Units without what "other way round" takes back when it is said again at once."""
    k = next((i for i, u in enumerate(units) if u.sort == "other_way"), 0)
    after = {u.sort for u in units[k + 1 :]}
    if k < 2 or not after & {"target", "grade", "none"}:
        return units
    again = next((u for u in units[k + 1 :] if u.sort == "target"), None)
    for i, unit in enumerate(units[:k]):
        same = again is not None and set(unit.terms) & set(again.terms)
        if same or (again is None and unit.sort == "grade"):
            return [*units[:i], *units[k + 1 :]]
    return units


def _defines(utterance: Utterance, statement: Statement) -> bool:
    """ "A high-stepping gait is lifting the knee …": what a thing is, not what was seen."""
    if not statement.units or not statement.own_targets or not statement.targets:
        return False
    first, last = statement.units[0], statement.targets[-1].unit
    texts = utterance.texts
    lead = [t for t in texts[utterance.start : first.start] if t not in OPENERS]
    seen = statement.grade is not None and statement.grade.readings.get("presence") == "present"
    graded_after = seen or (
        not statement.grade_first
        and any(u.start > last.start for u in statement.units if u.sort == "grade")
    )
    after = tuple(texts[last.end : last.end + 1])
    return lead in (["a"], ["an"]) and after in (("is",), ("means",)) and not graded_after


def _says_only(utterance: Utterance, units: Sequence[Unit]) -> bool:
    """Whether an utterance holds hardly a word beside its units."""
    covered = {i for u in units for i in range(u.start, u.end)}
    last = max(u.end for u in units)
    words = [utterance.texts[i] for i in range(utterance.start, last) if i not in covered]
    return all(w in _REPAIR_WORDS for w in words)


#: Words of a repair an utterance later ("sorry, that was the left").
_REPAIR_WORDS = OPENERS | frozenset(
    ". ; : ? ! the a on in at it its was is that should be have been to not but of side this no "
    "his her um er uh".split()
)


def _goes_on(utterance: Utterance, statement: Statement) -> bool:
    """Whether a statement without a target goes on from the one before ("It is normal …")."""
    if statement.grade is None and statement.status is None:
        return False
    words = utterance.texts[utterance.start : utterance.end]
    head = next((w for w in words if w not in OPENERS and w not in ".:;"), "")
    return head in _ANAPHORA or bool(
        statement.places or statement.sides or statement.otherwise or statement.throughout
    )


_ANAPHORA = frozenset("it its they theyre these this that".split())


def _changed(draft: Draft, unit: Unit) -> Draft | None:
    if unit.sort == "side" and unit.side in OPPOSITE and draft.side in OPPOSITE:
        return replace(draft, side=unit.side)
    if unit.sort == "grade":
        if draft.status != "observed":
            return None
        grade = grade_of(unit, draft.modality)
        return None if grade is None else replace(draft, grade=grade)
    if unit.sort in ("place", "target"):
        side = unit.side if unit.side in OPPOSITE else draft.side
        if unit.sort == "target":
            for target in targets_of(unit):
                if target.modality == draft.modality and target.segment:
                    return replace(draft, segment=target.segment, side=side)
        for term in unit.terms:
            code = term.code
            if term.kind == "segment" and load().vocabulary.takes(draft.modality, code):
                return replace(draft, segment=code, side=side)
            reflex = {"knee": "knee_jerk", "ankle": "ankle_jerk"}.get(code)
            if draft.modality == "reflex" and reflex:
                return replace(draft, segment=reflex, side=side)
        if unit.side in OPPOSITE:
            return replace(draft, side=side)
    if unit.sort == "level" and draft.segment in load().vocabulary.levels:
        return replace(draft, segment=unit.codes[0])
    return None


def _note(statement: Statement, utterance: Utterance) -> str | None:
    """Why something was not assessable, in the speaker's words."""
    if statement.status is None:
        return None
    texts = utterance.texts
    at = statement.status.end
    for i in range(at, utterance.end):
        if texts[i] in ("because", "since", "as", "due"):
            return " ".join(t for t in texts[i : utterance.end] if t not in ".;?!")
    return None


def _evidence(transcript: Transcript, pieces: Sequence[Atom], start: int, end: int):  # type: ignore[no-untyped-def]
    return transcript.evidence(pieces[start].word, pieces[max(end - 1, start)].word)


def _finding(f: _Found, transcript: Transcript, pieces: Sequence[Atom]) -> Finding:
    evidence = _evidence(transcript, pieces, f.start, f.end)
    words = transcript.words[evidence.first_word : evidence.last_word + 1]
    heard = [w.probability for w in words if w.probability is not None]
    confidence = 0.85 if f.draft.implied else 0.95
    if f.possible:
        confidence -= 0.05
    if heard:
        confidence *= 0.5 + 0.5 * min(heard)
    return Finding(
        modality=f.draft.modality,
        segment=f.draft.segment,
        side=f.draft.side,
        grade=f.draft.grade,
        status=f.draft.status,
        certainty="possible" if f.possible else "definite",
        confidence=round(confidence, 3),
        evidence=evidence,
        note=f.note,
    )


def _claim(c: ClaimDraft, transcript: Transcript, pieces: Sequence[Atom]) -> Claim:
    return Claim(
        kind=c.kind,  # type: ignore[arg-type]
        subject=c.subject,
        value=c.value,
        evidence=_evidence(transcript, pieces, c.start, c.end),
    )


_ = LIMBS
