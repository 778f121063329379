"""What a recogniser takes and gives: the boundary between ``transcribe`` and any engine.

A recogniser is asked two questions about samples: how likely each moment is speech, and which
words were said. ``transcribe`` needs nothing else, so that a fake stands in for the engine in
tests and another engine could take its place.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
import numpy.typing as npt

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
    that there was nothing to hear; both belong to the window of up to 30 s around the segment.
    """

    words: tuple[HeardWord, ...]
    logprob: float = 0.0
    no_speech: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SpeechOptions:
    """How speech is told from the rest before anything is recognised.

    ``threshold`` is the probability from which a moment is speech, ``neg_threshold`` that
    below which speech ends; pauses shorter than ``min_silence_ms`` stay in, and ``pad_ms`` of
    sound is kept on either side, lest the first sound of a word be lost.
    """

    threshold: float = 0.5
    neg_threshold: float = 0.35
    min_speech_ms: int = 0
    max_speech_s: float = float("inf")
    min_silence_ms: int = 2000
    pad_ms: int = 400


@dataclass(frozen=True, kw_only=True)
class TranscribeOptions:
    """How a recording is heard.

    ``hotwords`` are shown to the recogniser before every window of 30 s: None takes the list
    measured for its model (``data/hotwords``), an empty tuple none. ``initial_prompt`` reaches
    the first window only. ``guards`` drops text that was most likely never said. Recordings
    longer than ``block_s`` are heard in blocks cut at pauses, which bounds memory.
    """

    hotwords: tuple[str, ...] | None = None
    initial_prompt: str | None = None
    beam_size: int = 5
    speech: SpeechOptions = SpeechOptions()
    guards: bool = True
    block_s: float = 600.0


class Recogniser(Protocol):
    """Anything that hears. Samples are float32, mono, 16 kHz."""

    @property
    def name(self) -> str:
        """The model's name, as records carry it."""

    def speech(self, samples: Samples) -> Samples:
        """The probability of speech, 0 to 1, of each ``FRAME`` of the samples in order."""

    def hear(self, samples: Samples, *, options: TranscribeOptions) -> Iterable[HeardSegment]:
        """The segments in order, as they are found; none when nothing was said."""


@dataclass
class FakeRecogniser:
    """A recogniser that says what it is told, one item of ``script`` each time it is asked.

    ``probabilities`` are those of speech (None: speech throughout). ``asked`` keeps what it
    was given, for tests to look at.
    """

    script: Sequence[Sequence[HeardSegment]] = ()
    probabilities: Samples | None = None
    name: str = "fake"
    asked: list[tuple[int, TranscribeOptions]] = field(default_factory=list)

    def speech(self, samples: Samples) -> Samples:
        """The probabilities given, or 1 throughout."""
        if self.probabilities is not None:
            return self.probabilities
        return np.ones(-(-len(samples) // FRAME), dtype=np.float32)

    def hear(self, samples: Samples, *, options: TranscribeOptions) -> Iterator[HeardSegment]:
        """The next item of the script; nothing when it is at its end."""
        place = len(self.asked)
        self.asked.append((len(samples), options))
        yield from self.script[place] if place < len(self.script) else ()
