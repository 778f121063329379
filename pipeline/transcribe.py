"""Sound to words: the recogniser's answer, checked, with every word at its second.

A recording is cut into windows at its pauses, each is heard by itself, and stretches without
speech are never heard at all. What is written all the same where nothing was said is taken
out by ``guards`` and kept in ``Transcript.dropped``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from .audio import SAMPLE_RATE, Sound
from .biasing import measured_hotwords
from .guards import Scene, guard
from .hearing import (
    FRAME_S,
    FakeRecogniser,
    HeardSegment,
    HeardWord,
    Recogniser,
    SpeechOptions,
    TranscribeOptions,
)
from .record import Word
from .transcript import Transcript
from .whisper import load_recogniser
from .windows import windows

__all__ = [
    "FakeRecogniser",
    "Progress",
    "Recogniser",
    "SpeechOptions",
    "TranscribeOptions",
    "load_recogniser",
    "transcribe",
]

#: Told the seconds that are done and the seconds there are in all.
Progress = Callable[[float, float], None]

_DEFAULTS = TranscribeOptions()

#: A word that takes longer than this is trimmed to the speech in it: after a pause, the first
#: word is at times given the whole pause (SYSTRAN/faster-whisper #125, #230).
_LONG_WORD_S = 1.0


def transcribe(
    sound: Sound,
    recogniser: Recogniser,
    *,
    options: TranscribeOptions = _DEFAULTS,
    progress: Progress | None = None,
) -> Transcript:
    """The words of a recording with their seconds and probabilities.

    Silence gives a transcript without words. ``progress`` is called as the work goes on, last
    with both numbers equal. The same samples, model, options and machine give the same words.
    """
    if options.hotwords is None:
        options = replace(options, hotwords=measured_hotwords(recogniser.name))

    def report(done_s: float) -> None:
        if progress is not None:
            progress(done_s, sound.duration_s)

    speech = recogniser.speech(sound.samples)
    cut = windows(speech, len(sound.samples), options=options.speech)
    segments: list[HeardSegment] = []
    asked = [sound.samples[w.start : w.end] for w in cut]
    for window, found in zip(cut, recogniser.hear(asked, options=options), strict=True):
        segments += (_shifted(segment, window.start / SAMPLE_RATE) for segment in found)
        report(window.end / SAMPLE_RATE)
    report(sound.duration_s)
    scene = Scene(
        segments=tuple(segments),
        speech=speech,
        duration_s=sound.duration_s,
        hotwords=options.hotwords or (),
        prompt=options.initial_prompt,
    )
    kept, dropped = guard(scene) if options.guards else (scene.words, ())
    return Transcript(
        words=tuple(_word(w, scene) for w in kept),
        duration_s=sound.duration_s,
        model=recogniser.name,
        dropped=dropped,
    )


def _shifted(segment: HeardSegment, by_s: float) -> HeardSegment:
    words = tuple(replace(w, start_s=w.start_s + by_s, end_s=w.end_s + by_s) for w in segment.words)
    return replace(segment, words=words)


def _word(word: HeardWord, scene: Scene) -> Word:
    """The word within the recording, without the pause before or after it."""
    start_s = min(max(word.start_s, 0.0), scene.duration_s)
    end_s = min(max(word.end_s, start_s), scene.duration_s)
    if end_s - start_s > _LONG_WORD_S:
        first, last = int(start_s / FRAME_S), int(end_s / FRAME_S) + 1
        spoken = (scene.speech[first:last] >= 0.5).nonzero()[0]
        if len(spoken):
            start_s = max(start_s, (first + int(spoken[0])) * FRAME_S)
            end_s = max(start_s, min(end_s, (first + int(spoken[-1]) + 1) * FRAME_S))
    return Word(
        text=word.text,
        start_s=round(start_s, 2),
        end_s=round(end_s, 2),
        probability=min(max(word.probability, 0.0), 1.0),
    )
