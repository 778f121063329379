"""The stage: a transcript in, the transcript with the trade's words right out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ...lexicon import load
from ...lexicon.files import read_rows
from ..record import Correction
from ..transcript import Transcript
from .decide import Change, Lattice, Weights, ambiguous, build, commonness
from .phonemes import is_known
from .rewrite import Decided, rewrite
from .targets import Hearing, hearing
from .units import units_of

_PROSE = 0.1  # trade talk weighs less than this in ordinary prose
_TALK = 0.3  # and less than this where plain words are left alone


@dataclass(frozen=True)
class CorrectOptions:
    """How correction decides; ``line`` and ``hint`` are gains in natural logarithms.

    A change is made from ``line`` up (``prose_line`` where next to nothing around it is trade
    talk) and suggested from ``hint`` up. ``typed_distance`` is the
    greatest distance, in phonemes, at which an unknown word of a typed text is changed.
    """

    line: float = 1.0
    hint: float = -0.5
    prose_line: float = 6.0
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
    if typed:
        unknown = all(
            not is_known(u.text) and commonness(u.text) < 1e-7
            for u in lattice.units[change.first : change.last]
        )
        near = max(e.distance for e in change.edges) <= options.typed_distance
        if not (unknown and near and change.gain >= options.typed_line):
            return None
    elif change.gain < options.hint:
        return None
    talk = max(lattice.trade_weight[change.first : change.last])
    if talk < _TALK and all(e.plain for e in change.edges):
        return None
    line = options.typed_line if typed else options.line
    if talk < _PROSE:
        line = max(line, options.prose_line)
    if ambiguous(change, lattice.units, lattice.hearing):
        why = "the opposite word sounds about as near; " + reason(change)
        return Decided(change, False, min(change.score, 0.5), why)
    return Decided(change, change.gain >= line, change.score, reason(change))


def reason(change: Change) -> str:
    """Why a change was made, in one line, from the parts of its score."""
    far = sum(e.distance for e in change.edges)
    sounds = "sounds the same" if far == 0 else f"sounds {far:.1f} phonemes away"
    return (
        f"{sounds} ({change.sound:+.1f}); fits its neighbours better ({change.fit:+.1f}); "
        f"trust in the recogniser ({change.doubt:+.1f})"
    )


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
    found["achilles"] = "Achilles"
    return found
