"""Why words are or are not changed: every candidate with its score, its chance and its fate.

The verdicts are those of ``correct()`` itself. Beside them stand the candidates that it passed
over, so that a person sees what else the words sound like and what spoke against it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..record import Correction, Word
from ..transcript import Transcript
from .candidates import said
from .changes import Edge
from .correction import CorrectOptions, correct, decide, installed, judge
from .distance import distance
from .edges import build
from .lattice import Lattice
from .rewrite import Decided
from .units import Unit, tokens_of
from .words import guarded

#: A replacement by where it stands and what it makes.
_Key = tuple[int, int, tuple[str, ...]]


@dataclass(frozen=True)
class Reading:
    """One candidate: the heard words, what they could be, and the parts of the score.

    ``distance`` is in phonemes; ``sound``, ``fit`` and ``doubt`` are natural logarithms whose
    sum is ``gain``, the advantage over keeping what was heard (a personal variant has none: it
    is not weighed). ``chance``, 0 to 1, is that of being right, and decides. ``decision`` says
    in few words what became of it, ``reason`` why.
    """

    heard: str
    became: str
    term: str
    distance: float
    sound: float
    fit: float
    doubt: float
    chance: float
    decision: str
    reason: str

    @property
    def gain(self) -> float:
        """The advantage over keeping what was heard."""
        return self.sound + self.fit + self.doubt

    @property
    def told(self) -> bool:
        """Whether it is made or marked for review."""
        return not self.decision.startswith("kept")


@dataclass(frozen=True)
class Explanation:
    """What ``words`` sound like, the candidates (best first) and what correction does.

    ``guarded`` are the words that are numbers, sides or levels, which no sound changes.
    """

    words: str
    phonemes: tuple[str, ...]
    guarded: tuple[str, ...]
    readings: tuple[Reading, ...]
    corrections: tuple[Correction, ...]
    corrected: str

    @property
    def verdict(self) -> str:
        """What was decided and why, in one sentence."""
        if self.corrections:
            told = (
                f"“{c.heard}” {'becomes' if c.made else 'is marked for review, may be'} "
                f"“{c.became}”: {c.reason}"
                for c in self.corrections
            )
            return "; ".join(told) + "."
        if self.readings:
            best = self.readings[0]
            short = best.decision.removeprefix("kept: ")
            why = best.reason if best.reason.startswith(short) else f"{short}; {best.reason}"
            return (
                f"Nothing is changed; nearest is “{best.became}” for “{best.heard}” "
                f"(chance {best.chance:.2f}): {why}."
            )
        if self.guarded and all(map(guarded, tokens_of(self.words))):
            return "Nothing is changed: no sound changes a number, a side or a level."
        return "Nothing is changed: no term of the lexicon sounds like this."


def explain(
    words: str,
    *,
    options: CorrectOptions = CorrectOptions(),  # noqa: B008 - frozen
    probability: float = 0.7,
    most: int = 12,
) -> Explanation:
    """How correction judges ``words`` as if a recogniser had heard them.

    ``probability`` is the recogniser's trust in each word, 0 to 1; ``most`` limits the
    candidates shown. Put words around a doubtful one to see what its neighbours do.
    """
    heard = Transcript(tuple(Word(text=w, probability=probability) for w in words.split()))
    lattice, verdicts = decide(heard, options=options)
    units = lattice.units
    every = build(
        units,
        [probability] * len(units),
        installed(options.variants, options.words),
        options.weights,
        every=True,
    )
    readings = list(_readings(lattice, every, verdicts, options))
    readings.sort(key=lambda r: -r.gain)
    shown = [r for k, r in enumerate(readings) if k < most or r.told]
    done = correct(heard, options=options)
    return Explanation(
        words=words,
        phonemes=tuple(said([u.text for u in units])) if units else (),
        guarded=tuple(dict.fromkeys(u.text for u in units if guarded(u.text))),
        readings=tuple(shown),
        corrections=done.corrections,
        corrected=done.transcript.corrected,
    )


def _readings(
    lattice: Lattice, every: Lattice, verdicts: tuple[Decided, ...], options: CorrectOptions
) -> Iterator[Reading]:
    """One for each thing that words could be, with the verdict or why there is none."""
    weighed = _best_edges(lattice)
    found = {_key(v.change.edge): v for v in verdicts}
    others = {k: e for k, e in {**_best_edges(every), **weighed}.items() if k not in found}
    for verdict in verdicts:
        yield _reading(lattice.units, verdict, _fate(verdict, options), verdict.reason)
    for key, edge in others.items():
        alone = judge(lattice.judge(edge), lattice, options)
        fate, why = _passed_over(key, alone, verdicts, key in weighed)
        yield _reading(lattice.units, alone, fate, f"{why}; {alone.reason}")


def _fate(verdict: Decided, options: CorrectOptions) -> str:
    if verdict.made:
        return "changed"
    if verdict.told:
        return "for review"
    if verdict.score >= options.hint:
        return "kept: little trade talk around"
    return f"kept: chance under {options.hint:.2f}"


def _passed_over(
    key: _Key, alone: Decided, verdicts: tuple[Decided, ...], weighed: bool
) -> tuple[str, str]:
    """The fate of a candidate that is not on the best reading, and why it is not."""
    first, last, _ = key
    better = [v.change.tokens for v in verdicts if v.change.first < last and first < v.change.last]
    if alone.change.gain <= 0:
        return "kept: worth less", "worth less than what was heard"
    if better:
        instead = " ".join(better[0])
        return f"kept: “{instead}” is better", f"“{instead}” reads better here"
    if not weighed:
        return "kept: not in doubt", "the recogniser was sure of words that fit where they stand"
    return (
        "kept: reads worse as a whole",
        "with all that stands around, what was heard reads better",
    )


def _best_edges(lattice: Lattice) -> dict[_Key, Edge]:
    """The replacements of ``lattice``; of several ways of saying one, that of least cost."""
    out: dict[_Key, Edge] = {}
    for edges in lattice.edges.values():
        for edge in edges:
            there = out.get(_key(edge))
            if there is None or edge.cost > there.cost:
                out[_key(edge)] = edge
    return out


def _key(edge: Edge) -> _Key:
    return edge.first, edge.last, edge.tokens


def _reading(units: Sequence[Unit], verdict: Decided, fate: str, why: str) -> Reading:
    change, edge = verdict.change, verdict.change.edge
    heard = [u.text for u in units[edge.first : edge.last]]
    apart = edge.distance
    if edge.kind in ("closed", "seen", "own"):  # these are reckoned at another distance
        apart = min(distance(a, b) for a in said(heard) for b in said(edge.tokens))
    own = edge.kind == "own"
    return Reading(
        heard=" ".join(heard),
        became=" ".join(edge.tokens),
        term=edge.term,
        distance=round(apart, 2),
        sound=0.0 if own else round(change.sound, 2),
        fit=0.0 if own else round(change.fit, 2),
        doubt=0.0 if own else round(change.doubt, 2),
        chance=round(verdict.score, 3),
        decision=fate,
        reason=why,
    )
