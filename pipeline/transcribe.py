"""Sound to words: the recogniser's answer, checked, with every word at its second.

Long recordings are heard in blocks that are cut where nobody speaks, since the recogniser
holds the spectrum of all it is given (an hour would take 2 GB). Stretches without speech never
reach the recogniser; what it writes all the same where nothing was said is taken out by
``guards`` and kept in ``Transcript.dropped``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from .audio import SAMPLE_RATE, Sound
from .biasing import measured_hotwords
from .guards import Scene, guard
from .hearing import (
    FRAME,
    FRAME_S,
    FakeRecogniser,
    HeardSegment,
    HeardWord,
    Recogniser,
    Samples,
    SpeechOptions,
    TranscribeOptions,
)
from .record import Word
from .transcript import Dropped, Transcript
from .whisper import load_recogniser

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
#: The part at the end of a block in which its cut is sought.
_CUT_WITHIN_S = 60.0


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

    words: list[HeardWord] = []
    dropped: list[Dropped] = []
    for start, end, speech in _blocks(sound.samples, recogniser, options):
        offset_s = start / SAMPLE_RATE
        scene = Scene(
            segments=tuple(
                _heard(recogniser, sound.samples[start:end], speech, options, report, offset_s)
            ),
            speech=speech,
            duration_s=(end - start) / SAMPLE_RATE,
            hotwords=options.hotwords or (),
            prompt=options.initial_prompt,
        )
        kept, taken = guard(scene) if options.guards else (scene.words, ())
        words += (_shifted(_trimmed(w, scene), offset_s) for w in kept)
        dropped += (
            replace(d, start_s=d.start_s + offset_s, end_s=d.end_s + offset_s) for d in taken
        )
        options = replace(options, initial_prompt=None)  # it is for the first window only
        report(end / SAMPLE_RATE)
    return Transcript(
        words=tuple(
            Word(text=w.text, start_s=w.start_s, end_s=w.end_s, probability=w.probability)
            for w in words
        ),
        duration_s=sound.duration_s,
        model=recogniser.name,
        dropped=tuple(dropped),
    )


def _blocks(
    samples: Samples, recogniser: Recogniser, options: TranscribeOptions
) -> Iterator[tuple[int, int, Samples]]:
    """First sample, end and speech probabilities of each block, which cover the whole."""
    longest = max(1, round(options.block_s * SAMPLE_RATE / FRAME)) * FRAME
    start = 0
    while start < len(samples):
        end = min(start + longest, len(samples))
        speech = recogniser.speech(samples[start:end])
        if end < len(samples):
            frames = _quietest(speech, threshold=options.speech.neg_threshold)
            speech, end = speech[:frames], start + frames * FRAME
        yield start, end, speech
        start = end


def _quietest(speech: Samples, *, threshold: float) -> int:
    """The frame in the last minute at which to cut: mid in the longest pause."""
    earliest = max(1, len(speech) - round(_CUT_WITHIN_S / FRAME_S), len(speech) // 2)
    best, best_length, run = 0, 0, 0
    for place in range(earliest, len(speech)):
        run = run + 1 if speech[place] < threshold else 0
        if run > best_length:
            best, best_length = place - run // 2, run
    return best if best_length else earliest + int(speech[earliest:].argmin())


def _heard(
    recogniser: Recogniser,
    samples: Samples,
    speech: Samples,
    options: TranscribeOptions,
    report: Callable[[float], None],
    offset_s: float,
) -> Iterator[HeardSegment]:
    if not len(speech) or speech.max() < options.speech.threshold:
        return
    for segment in recogniser.hear(samples, options=options):
        yield segment
        if segment.words:
            within_s = min(segment.words[-1].end_s, len(samples) / SAMPLE_RATE)
            report(offset_s + within_s)


def _trimmed(word: HeardWord, scene: Scene) -> HeardWord:
    """The word within the recording, and without the pause before or after it."""
    start_s = min(max(word.start_s, 0.0), scene.duration_s)
    end_s = min(max(word.end_s, start_s), scene.duration_s)
    if end_s - start_s > _LONG_WORD_S:
        first, last = int(start_s / FRAME_S), int(end_s / FRAME_S) + 1
        spoken = (scene.speech[first:last] >= 0.5).nonzero()[0]
        if len(spoken):
            start_s = max(start_s, (first + int(spoken[0])) * FRAME_S)
            end_s = max(start_s, min(end_s, (first + int(spoken[-1]) + 1) * FRAME_S))
    return replace(word, start_s=start_s, end_s=end_s)


def _shifted(word: HeardWord, offset_s: float) -> HeardWord:
    return replace(
        word,
        start_s=round(word.start_s + offset_s, 2),
        end_s=round(word.end_s + offset_s, 2),
    )
