"""Why words are or are not changed: every candidate with the parts of its score."""

from __future__ import annotations

from dataclasses import dataclass

from ..record import Correction, Word
from ..transcript import Transcript
from .candidates import said
from .changes import Change, Edge
from .correction import CorrectOptions, correct, installed
from .edges import build
from .units import units_of


@dataclass(frozen=True)
class Reading:
    """One candidate: the heard words, what they could be, and the parts of the score.

    ``distance`` is in phonemes; ``sound``, ``fit`` and ``doubt`` are natural logarithms whose
    sum is ``gain``, the advantage over keeping what was heard.
    """

    heard: str
    became: str
    term: str
    distance: float
    sound: float
    fit: float
    doubt: float

    @property
    def gain(self) -> float:
        """The advantage over keeping what was heard."""
        return self.sound + self.fit + self.doubt


@dataclass(frozen=True)
class Explanation:
    """What ``words`` sound like, the candidates (best first) and what correction does."""

    words: str
    phonemes: tuple[str, ...]
    readings: tuple[Reading, ...]
    corrections: tuple[Correction, ...]
    corrected: str

    @property
    def verdict(self) -> str:
        """What was decided and why, in one sentence."""
        made = [c for c in self.corrections if c.made]
        if made:
            return "; ".join(f"“{c.heard}” becomes “{c.became}”: {c.reason}" for c in made) + "."
        if self.corrections:
            c = self.corrections[0]
            return f"“{c.heard}” may be “{c.became}” and is marked for review: {c.reason}."
        if self.readings:
            return "Nothing is changed: no candidate is worth more than what was heard."
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
    knowledge = installed(options.variants, options.words)
    units = units_of([w.text for w in heard.words])
    lattice = build(units, [probability] * len(units), knowledge, options.weights, every=True)
    readings = []
    for edges in lattice.edges.values():
        for edge in edges:
            readings.append(_reading(edge, lattice.judge(edge), [u.text for u in units]))
    readings.sort(key=lambda r: -r.gain)
    done = correct(heard, options=options)
    return Explanation(
        words=words,
        phonemes=tuple(said([u.text for u in units])) if units else (),
        readings=tuple(readings[:most]),
        corrections=done.corrections,
        corrected=done.transcript.corrected,
    )


def _reading(edge: Edge, change: Change, texts: list[str]) -> Reading:
    return Reading(
        heard=" ".join(texts[edge.first : edge.last]),
        became=" ".join(edge.tokens),
        term=edge.term,
        distance=round(edge.distance, 2),
        sound=round(change.sound, 2),
        fit=round(change.fit, 2),
        doubt=round(change.doubt, 2),
    )
