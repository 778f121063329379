"""The stage: a transcript in, the transcript with the trade's words right out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from ...lexicon import load
from ...lexicon.files import read_rows
from ..hearing import Doubts, HeardWord
from ..record import Correction
from ..transcript import Transcript, Wording
from .changes import Change, Weights
from .doubts import listen, readings, turned_round
from .edges import ambiguous, build
from .lattice import Lattice
from .levels import misplaced
from .marks import chance, marks_of, reason
from .rewrite import Decided, rewrite
from .rivals import likeliest
from .targets import Hearing, hearing
from .units import units_of
from .variants import own_edges

_TALK = 0.3  # where trade talk weighs less than this, plain words are left alone
_OWN = "in the personal lexicon"
_TURNED = "the opposite sounds about the same, and nothing else tells them apart"
_SAME = {
    "spelling": "the house spelling of the same words",
    "glued": "a side and a word that were written as one",
    "parted": "a term of the lexicon, written with a comma in it",
}


@dataclass(frozen=True)
class CorrectOptions:
    """How correction decides.

    A change is made when its chance of being right is at least ``line`` and suggested from
    ``hint`` up. In a typed text only unknown words are changed, to what sounds at most
    ``typed_distance`` phonemes away and reads better by ``typed_line`` (natural logarithm).
    ``variants`` and ``words`` are a person's own (``personal.py``); a variant that is heard
    exactly needs no chance (``variants.py``).
    """

    line: float = 0.5
    hint: float = 0.25
    typed_line: float = 9.0
    typed_distance: float = 0.7
    variants: tuple[tuple[str, str], ...] = ()
    words: tuple[str, ...] = ()
    weights: Weights = Weights()  # noqa: RUF009 - frozen


@dataclass(frozen=True)
class Corrected:
    """The corrected transcript and every change, made or only suggested, in order."""

    transcript: Transcript
    corrections: tuple[Correction, ...]


def correct(
    transcript: Transcript,
    *,
    options: CorrectOptions = CorrectOptions(),
    knowledge: Hearing | None = None,
) -> Corrected:
    """Mend the trade's words of ``transcript``.

    Words with a probability were heard and are judged by sound and context; words without one
    were typed, and only words that nobody knows are changed there, to a term that sounds
    nearly the same. ``knowledge`` stands in for the installed lexicon. Nothing to mend gives
    the transcript back as it is.
    """
    lattice, verdicts = decide(transcript, options=options, knowledge=knowledge)
    decided = [v for v in verdicts if v.told]
    if not decided:
        return Corrected(transcript, ())
    new, corrections = rewrite(transcript, lattice.units, decided, _capitals())
    return Corrected(new, corrections)


def doubts(options: CorrectOptions = CorrectOptions()) -> Doubts:
    """What to ask the recogniser about its words while their sound is at hand."""
    known = installed(options.variants, options.words)

    def ask(words: Sequence[HeardWord]) -> Sequence[Wording]:
        texts = [w.text for w in words]
        units = units_of(texts)
        sure = [words[u.word].probability for u in units]
        return readings(build(units, sure, known, options.weights), texts)

    return ask


def decide(
    transcript: Transcript,
    *,
    options: CorrectOptions = CorrectOptions(),
    knowledge: Hearing | None = None,
) -> tuple[Lattice, tuple[Decided, ...]]:
    """The candidates that were weighed, and a verdict on each of the best reading, in order.

    A verdict that is not ``told`` leaves no trace: the words stay as they were heard.
    """
    known = knowledge or installed(options.variants, options.words)
    words = [w.text for w in transcript.words]
    units = units_of(words)
    typed = all(w.probability is None for w in transcript.words)
    sure = [transcript.words[u.word].probability for u in units]
    lattice = build(
        units, [1.0 if p is None else p for p in sure], known, options.weights, typed=typed
    )
    listen(lattice, words, transcript.weighed)
    changes = lattice.changes() if typed else likeliest(lattice)
    verdicts = [judge(change, lattice, options, typed) for change in changes]
    questions = [(e, f"{_OWN}; {why}") for e, why in own_edges(units, known, typed=typed).doubtful]
    questions += [(e, _TURNED) for e in turned_round(lattice, words, transcript.weighed or ())]
    questions += misplaced(units)
    for edge, why in questions:
        beside = [v for v in verdicts if edge.last <= v.change.first or v.change.last <= edge.first]
        # What a person wrote down as doubtful stays so, whatever else it may sound like.
        own = edge.kind == "own"
        if own or sum(v.made for v in beside) == sum(v.made for v in verdicts):
            verdicts = [*beside, Decided(lattice.judge(edge), False, 0.9 * options.line, why)]
    return lattice, tuple(sorted(verdicts, key=lambda v: v.change.first))


def judge(
    change: Change, lattice: Lattice, options: CorrectOptions, typed: bool = False
) -> Decided:
    """The verdict on ``change``, with its chance of being right."""
    if change.edge.kind == "own":
        return Decided(change, True, 1.0, f"{_OWN}; heard exactly as it stands there")
    marks = marks_of(change, lattice)
    why = reason(change, marks, lattice.listened)
    if typed:
        unknown = marks["nonword"] == 1
        near = change.edge.distance <= options.typed_distance
        told = unknown and near and change.gain >= options.typed_line
        if told and ambiguous(change, lattice.units, lattice.hearing):
            return Decided(change, False, 0.5, "the opposite word sounds about as near")
        return Decided(change, told, 0.99 if told else chance(marks, lattice.listened), why, told)
    if change.edge.size == 0:
        return Decided(change, True, 1.0, _SAME[change.edge.kind])
    score = chance(marks, lattice.listened)
    if change.edge.plain and marks["talk"] < _TALK:
        why = "plain words are left alone where little trade talk is; " + why
        return Decided(change, False, score, why, False)
    if ambiguous(change, lattice.units, lattice.hearing):
        score = min(score, 0.9 * options.line)
        why = "the opposite word sounds about as near; " + why
    return Decided(change, score >= options.line, score, why, score >= options.hint)


def installed(variants: tuple[tuple[str, str], ...], words: tuple[str, ...]) -> Hearing:
    """What the installed lexicon knows, with a person's own variants and words."""
    found = _installed(words)
    return found.taught(variants) if variants else found


@cache
def _installed(words: tuple[str, ...]) -> Hearing:
    return hearing(load().terms, words)


@cache
def _capitals() -> Mapping[str, str]:
    found = {letter: letter.upper() for letter in "ctls"}
    for _, row in read_rows("sounds/classes.csv"):
        if row["class"] == "EPONYM":
            found[row["word"]] = row["word"].capitalize()
            found[row["word"] + "'s"] = row["word"].capitalize() + "'s"
    found["achilles"] = "Achilles"
    return found
