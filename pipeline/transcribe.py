"""Sound to words: the recogniser's answer, checked, with every word at its second.

A recording is cut into windows at its pauses, each is heard by itself, and stretches without
speech are never heard at all. What is written all the same where nothing was said is taken
out by ``guards`` and kept in ``Transcript.dropped``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from .audio import SAMPLE_RATE, Sound
from .biasing import measured_hotwords
from .guards import Scene, guard
from .hearing import (
    FRAME,
    FRAME_S,
    Doubts,
    FakeRecogniser,
    HeardSegment,
    HeardWord,
    Recogniser,
    Samples,
    SpeechOptions,
    TranscribeOptions,
)
from .record import Word
from .rehearing import left_early, parts, words_in
from .transcript import Transcript, Weighed, Wording
from .whisper import load_recogniser
from .windows import Window, windows

__all__ = [
    "Doubts",
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
    doubts: Doubts | None = None,
) -> Transcript:
    """The words of a recording with their seconds and probabilities.

    Silence gives a transcript without words. ``progress`` is called as the work goes on, last
    with both numbers equal. ``doubts`` names other wordings of what was written; how well the
    sound bears each out is kept in ``Transcript.weighed`` for whoever decides. The same samples,
    model, options and machine give the same words.
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
    hear = partial(recogniser.hear, options=options, doubts=doubts)
    for window, found in zip(cut, hear(asked), strict=True):
        segments += _whole(window, found, sound, speech, hear, options)
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
        weighed=tuple(_weighed(scene, kept)) if doubts else None,
    )


def _whole(
    window: Window,
    found: Sequence[HeardSegment],
    sound: Sound,
    speech: Samples,
    hear: Callable[[Sequence[Samples]], Iterable[Sequence[HeardSegment]]],
    options: TranscribeOptions,
) -> list[HeardSegment]:
    """What was said in a window, heard again in two parts where its end was left out."""
    own = speech[window.start // FRAME : -(-window.end // FRAME)]
    first = [_shifted(segment, window.start / SAMPLE_RATE) for segment in found]
    if not (options.again and left_early(found, own, options.speech)):
        return first
    halves = parts(window, found, own, options.speech)
    if halves is None:
        return first
    asked = [sound.samples[half.start : half.end] for half in halves]
    second = [
        _shifted(segment, half.start / SAMPLE_RATE)
        for half, again in zip(halves, hear(asked), strict=True)
        for segment in again
    ]
    return second if words_in(second) > words_in(first) else first


def _shifted(segment: HeardSegment, by_s: float) -> HeardSegment:
    words = tuple(replace(w, start_s=w.start_s + by_s, end_s=w.end_s + by_s) for w in segment.words)
    return replace(segment, words=words)


def _weighed(scene: Scene, kept: Sequence[HeardWord]) -> Iterator[Weighed]:
    """What was weighed of the words that stayed, counted from the transcript's first."""
    place = {id(word): at for at, word in enumerate(kept)}
    for segment in scene.segments:
        for (first, last, text), nats in segment.weighed:
            at = [place.get(id(word), -1) for word in segment.words[first : last + 1]]
            if -1 not in at:
                yield Weighed(Wording(at[0], at[-1], text), nats)


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
