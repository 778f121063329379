"""What kind of talk each part of a narration is: an observation, or one of many things else.

A narration is split into utterances at stops, line ends and pauses. Cues (rules as data,
``lexicon/data/rules/cues.toml``) then mark the atoms that they cover as history,
instruction, explanation and so on. What no cue covers is taken as observed, if a statement
can be read there at all.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from ...lexicon.cues import Cue
from ...lexicon.words import load_words
from .commas import comma_cuts
from .mentions import Mention, longest
from .runon import run_on_cuts

OBSERVED = "observed"
_STOPS = frozenset(".;?!")
#: How many atoms a tag after a statement may have ("…, okay?").
_TAG_LENGTH = 3
#: A stretch of this many atoms with fewer than one mark in so many runs on.
_RUN_ON_ATOMS = 36
_ATOMS_PER_MARK = 20
#: A narration of this many atoms with as few marks runs on in all its parts.
_UNMARKED_ATOMS = 12
_MARKS_WITHIN = frozenset(",:")
_STOPS_TOO = _STOPS | _MARKS_WITHIN
#: How many atoms before a finding a hedge may stand, whatever parts them.
_HEDGE_REACH = 4
#: The kinds of talk that a plain cue only looks like.
_PRETENDED = ("hypothetical", "question", "instruction", "explanation", "plan")
_REPAIRS = ("correction", "retract")


@dataclass(frozen=True)
class CueHit:
    """A cue and the atoms that its wording covers."""

    cue: Cue
    start: int
    end: int


@dataclass(frozen=True)
class Utterance:
    """One stretch of talk: atoms ``start`` to ``end``, and the kind of each of them."""

    start: int
    end: int
    texts: Sequence[str]
    mentions: tuple[Mention, ...]
    kinds: tuple[str, ...]
    hits: tuple[CueHit, ...] = field(default=())
    #: whether it goes on from the utterance before without a stop or a pause
    runs_on: bool = False

    def kind_at(self, atom: int) -> str:
        """The kind of talk at ``atom``."""
        return self.kinds[atom - self.start]

    @property
    def kind(self) -> str:
        """The kind of most atoms that are not observed, else ``observed``."""
        counts = Counter(k for k in self.kinds if k != OBSERVED)
        return max(counts, key=lambda k: counts[k], default=OBSERVED)

    @cached_property
    def words(self) -> frozenset[str]:
        """The atoms spoken, each once."""
        return frozenset(self.texts[self.start : self.end])

    @cached_property
    def _hedges(self) -> list[int]:
        """Where the hedges begin, in order."""
        return [h.start for h in self.hits if h.cue.scope == "certainty"]

    def status_hits(self) -> list[CueHit]:
        """The cues that say what was not done or could not be judged."""
        return [h for h in self.hits if h.cue.scope == "status"]

    def is_possible(self, start: int, end: int) -> bool:
        """Whether a hedge stands in the clause of these atoms."""
        if not self._hedges:
            return False
        low, high = _clause(self.texts, self.start, self.end, start)
        low = min(low, max(start - _HEDGE_REACH, self.start))  # "…, I think, a tremor"
        at = bisect_left(self._hedges, low)
        return at < len(self._hedges) and self._hedges[at] < max(high, end)


def split_utterances(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    breaks: Collection[int],
    hits: Sequence[CueHit],
) -> list[tuple[int, int]]:
    """The utterances as (start, end): cut after a stop, before a break.

    A stretch that runs on without punctuation is cut where a new statement begins.
    """
    spans: list[tuple[int, int]] = []
    start = 0
    for i, text in enumerate(texts):
        if i in breaks and i > start:
            spans.append((start, i))
            start = i
        if text in _STOPS:
            spans.append((start, i + 1))
            start = i + 1
    if start < len(texts):
        spans.append((start, len(texts)))
    spans = [s for s in spans if any(t not in _STOPS for t in texts[s[0] : s[1]])]
    plain = {i for h in hits if h.cue.kind == "plain" for i in range(h.start, h.end)}
    talk = sorted((h.start, h.cue.kind) for h in hits if _opens_talk(h) and h.start not in plain)
    starts, steps = [m.start for m in mentions], _with_statuses(mentions, hits)
    unmarked = len(texts) >= _UNMARKED_ATOMS and _few_marks(texts, 0, len(texts), _STOPS_TOO)
    run_on_talk = _run_on_talk(texts, mentions, hits)
    step_starts = [m.start for m in steps]
    out: list[tuple[int, int]] = []
    for low, high in spans:
        if unmarked or (
            high - low >= _RUN_ON_ATOMS and _few_marks(texts, low, high, _MARKS_WITHIN)
        ):
            inside = steps[bisect_left(step_starts, low) : bisect_left(step_starts, high)]
            a, b = bisect_left(run_on_talk, (low, "")), bisect_left(run_on_talk, (high, ""))
            out += run_on_cuts(texts, low, high, inside, run_on_talk[a:b])
        else:
            own = mentions[bisect_left(starts, low) : bisect_left(starts, high)]
            opened = talk[bisect_left(talk, (low, "")) : bisect_left(talk, (high, ""))]
            out += comma_cuts(texts, low, high, own, opened)
    return out


def _few_marks(texts: Sequence[str], start: int, end: int, marks: frozenset[str]) -> bool:
    """Whether there are fewer marks among some atoms than anybody would write."""
    return sum(texts[i] in marks for i in range(start, end)) * _ATOMS_PER_MARK < end - start


def _with_statuses(mentions: Sequence[Mention], hits: Sequence[CueHit]) -> list[Mention]:
    """The mentions, and what was not done or could not be judged as markers among them."""
    statuses = longest((h.start, h.end) for h in hits if h.cue.scope == "status")
    covered = {i for span in statuses for i in range(*span)}
    steps = [m for m in mentions if not m.touches(covered)]
    steps += (Mention("marker", *span, marker="status") for span in statuses)
    return sorted(steps, key=lambda m: (m.start, m.end))


def _run_on_talk(
    texts: Sequence[str], mentions: Sequence[Mention], hits: Sequence[CueHit]
) -> list[tuple[int, str]]:
    """Where talk of another kind begins in talk without punctuation, in order.

    What counts at the start of a clause is taken to start one after an opener or a finding.
    """
    covered = {i for m in mentions if m.sort != "marker" for i in range(m.start, m.end)}
    covered.update(i for h in hits if h.cue.kind == "plain" for i in range(h.start, h.end))
    ends = {m.end for m in mentions if m.sort in ("side", "place")}
    grades = {m.end for m in mentions if m.sort in ("grade", "target")}
    openers = load_words().openers
    found: dict[int, str] = {}
    reach = -1
    for hit in sorted(hits, key=lambda h: (h.start, -h.end)):
        if hit.start < reach or (hit.start in covered and hit.end - 1 in covered):
            continue
        turns = (
            hit.start in ends
            or (hit.start in grades and hit.cue.kind == "instruction")
            or texts[hit.start - 1 : hit.start] == []
            or (texts[hit.start - 1] in openers)
        )
        opens = _opens_talk(hit) or (
            hit.cue.at == "start" and hit.cue.kind in ("instruction", "question") and turns
        )
        if opens:
            found[hit.start], reach = hit.cue.kind, hit.end
    return sorted(found.items())


def _opens_talk(hit: CueHit) -> bool:
    cue, scopes = hit.cue, ("sentence", "onward", "from_clause")
    return cue.kind != "plain" and cue.at == "anywhere" and cue.scope in scopes


def kinds_of(
    texts: Sequence[str],
    mentions: Sequence[Mention],
    spans: Sequence[tuple[int, int]],
    hits: Sequence[CueHit],
    breaks: Collection[int] = (),
    soft: Collection[int] = (),
) -> list[Utterance]:
    """The utterances with their mentions and the kind of every atom.

    ``soft`` are the atoms that follow a stop nobody wrote.
    """
    utterances: list[Utterance] = []
    ordered = sorted(hits, key=lambda h: h.start)
    m = h = 0
    acted = False
    for start, end in spans:
        own: list[Mention] = []
        while m < len(mentions) and mentions[m].start < end:
            own.append(mentions[m])
            m += 1
        cues: list[CueHit] = []
        while h < len(ordered) and ordered[h].start < end:
            if ordered[h].end <= end:
                cues.append(ordered[h])
            h += 1
        kept = _applying(texts, start, own, cues)
        kinds = _kinds(texts, start, end, kept)
        if utterances and utterances[-1].kind == "another_patient" and _still_told(texts, start):
            kinds = ("another_patient",) * (end - start)
        acted = _is_acted(texts, start, end, kept, acted=acted)
        if acted:
            kinds = tuple("explanation" if k == OBSERVED else k for k in kinds)
        written = texts[start - 1] in _STOPS and start not in soft
        runs_on = start > 0 and start not in breaks and not written
        utterances.append(Utterance(start, end, texts, tuple(own), kinds, tuple(kept), runs_on))
    return utterances


def _applying(
    texts: Sequence[str], start: int, mentions: Sequence[Mention], cues: Sequence[CueHit]
) -> list[CueHit]:
    """The cues that stand where they count, and not in a wording that only looks like one."""
    repaired = {i for m in mentions if m.marker in _REPAIRS for i in range(m.start, m.end)}
    plain = {i for c in cues if c.cue.kind == "plain" for i in range(c.start, c.end)}
    return [
        c
        for c in cues
        if c.cue.kind != "plain"
        and not (c.start in plain and c.cue.kind in _PRETENDED)
        and _well_placed(texts, start, c)
        and not (c.start in repaired and c.cue.kind in ("instruction", "explanation", "plan"))
    ]


def _is_acted(
    texts: Sequence[str], start: int, end: int, cues: Sequence[CueHit], *, acted: bool
) -> bool:
    """Whether a teacher shows signs on himself, as he said, and no patient was named since."""
    if any(h.cue.id == "acting" for h in cues):
        return True
    return acted and load_words().patient_words.isdisjoint(texts[start:end])


def _still_told(texts: Sequence[str], start: int) -> bool:
    """Whether a sentence goes on with the tale before it ("She had a waddling gait …")."""
    words, head = load_words(), texts[start : start + 2]
    if head[0] in words.tale_contractions:
        return True
    return len(head) == 2 and head[0] in words.tale_pronouns and head[1] in words.tale_verbs


def _well_placed(texts: Sequence[str], start: int, hit: CueHit) -> bool:
    if hit.cue.at == "sentence":
        return load_words().openers.issuperset(texts[start : hit.start])
    return hit.cue.at == "anywhere" or _opens(texts, start, hit.start)


def _opens(texts: Sequence[str], start: int, at: int) -> bool:
    """Whether only openers stand between the start of the clause and ``at``."""
    words, i = load_words(), at - 1
    while i >= start and texts[i] in words.openers and texts[i] != ",":
        i -= 1
    return i < start or texts[i] in words.clause_ends


def _clause(texts: Sequence[str], start: int, end: int, at: int) -> tuple[int, int]:
    ends = load_words().clause_ends
    low = at
    while low > start and texts[low - 1] not in ends:
        low -= 1
    high = at
    while high < end and texts[high] not in ends:
        high += 1
    return low, high


def _kinds(texts: Sequence[str], start: int, end: int, cues: Sequence[CueHit]) -> tuple[str, ...]:
    kinds = [OBSERVED] * (end - start)
    for hit in sorted(cues, key=lambda h: h.cue.kind == "hypothetical"):
        if hit.cue.scope == "clause":
            low, high = hit.start, _clause(texts, start, end, hit.start)[1]
        elif hit.cue.scope == "sentence":
            low, high = _reach(texts, start, end, hit)
        elif hit.cue.scope == "onward":
            low, high = hit.start, end
        elif hit.cue.scope == "whole_clause":
            low, high = _clause(texts, start, end, hit.start)
            if high < end and texts[high] == ":":
                high = end  # "six weeks ago: ankle jerk absent"
        elif hit.cue.scope == "from_clause":
            low, high = _clause(texts, start, end, hit.start)[0], end
        else:
            continue
        for i in range(low, high):
            kinds[i - start] = hit.cue.kind
    if texts[end - 1] == "?" and not _has_tag(texts, start, end):
        asked = any(h.cue.kind == "question" for h in cues)
        low = start if asked else _asked_from(texts, start, end)
        kinds = kinds if asked else [*kinds[: low - start], *["question"] * (end - low)]
    return tuple(kinds)


def _reach(texts: Sequence[str], start: int, end: int, hit: CueHit) -> tuple[int, int]:
    """A whole sentence, up to the word that turns back to this child, today."""
    low, high = start, end
    back_to_now = load_words().back_to_now
    if hit.cue.kind in ("history", "another_patient"):
        for i in range(hit.end, end):
            if texts[i] in back_to_now or texts[i] == "but":
                high = i
                break
        for i in range(hit.start - 1, start, -1):
            if texts[i] == "but" or (texts[i] in back_to_now and texts[i - 1] == ","):
                low = i
                break
    return low, high


def _asked_from(texts: Sequence[str], start: int, end: int) -> int:
    """Where the question of a sentence begins ("a mild tremor, see how it beats?")."""
    words, at = load_words(), end - 1
    while at > start and texts[at - 1] != ",":
        at -= 1
    return at if at > start and texts[at] in words.question_openers else start


def _has_tag(texts: Sequence[str], start: int, end: int) -> bool:
    """Whether a question mark belongs to a short tag after a statement ("…, okay?")."""
    commas = [i for i in range(start, end) if texts[i] == ","]
    return bool(commas) and end - commas[-1] - 2 <= _TAG_LENGTH
