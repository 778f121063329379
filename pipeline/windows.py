"""Cuts a recording into the stretches that the recogniser hears one at a time.

A window is at most what the recogniser takes in at once (30 s) and begins and ends in a pause,
so that no word is cut and no scrap is left over. Scraps were where text was invented: the
engine's own sliding window ends a recording with some tenths of a second of silence, over
which it writes whatever it was shown (``bench/biasing.py``: 16 false terms per 1,000 words
with hotwords, 0.5 with these windows). Silence between windows is never heard at all.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from .hearing import FRAME, FRAME_S, Samples, SpeechOptions

#: The part of a window, at its end, in which its cut is sought.
_CUT_WITHIN = 0.6


class Window(NamedTuple):
    """A stretch of a recording: first sample and the one after the last."""

    start: int
    end: int


def windows(speech: Samples, count: int, *, options: SpeechOptions) -> tuple[Window, ...]:
    """The windows of a recording of ``count`` samples, in order and apart from one another.

    ``speech`` is the probability of speech of each ``FRAME`` samples. Every frame that is
    speech lies in a window; a recording without any has none.
    """
    spans = [
        cut
        for first, last in _spoken(speech, options)
        for cut in _cuts(speech, first, last, options)
    ]
    pad = round(options.pad_s / FRAME_S)
    found: list[Window] = []
    for place, (first, last) in enumerate(spans):
        before = spans[place - 1][1] if place else 0
        after = spans[place + 1][0] if place + 1 < len(spans) else len(speech)
        start = max(first - pad, -(-(before + first) // 2) if place else 0)
        end = min(last + pad, (last + after) // 2 if place + 1 < len(spans) else len(speech))
        found.append(Window(start * FRAME, min(end * FRAME, count)))
    return tuple(found)


def _spoken(speech: Samples, options: SpeechOptions) -> list[tuple[int, int]]:
    """First frame and the one after the last of each stretch without a long pause in it."""
    frames = np.flatnonzero(speech >= options.threshold)
    if not len(frames):
        return []
    longest_pause = round(options.pause_s / FRAME_S)
    breaks = np.flatnonzero(np.diff(frames) > longest_pause)
    firsts = [frames[0], *frames[breaks + 1]]
    lasts = [*frames[breaks], frames[-1]]
    return [(int(a), int(b) + 1) for a, b in zip(firsts, lasts, strict=True)]


def _cuts(speech: Samples, first: int, last: int, options: SpeechOptions) -> list[tuple[int, int]]:
    """The stretch in pieces that fit: cut in the longest pause near the end of each."""
    longest = max(2, round(options.window_s / FRAME_S))
    pieces: list[tuple[int, int]] = []
    while last - first > longest:
        earliest = first + max(1, round(longest * (1 - _CUT_WITHIN)))
        end, start = longest_pause(speech[earliest : first + longest], options.threshold)
        pieces.append((first, earliest + end))
        first = earliest + start
    return [*pieces, (first, last)]


def longest_pause(speech: npt.NDArray[np.float32], threshold: float) -> tuple[int, int]:
    """First frame of the longest pause and the one after it; the least like speech if none."""
    best_end, best_start, run = 0, 0, 0
    for place, probability in enumerate(speech):
        run = run + 1 if probability < threshold else 0
        if run and run >= best_start - best_end:
            best_end, best_start = place + 1 - run, place + 1
    if best_end == best_start:
        best_end = best_start = int(speech.argmin())
    return best_end, best_start
