"""The recogniser: a Whisper model run by faster-whisper, wholly on this machine.

Settings are chosen so that the same samples give the same words, and so that nothing is lost
out of sight. One temperature, 0: the fallback samples at random (SYSTRAN/faster-whisper #76,
#202). Every window is heard once, by itself and whole: no text of one is shown to the next,
which is how invented text spreads, and no time marks are asked for, at which a window could
end early. Nothing is dropped here; ``guards`` decides, and keeps what it drops. faster-whisper
is imported only when a model is loaded.
"""

from __future__ import annotations

import os
import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ..lexicon.errors import InputError, MissingError
from .audio import SAMPLE_RATE
from .hearing import FRAME, Doubts, HeardSegment, HeardWord, Samples, TranscribeOptions
from .models import FoundModel, find_model
from .narrowband import for_detection
from .transcript import Weighed

#: More gains little (SYSTRAN/faster-whisper #33, #100, #599); a folder is done by processes.
_MAX_THREADS = 8
#: Windows heard at once. More is no quicker on a processor and costs memory.
_AT_ONCE_ON_CARD = 8
#: Samples that the speech detector is given at once, and those of the run-up to them.
_BLOCK, _RUN_UP = FRAME * 20_000, FRAME * 32
#: A word that a hyphen ties to the one before.
_TIED = re.compile(r"-[A-Za-z]")


def load_recogniser(
    model_ref: str | Path = "default", *, allow_download: bool = False, threads: int | None = None
) -> WhisperRecogniser:
    """Load a model: a name that ``list_models`` gives, a folder, or a hub's name.

    It runs on the graphics card (float16) when there is one, else on the processor (int8) with
    ``threads`` threads (None: as many as it may use, at most 8). Raises as ``find_model`` does.
    """
    found = find_model(model_ref, allow_download=allow_download)
    import ctranslate2  # type: ignore[import-untyped,unused-ignore]
    from faster_whisper import WhisperModel

    on_card = ctranslate2.get_cuda_device_count() > 0
    try:
        engine = WhisperModel(
            str(found.folder),
            device="cuda" if on_card else "cpu",
            compute_type="float16" if on_card else "int8",
            cpu_threads=threads or available_cores(),
            local_files_only=True,
        )
    except Exception as error:  # CTranslate2 raises RuntimeError and ValueError, tokenizers its own
        if on_card:
            raise MissingError(
                f"The model “{found.name}” could not be loaded on the graphics card; set "
                "CUDA_VISIBLE_DEVICES to nothing to use the processor."
            ) from error
        raise InputError(
            f"{found.folder}: the model in it cannot be loaded; it is damaged, or no Whisper "
            "model converted for CTranslate2."
        ) from error
    return WhisperRecogniser(found, engine, at_once=_AT_ONCE_ON_CARD if on_card else 1)


@dataclass(frozen=True)
class WhisperRecogniser:
    """A loaded model; one ``hear`` at a time."""

    model: FoundModel
    engine: Any  # faster_whisper.WhisperModel, which has no types
    at_once: int = 1

    @property
    def name(self) -> str:
        """The model's name, as records carry it."""
        return self.model.name

    def speech(self, samples: Samples) -> Samples:
        """Silero's probability of speech for each 512 samples, the last ones padded.

        Long recordings are looked at in blocks, each after a run-up, since the detector makes
        copies of all that it is given.
        """
        from faster_whisper.vad import get_vad_model

        detector = get_vad_model()
        parts = [np.zeros(0, dtype=np.float32)]
        for start in range(0, len(samples), _BLOCK):
            run_up = min(start, _RUN_UP)
            block = for_detection(samples[start - run_up : start + _BLOCK])
            found = np.asarray(detector(np.pad(block, (0, -len(block) % FRAME))), np.float32)
            parts.append(found.reshape(-1)[run_up // FRAME :])
        return np.concatenate(parts)

    def hear(
        self,
        windows: Sequence[Samples],
        *,
        options: TranscribeOptions,
        doubts: Doubts | None = None,
    ) -> Iterator[tuple[HeardSegment, ...]]:
        """The segments of each window, as they are found."""
        for start in range(0, len(windows), self.at_once):
            yield from self._hear(windows[start : start + self.at_once], options, doubts)

    def _hear(
        self, windows: Sequence[Samples], options: TranscribeOptions, doubts: Doubts | None
    ) -> Iterator[tuple[HeardSegment, ...]]:
        from .weighing import KeepingPipeline, Scale

        ends_s = np.cumsum([len(w) for w in windows]) / SAMPLE_RATE
        starts_s = [0.0, *ends_s[:-1]]
        found: list[list[HeardSegment]] = [[] for _ in windows]
        # A new one each time: it keeps state that an abandoned run would leave behind.
        pipeline = KeepingPipeline(self.engine)
        segments, _ = pipeline.transcribe(
            np.concatenate(windows),
            language="en",
            beam_size=options.beam_size,
            temperature=0.0,
            without_timestamps=True,
            word_timestamps=True,
            initial_prompt=options.initial_prompt,
            hotwords=_as_sentence(options.hotwords),
            vad_filter=False,
            clip_timestamps=[
                {"start": float(a), "end": float(b)} for a, b in zip(starts_s, ends_s, strict=True)
            ],
            batch_size=len(windows),
        )
        for segment in segments:
            place = bisect_right(starts_s, segment.seek / 100 + 0.01) - 1  # seek is rounded down
            words = tuple(_joined(segment.words or (), offset_s=starts_s[place]))
            asked = doubts(words) if doubts and words else ()
            weighed: tuple[Weighed, ...] = ()
            if asked:
                weighed = Scale(self.engine, pipeline.encoded[place]).weigh(words, asked)
            found[place].append(
                HeardSegment(
                    words=words,
                    logprob=float(segment.avg_logprob),
                    no_speech=float(segment.no_speech_prob),
                    weighed=weighed,
                )
            )
        yield from (tuple(f) for f in found)


def _joined(words: Any, *, offset_s: float) -> Iterator[HeardWord]:
    """The words, with pieces that the engine split off ("'s", "/5") put back to theirs.

    A joined word is as probable as its least probable piece. What a hyphen ties to a number was
    said as a word of its own ("14-year-old", "2-plus").
    """
    last: HeardWord | None = None
    counting = False
    for word in words:
        start_s, end_s = float(word.start) - offset_s, float(word.end) - offset_s
        text, apart = word.word.strip(), word.word.startswith(" ")
        if last is not None and _TIED.match(text) and last.text[-1:].isdigit():
            text, apart, counting = text[1:], True, True
        elif last is not None and counting and _TIED.match(text):
            text, apart = text[1:], True
        else:
            counting = counting and not apart
        piece = HeardWord(text, start_s, end_s, float(word.probability))
        if last is None or apart:
            if last is not None and last.text:
                yield last
            last = piece
        else:
            last = HeardWord(
                last.text + piece.text,
                last.start_s,
                max(last.end_s, piece.end_s),
                min(last.probability, piece.probability),
            )
    if last is not None and last.text:
        yield last


def _as_sentence(words: Sequence[str] | None) -> str | None:
    """The hotwords as a sentence: after a bare list the model writes lists, and no stops.

    Measured on the samples: findings from speech, strict F1 0.86 after a list, 0.96 after this.
    """
    if not words:
        return None
    shown = ", ".join(words)
    return f"{shown[:1].upper()}{shown[1:]}."


def available_cores() -> int:
    """The processor cores that this process may use, at most as many as are of use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return min(len(affinity(0)) if affinity else os.cpu_count() or 1, _MAX_THREADS)
