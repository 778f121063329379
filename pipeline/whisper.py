"""The recogniser: a Whisper model run by faster-whisper, wholly on this machine.

Settings are chosen so that the same samples give the same words, and so that nothing is lost
out of sight. One temperature, 0: the fallback samples at random (SYSTRAN/faster-whisper #76,
#202). No text of one window is shown to the next, which is how invented text spreads. The
engine's own silent dropping of windows (``no_speech_threshold``) is off; ``guards`` decides,
and keeps what it drops. faster-whisper is imported only when a model is loaded.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ..lexicon.errors import InputError, MissingError
from .hearing import FRAME, HeardSegment, HeardWord, Samples, TranscribeOptions
from .models import FoundModel, find_model

#: More gains little (SYSTRAN/faster-whisper #33, #100, #599); a folder is done by processes.
_MAX_THREADS = 8


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
    return WhisperRecogniser(found, engine)


@dataclass(frozen=True)
class WhisperRecogniser:
    """A loaded model; one ``hear`` at a time."""

    model: FoundModel
    engine: Any  # faster_whisper.WhisperModel, which has no types

    @property
    def name(self) -> str:
        """The model's name, as records carry it."""
        return self.model.name

    def speech(self, samples: Samples) -> Samples:
        """Silero's probability of speech for each 512 samples, the last ones padded."""
        from faster_whisper.vad import get_vad_model

        if not len(samples):
            return np.zeros(0, dtype=np.float32)
        padded = np.pad(samples, (0, -len(samples) % FRAME))
        return np.asarray(get_vad_model()(padded), dtype=np.float32).reshape(-1)

    def hear(self, samples: Samples, *, options: TranscribeOptions) -> Iterator[HeardSegment]:
        """The segments in order, as they are found; none when nothing was said."""
        from faster_whisper.vad import VadOptions

        speech = options.speech
        segments, _ = self.engine.transcribe(
            samples,
            language="en",
            beam_size=options.beam_size,
            temperature=0.0,
            no_speech_threshold=None,
            log_prob_threshold=None,
            compression_ratio_threshold=None,
            condition_on_previous_text=False,
            initial_prompt=options.initial_prompt,
            hotwords=", ".join(options.hotwords) if options.hotwords else None,
            word_timestamps=True,
            vad_filter=True,
            # Every field: a partial set changes others (SYSTRAN/faster-whisper PR #1409).
            vad_parameters=VadOptions(
                threshold=speech.threshold,
                neg_threshold=speech.neg_threshold,
                min_speech_duration_ms=speech.min_speech_ms,
                max_speech_duration_s=speech.max_speech_s,
                min_silence_duration_ms=speech.min_silence_ms,
                speech_pad_ms=speech.pad_ms,
            ),
        )
        for segment in segments:
            yield HeardSegment(
                words=tuple(_joined(segment.words or ())),
                logprob=float(segment.avg_logprob),
                no_speech=float(segment.no_speech_prob),
            )


def _joined(words: Any) -> Iterator[HeardWord]:
    """The words, with pieces that the engine split off ("-year", "/5") put back to theirs.

    A joined word is as probable as its least probable piece.
    """
    last: HeardWord | None = None
    for word in words:
        piece = HeardWord(
            word.word.strip(), float(word.start), float(word.end), float(word.probability)
        )
        if last is None or word.word.startswith(" "):
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


def available_cores() -> int:
    """The processor cores that this process may use, at most as many as are of use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return min(len(affinity(0)) if affinity else os.cpu_count() or 1, _MAX_THREADS)
