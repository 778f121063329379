"""What a recogniser takes and gives: the boundary between ``transcribe`` and any engine.

A recogniser is asked two questions about samples: how likely each moment is speech, and which
words were said. ``transcribe`` needs nothing else, so that a fake stands in for the engine in
tests and another engine could take its place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np
import numpy.typing as npt

from .transcript import Weighed, Wording

Samples = npt.NDArray[np.float32]

#: Length in samples (at 16 kHz) of the moment that one probability of speech stands for.
FRAME = 512
FRAME_S = FRAME / 16_000


@dataclass(frozen=True)
class HeardWord:
    """One word as the recogniser wrote it; seconds from the start of the samples given."""

    text: str
    start_s: float
    end_s: float
    probability: float


@dataclass(frozen=True)
class HeardSegment:
    """Words that the recogniser wrote in one go.

    ``logprob`` is the mean log probability of the tokens and ``no_speech`` the probability
    that there was nothing to hear; both belong to the whole window. ``weighed`` answers the
    doubts about the words, which it counts from the segment's first.
    """

    words: tuple[HeardWord, ...]
    logprob: float = 0.0
    no_speech: float = 0.0
    weighed: tuple[Weighed, ...] = ()


#: What else the words of a segment may have been: asked while their sound is at hand.
Doubts = Callable[[Sequence[HeardWord]], Sequence[Wording]]


@dataclass(frozen=True, kw_only=True)
class SpeechOptions:
    """How a recording is cut into the windows that are heard.

    ``threshold`` is the probability from which a moment is speech. Pauses longer than
    ``pause_s`` are left out, but for ``pad_s`` on either side of speech, lest the first sound
    of a word be lost (SYSTRAN/faster-whisper #1351). A window has at most ``window_s`` and the
    padding, together at most 30 s.
    """

    threshold: float = 0.5
    pause_s: float = 2.0
    pad_s: float = 0.4
    window_s: float = 28.0


@dataclass(frozen=True, kw_only=True)
class TranscribeOptions:
    """How a recording is heard.

    ``hotwords`` are shown to the recogniser before every window: None takes the list measured
    for its model (``data/hotwords``), an empty tuple none. ``initial_prompt`` is shown to it
    before every window too, as text that came before. ``guards`` drops text that was most
    likely never said; ``again`` hears a window again whose end was left out.
    """

    hotwords: tuple[str, ...] | None = None
    initial_prompt: str | None = None
    beam_size: int = 5
    speech: SpeechOptions = SpeechOptions()
    guards: bool = True
    again: bool = True


class Recogniser(Protocol):
    """Anything that hears. Samples are float32, mono, 16 kHz."""

    @property
    def name(self) -> str:
        """The model's name, as records carry it."""

    def speech(self, samples: Samples) -> Samples:
        """The probability of speech, 0 to 1, of each ``FRAME`` of the samples in order."""

    def hear(
        self,
        windows: Sequence[Samples],
        *,
        options: TranscribeOptions,
        doubts: Doubts | None = None,
    ) -> Iterable[Sequence[HeardSegment]]:
        """The segments of each window, window by window as they are found.

        Seconds count from the start of the window. Where nothing was said there are none.
        ``doubts`` is asked about the words of each segment, and what it brings up is weighed.
        """


@dataclass
class FakeRecogniser:
    """A recogniser that says what it is told: one item of ``script`` a window, then nothing.

    ``probabilities`` are those of speech (None: speech throughout). Of other wordings it likes
    those in ``likes``, by so many nats, and dislikes all others. ``asked`` keeps the length of
    each window in samples and the options it came with, for tests to look at.
    """

    script: Sequence[Sequence[HeardSegment]] = ()
    probabilities: Samples | None = None
    name: str = "fake"
    likes: Mapping[str, float] = field(default_factory=dict)
    asked: list[tuple[int, TranscribeOptions]] = field(default_factory=list)

    def speech(self, samples: Samples) -> Samples:
        """The probabilities given, or 1 throughout."""
        if self.probabilities is not None:
            return self.probabilities
        return np.ones(-(-len(samples) // FRAME), dtype=np.float32)

    def hear(
        self,
        windows: Sequence[Samples],
        *,
        options: TranscribeOptions,
        doubts: Doubts | None = None,
    ) -> Iterator[Sequence[HeardSegment]]:
        """The next items of the script."""
        for window in windows:
            place = len(self.asked)
            self.asked.append((len(window), options))
            found = self.script[place] if place < len(self.script) else ()
            yield [self._weighed(s, doubts) if doubts else s for s in found]

    def _weighed(self, segment: HeardSegment, doubts: Doubts) -> HeardSegment:
        asked = doubts(segment.words)
        return replace(
            segment, weighed=tuple(Weighed(w, self.likes.get(w.text, -20.0)) for w in asked)
        )
