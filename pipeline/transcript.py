"""The words of one narration, from a recogniser or from a text, on their way to a record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .record import Evidence, Word


@dataclass(frozen=True)
class Dropped:
    """Text that the recogniser wrote and that was most likely never said, and why."""

    text: str
    start_s: float
    end_s: float
    reason: str


class Wording(NamedTuple):
    """Other words that may have been said where words ``first`` to ``last`` (included) stand."""

    first: int
    last: int
    text: str


class Weighed(NamedTuple):
    """A wording that the recogniser was asked about.

    ``nats`` is by how much it finds the wording likelier in the sound than what it wrote
    (natural logarithm; negative: less likely).
    """

    wording: Wording
    nats: float


@dataclass(frozen=True)
class Transcript:
    """Words in order, with seconds and probabilities when they were heard.

    ``model`` names the recogniser, None for a text. ``duration_s`` is the length of the audio.
    ``dropped`` is what the guards took out, in order; ``weighed`` are the other wordings that
    were held against the sound; None when nobody asked.
    """

    words: tuple[Word, ...]
    duration_s: float | None = None
    model: str | None = None
    dropped: tuple[Dropped, ...] = ()
    weighed: tuple[Weighed, ...] | None = None

    @property
    def corrected(self) -> str:
        """The text as it stands now."""
        return _joined((w.text, w.new_line) for w in self.words)

    @property
    def heard(self) -> str:
        """The text as the recogniser wrote it."""
        return _joined((w.as_heard, w.new_line) for w in self.words)

    def evidence(self, first_word: int, last_word: int) -> Evidence:
        """The evidence of the words from ``first_word`` to ``last_word``, both included."""
        words = self.words[first_word : last_word + 1]
        starts = [w.start_s for w in words if w.start_s is not None]
        ends = [w.end_s for w in words if w.end_s is not None]
        return Evidence(
            heard=" ".join(w.as_heard for w in words if w.as_heard),
            corrected=" ".join(w.text for w in words),
            first_word=first_word,
            last_word=last_word,
            start_s=min(starts) if starts else None,
            end_s=max(ends) if ends else None,
        )


def whole_stretch(words: Sequence[Word], first: int, last: int) -> tuple[int, int]:
    """Words ``first`` to ``last`` with the rest of a stretch that was changed: heard as a whole."""
    while first > 0 and words[first].heard == "":
        first -= 1
    while last + 1 < len(words) and words[last + 1].heard == "":
        last += 1
    return first, last


def from_text(text: str) -> Transcript:
    """The transcript of a written narration: its words, without times."""
    words: list[Word] = []
    for line in text.splitlines():
        words.extend(Word(text=w, new_line=i == 0) for i, w in enumerate(line.split()))
    return Transcript(tuple(words))


def from_heard(words: Sequence[tuple[str, float, float, float]]) -> Transcript:
    """A transcript from (text, start s, end s, probability), for tests and fakes."""
    return Transcript(
        tuple(Word(text=t, start_s=a, end_s=b, probability=p) for t, a, b, p in words)
    )


def _joined(parts: Iterable[tuple[str, bool]]) -> str:
    out: list[str] = []
    for text, new_line in parts:
        if text:
            out.append(("\n" if new_line and out else " " if out else "") + text)
    return "".join(out)
