"""The stage: a transcript in, the transcript with the trade's words right out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ...lexicon import load
from ...lexicon.files import read_rows
from ..record import Correction
from ..transcript import Transcript
from .changes import Change, Weights
from .edges import ambiguous, build
from .lattice import Lattice
from .marks import chance, marks_of, reason
from .rewrite import Decided, rewrite
from .targets import Hearing, hearing
from .units import units_of

_TALK = 0.3  # where trade talk weighs less than this, plain words are left alone


@dataclass(frozen=True)
class CorrectOptions:
    """How correction decides.

    A change is made when its chance of being right is at least ``line`` and suggested from
    ``hint`` up. In a typed text only unknown words are changed, to what sounds at most
    ``typed_distance`` phonemes away and reads better by ``typed_line`` (natural logarithm).
    ``variants`` and ``words`` are a person's own (``personal.py``).
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
    known = knowledge or installed(options.variants, options.words)
    units = units_of([w.text for w in transcript.words])
    typed = all(w.probability is None for w in transcript.words)
    sure = [transcript.words[u.word].probability for u in units]
    lattice = build(
        units, [1.0 if p is None else p for p in sure], known, options.weights, typed=typed
    )
    decided = []
    for change in lattice.changes():
        verdict = _judge(change, lattice, options, typed)
        if verdict is not None:
            decided.append(verdict)
    if not decided:
        return Corrected(transcript, ())
    new, corrections = rewrite(transcript, units, decided, _capitals())
    return Corrected(new, corrections)


def _judge(
    change: Change, lattice: Lattice, options: CorrectOptions, typed: bool
) -> Decided | None:
    marks = marks_of(change, lattice)
    why = reason(change, marks)
    if typed:
        unknown = marks["nonword"] == 1
        near = change.edge.distance <= options.typed_distance
        if not (unknown and near and change.gain >= options.typed_line):
            return None
        if ambiguous(change, lattice.units, lattice.hearing):
            return Decided(change, False, 0.5, "the opposite word sounds about as near")
        return Decided(change, True, 0.99, why)
    if change.edge.size == 0:
        return Decided(change, True, 1.0, "the house spelling of the same words")
    if change.edge.plain and marks["talk"] < _TALK:
        return None
    score = chance(marks)
    if ambiguous(change, lattice.units, lattice.hearing):
        score = min(score, 0.9 * options.line)
        why = "the opposite word sounds about as near; " + why
    if score < options.hint:
        return None
    return Decided(change, score >= options.line, score, why)


@cache
def installed(variants: tuple[tuple[str, str], ...], words: tuple[str, ...]) -> Hearing:
    """What the installed lexicon knows, with a person's own variants and words."""
    return hearing(load().terms, variants, words)


@cache
def _capitals() -> Mapping[str, str]:
    found = {letter: letter.upper() for letter in "ctls"}
    for _, row in read_rows("sounds/classes.csv"):
        if row["class"] == "EPONYM":
            found[row["word"]] = row["word"].capitalize()
            found[row["word"] + "'s"] = row["word"].capitalize() + "'s"
    found["achilles"] = "Achilles"
    return found
