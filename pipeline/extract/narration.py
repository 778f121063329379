"""The walk over a narration: its utterances in order, and what is in force between them.

Each utterance is read as units and statements. A heading changes the context; a repair
changes what was found; every other statement yields findings, shares or copies those of
others, or is listed as unresolved with the reason.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

from ...lexicon.words import load_words
from . import sharing, takebacks
from .asserting import defines, goes_on, is_praise, says_only_grade
from .claims import ClaimDraft, ClaimReader
from .context import OPPOSITE, Context, heads_list, is_heading, limbs_of, opening_side
from .drafts import Draft, drafts_of
from .found import Found, FoundList
from .kinds import OBSERVED, Utterance
from .meanings import MeaningReader
from .parse import statements_of
from .phrases import units_of
from .recording import note_of
from .referents import Referents
from .sides import last_side
from .spots import Spot, limbs_named, names_a_muscle, sums_up
from .statement import Statement, Target
from .targets import compatible, general_targets, other_walk, place_as_reflex
from .units import Unit

#: Talk in which a heading announces nothing.
_IDLE = ("hypothetical", "explanation", "question")
#: Talk that shows what is found next ("look at this gait").
_SHOWING = ("instruction", "plan")


@dataclass(frozen=True)
class Left:
    """Atoms that carry a trade word and yielded nothing, and why."""

    start: int
    end: int
    reason: str


@dataclass
class _Reading:
    """One utterance being read: what came of it so far."""

    number: int
    utterance: Utterance
    #: number of the utterance that the run of talk without a stop began with
    since: int
    #: whether its findings take the place of those before
    supersedes: bool
    #: where the definition of a grade begins in it
    defines_from: int | None
    done: list[Statement] = field(default_factory=list)
    made: list[int] = field(default_factory=list)
    limbs: list[Spot] = field(default_factory=list)

    def is_definition(self, statement: Statement) -> bool:
        """Whether a statement only speaks of the grade defined ("five is full power")."""
        if self.defines_from is None or statement.sides or statement.places:
            return False
        return any(u.start >= self.defines_from for u in statement.units)


class Walk:
    """One reading of a narration; ``read`` fills ``found``, ``claims`` and ``unresolved``."""

    def __init__(self, utterances: Sequence[Utterance]):
        self._utterances = utterances
        self._context = Context()
        self._claim_reader = ClaimReader()
        self._meaning_reader = MeaningReader()
        self._referents = Referents()
        self._since = 0
        self.found = FoundList()
        self.claims: list[ClaimDraft] = []
        self.unresolved: list[Left] = []
        #: what was in force before each utterance that says something, by its number
        self.in_force: dict[int, tuple[str, ...]] = {}

    def read(self) -> None:
        """Read all utterances."""
        for number, utterance in enumerate(self._utterances):
            units = units_of(utterance)
            if "level" in utterance.words:
                self._claim_reader.forget()  # "the sensory level? T8": of a child
            if units:
                self.in_force[number] = self._context.in_force
                self._utterance(number, utterance, units)
        self.found.drop(takebacks.general_remarks(self.found))
        self.found.merge_doubles()

    def _utterance(self, number: int, utterance: Utterance, units: list[Unit]) -> None:
        context = self._context
        context.runs_on = utterance.runs_on
        self._since = self._since if utterance.runs_on else number
        following = self._utterances[number + 1] if number + 1 < len(self._utterances) else None
        meanings = self._meaning_reader.read(utterance, units, following, context.topic)
        self.claims += meanings
        repair = takebacks.repair(self.found, context, utterance, units)
        if repair == "done":
            return
        units = takebacks.without_turned_about(units)
        observed = [u for u in units if u.kind == OBSERVED]
        told = [u for u in units if u.kind == "history"]
        if told and observed and told[0] is units[0]:
            self._referents.show(number, told)  # "… absent last year, but today it is two plus"
        statements = statements_of(observed, topic=context.topic)
        if following is not None and following.runs_on:
            context.topic = heads_list(observed) or context.topic
        for statement in statements_of([u for u in units if u.kind != OBSERVED]):
            self._leave(statement, utterance)
        claims = self._claim_reader.read(utterance, units, statements)
        self.claims += claims
        if is_heading(utterance, statements) and not claims and utterance.kind not in _IDLE:
            self._referents.announce(number, units)
            context.open_heading(units, self.found.next_serial)
            return
        side = opening_side(utterance, units)
        named = any(u.sort == "target" for u in units) or not any(u.number for u in units)
        if side and named and utterance.kind_at(units[0].start) == OBSERVED:
            context.open_side(side, self.found.next_serial)
            if units[0].sort == "place" and (limbs := limbs_of(units[:1])):
                context.limbs = limbs
        defines_from = min((c.start for c in meanings), default=None)
        reading = _Reading(number, utterance, self._since, repair == "restated", defines_from)
        for statement in statements:
            made = self._statement(reading, statement)
            if made:
                context.last_batch = made
                reading.made += made
            elif not statement.heading and not claims and not meanings:
                self._leave(statement, utterance)
            context.forget_limbs(statement, made=bool(made))
            reading.done.append(statement)
            reading.limbs = limbs_named(statement) or reading.limbs
        if reading.made:
            context.last_utterance = reading.made
        elif utterance.kind in _SHOWING:
            self._referents.show(number, units)
        if reading.made and not side and utterance.kind == OBSERVED:
            made = [at for at in reading.made if at < len(self.found)]
            context.forget_side({self.found[at].draft.side for at in made})

    # -- statements ---------------------------------------------------------------------

    def _statement(self, reading: _Reading, statement: Statement) -> list[int]:
        """The positions of the findings that a statement made."""
        context, number, utterance = self._context, reading.number, reading.utterance
        if not statement.units or reading.is_definition(statement):
            return []
        if any(u.kind != OBSERVED for u in statement.units):
            return []
        if statement.heading:
            context.open_heading(statement.units, self.found.next_serial)
            return []
        if statement.same and not statement.targets and last_side(statement) == "both":
            return sharing.side_of_all(self.found, statement, since=number)
        if statement.same and not statement.targets:
            return sharing.copy_to_side(self.found, context, statement, number=number)
        if defines(utterance, statement):
            return []
        if not statement.targets and "instruction" in utterance.kinds:
            return []  # "hold it, strong, strong"
        if statement.all_those:
            return sharing.side_of_all(self.found, statement, since=reading.since)
        self._take_over_targets(statement, reading)
        if statement.same and not statement.headed:
            copied = sharing.copy_to_targets(
                self.found, statement, number=number, last=context.last_utterance
            )
            if copied:
                return copied
        if statement.same and statement.grade is None and statement.status is None:
            self._take_over_grade(statement, reading.done)
        statement.pronoun = not load_words().anaphora.isdisjoint(utterance.words)
        drafts = drafts_of(
            statement, utterance, context, recorded=self.found.keys, limbs=reading.limbs
        )
        if not drafts:
            return []
        self._referents.find(statement, number)
        self._add(reading, statement, drafts)
        return sharing.share_back(
            self.found, reading.done, statement, number=number, since=reading.since
        )

    def _take_over_targets(self, statement: Statement, reading: _Reading) -> None:
        """Let a statement without a target speak of what the one before it was about."""
        before, utterance = statement.inherited, reading.utterance
        last = self._referents.recent(reading.number)
        if statement.targets:
            walk = (
                None if statement.own_targets else other_walk(statement.targets, statement.places)
            )
            if walk is not None:
                statement.targets, statement.places, statement.inherited = [walk], [], None
            elif not statement.own_targets and (names_a_muscle(statement) or sums_up(statement)):
                statement.targets = general_targets(statement.targets)  # "…, calf five"
            return
        if before is not None and before.targets:
            statement.targets, statement.own_targets = list(before.targets), False
            return
        shown = self._referents.shown(statement, utterance, reading.number)
        if shown:
            statement.targets = shown
            return
        if last is None:
            return
        if (
            self._referents.names_side_only(reading.number)
            and says_only_grade(utterance, statement)
            and not (statement.throughout or is_praise(utterance, statement))
        ):
            statement.targets, statement.own_targets = list(last.targets), False
            return
        chained = self._context.topic is not None and before is not None
        if chained or not goes_on(utterance, statement):
            return
        if self._context.topic is not None and self._referents.names_announced:
            return
        walk = other_walk(last.targets, statement.places)
        if walk is not None:
            statement.targets, statement.places = [walk], []
            return
        if statement.grade is not None and not compatible(statement.grade, last.targets):
            return
        jerks = [place_as_reflex(p) for p in statement.places]
        if jerks and all(jerks) and all(t.modality == "reflex" for t in last.targets):
            statement.targets = [j for j in jerks if j is not None]  # "ankles brisk too"
            return
        ones = not load_words().plural_anaphora.isdisjoint(utterance.words)
        if ones and statement.sides and not statement.places:
            statement.targets = self._targets_before(last)
            statement.inherited, statement.own_targets = last, False
            return
        wide = statement.places or statement.throughout
        statement.targets = general_targets(last.targets) if wide else list(last.targets)
        statement.inherited, statement.own_targets = last, False

    def _targets_before(self, last: Statement) -> list[Target]:
        """What the utterance before was about ("the right-sided ones are normal")."""
        modality = last.targets[0].modality
        found = (self.found[at] for at in self._context.last_utterance if at < len(self.found))
        targets = (t for f in found for t in f.draft.statement.targets if t.modality == modality)
        return list({(t.modality, t.segment): t for t in (*targets, *last.targets)}.values())

    def _take_over_grade(self, statement: Statement, done: Sequence[Statement]) -> None:
        """ "Absent, likewise the biceps jerks"."""
        last = self._referents.last
        if last is not None and last.headed:
            before: Statement | None = last
        else:
            before = next((s for s in reversed(done) if s.headed), None)
        if before is not None:
            statement.grade, statement.status = before.grade, before.status
            if not statement.places and statement.generic_only:
                statement.inherited = before  # where it was said of, too

    def _add(self, reading: _Reading, statement: Statement, drafts: Collection[Draft]) -> None:
        """Add what is new among the findings of a statement."""
        start, end = statement.span
        named = [t.unit.start for t in statement.targets if not statement.own_targets]
        if named and min(named) >= reading.utterance.start:
            start = min(start, *named)  # the evidence shows what was examined, too
        possible = reading.utterance.is_possible(start, end)
        note = note_of(statement, reading.utterance)
        sides: set[str] = set()
        if statement.exception:  # "C5 to T1 normal except reduced at C7"
            keys, own = {d.key for d in drafts}, self.found.of_utterance(reading.number)
            self.found.drop([at for at in own if self.found[at].draft.key in keys])
        for draft in drafts:
            if reading.supersedes:
                self.found.drop_key(draft.key)
            if not self.found.asserts(draft):
                self.found.add(Found(draft, start, end, possible, note, reading.number))
                sides.add(draft.side)
        sides &= OPPOSITE.keys()
        if len(sides) == 1:
            self._context.last_side = sides.pop()

    # -- leavings -----------------------------------------------------------------------

    def _leave(self, statement: Statement, utterance: Utterance) -> None:
        """List a statement that yielded nothing, together with its like just before."""
        if not statement.units or not (statement.targets or statement.headed):
            return
        told = any(u.sort in ("target", "status") or u.number for u in statement.units)
        if not (told or (statement.places and statement.grade is not None)):
            return
        start, end = statement.span
        kinds = [u.kind for u in statement.units if u.kind != OBSERVED]
        reason = kinds[0] if kinds else "no statement could be read"
        last = self.unresolved[-1] if self.unresolved else None
        if last is not None and last.reason == reason and last.start >= utterance.start:
            self.unresolved[-1] = Left(last.start, end, reason)
        else:
            self.unresolved.append(Left(start, end, reason))
