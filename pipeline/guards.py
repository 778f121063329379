"""Drops text that was most likely never said, and keeps what it drops with the reason.

A recogniser trained on subtitles writes fluent sentences over noise and silence, gets stuck
in loops, and reads out the words it was shown (Koenecke 2024, arXiv 2402.08021: about 1 % of
segments). Each guard below looks for one of these and knows one kind of evidence; together
they must leave real speech alone, for a finding dropped is as bad as one invented.

The thresholds stand between what was measured on speech and on non-speech (tiny.en, 900
segments of 83 recordings: robotic and natural voices, reverberation with noise, people
reading; against 60 s each of white and pink noise, hum, tones, clicks, modulated noise, heard
with and without speech detection). ``bench/controls.py`` prints the same for the present code.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .hearing import FRAME_S, HeardSegment, HeardWord, Samples
from .transcript import Dropped

#: Over text, speech: at least 0.98 at its highest in every real sentence, at most 0.71 (tones)
#: elsewhere. Word times are off by up to half a second, so the neighbourhood counts.
_SPEECH = 0.75
_MARGIN_S = 0.5
#: No-speech probability: at most 0.80 over speech; 0.90 and more over noise and silence, except
#: where a loop runs. Between 0.6 and that, real speech had a log probability of -0.45 or more.
_NO_SPEECH = 0.85
_PERHAPS_NO_SPEECH, _UNSURE_LOGPROB = 0.6, -0.8
#: Words a second: at most 5.6 in real segments; loops at the end of a window run at over 100.
_FASTEST = 8.0
#: Repeats in a row. "Five" is said of C5 to T1, L2 to S1 and more in one breath; no list of an
#: examination has more than this many members.
_REPEATS, _MOST_REPEATS = 3, 12
_LONGEST_PHRASE = 16
#: Members of the shown list, in its order, and words of a sentence of the prompt, that are
#: nobody's own enumeration or sentence any more.
_RECITED = 4
_PROMPT_WORDS = 5

_SENTENCE_END = re.compile(r"[.?!]['\"”’)]*$")
_LETTERS = re.compile(r"[^\W_]+")


class Stretch(NamedTuple):
    """Words ``first`` to ``last``, both included, that ``reason`` speaks against."""

    first: int
    last: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class Scene:
    """All that the guards look at: the words, and what was known when they were written.

    ``segments`` hold the words in order, in seconds of the recording; ``speech`` is the
    probability of speech per ``FRAME``; ``hotwords`` and ``prompt`` are what was shown.
    """

    segments: tuple[HeardSegment, ...]
    speech: Samples
    duration_s: float
    hotwords: tuple[str, ...] = ()
    prompt: str | None = None

    @property
    def words(self) -> tuple[HeardWord, ...]:
        """The words of all segments."""
        return tuple(w for s in self.segments for w in s.words)

    def segment_stretches(self) -> Iterator[tuple[HeardSegment, int, int]]:
        """Each segment with words, and the first and last of them."""
        first = 0
        for segment in self.segments:
            if segment.words:
                yield segment, first, first + len(segment.words) - 1
            first += len(segment.words)

    def sentences(self) -> Iterator[tuple[int, int]]:
        """First and last word of each sentence; a segment's end ends one too."""
        words = self.words
        for _, first, last in self.segment_stretches():
            for place in range(first, last + 1):
                if place == last or _SENTENCE_END.search(words[place].text):
                    yield first, place
                    first = place + 1

    def most_speech(self, start_s: float, end_s: float) -> float:
        """The highest probability of speech between two seconds, 0 where there is no sound."""
        span = self.speech[max(0, int(start_s / FRAME_S)) : max(0, int(end_s / FRAME_S) + 1)]
        return float(span.max()) if len(span) else 0.0


def wordless(scene: Scene) -> Iterator[Stretch]:
    """Words without a letter or a digit, such as the full stops written over music."""
    for place, word in enumerate(scene.words):
        if not _LETTERS.search(word.text):
            yield Stretch(place, place, "no word")


def outside(scene: Scene) -> Iterator[Stretch]:
    """Words that begin when the recording has ended."""
    for place, word in enumerate(scene.words):
        if word.start_s >= scene.duration_s:
            yield Stretch(place, place, "after the end of the recording")


def silent(scene: Scene) -> Iterator[Stretch]:
    """Sentences with no speech anywhere near them, those after the last speech included."""
    words = scene.words
    for first, last in scene.sentences():
        start_s, end_s = words[first].start_s - _MARGIN_S, words[last].end_s + _MARGIN_S
        if scene.most_speech(start_s, end_s) < _SPEECH:
            yield Stretch(first, last, "no speech there")


def unlikely(scene: Scene) -> Iterator[Stretch]:
    """Segments for which the recogniser itself doubts that there was anything to hear."""
    for segment, first, last in scene.segment_stretches():
        unsure = segment.no_speech > _PERHAPS_NO_SPEECH and segment.logprob < _UNSURE_LOGPROB
        if unsure or segment.no_speech > _NO_SPEECH:
            yield Stretch(first, last, "most likely not speech")


def looped(scene: Scene) -> Iterator[Stretch]:
    """Repeats of a phrase in a row, too quick or too many to be spoken; the first one stays."""
    words = scene.words
    keys = [_key(w.text) for w in words]
    place = 0
    while place < len(keys):
        length, repeats = _repetition(keys, place)
        first, end = place + length, place + length * repeats
        if repeats >= _REPEATS:
            took_s = words[end - 1].end_s - words[first].start_s
            if repeats > _MOST_REPEATS or (end - first) > _FASTEST * max(took_s, 0.0):
                rest = _same_start(keys, place, length, end)
                yield Stretch(first, rest - 1, "repeated in a loop")
                place = rest
                continue
        place += 1


def recited(scene: Scene) -> Iterator[Stretch]:
    """What the recogniser was shown, read back: list members in their order, or the prompt."""
    keys = [_key(w.text) for w in scene.words]
    members = [_keys(word) for word in scene.hotwords]
    phrases = [
        tuple(k for member in members[start : start + _RECITED] for k in member)
        for start in range(len(members) - _RECITED + 1)
    ]
    sentences = [_keys(s) for s in re.split(r"(?<=[.?!])\s+", scene.prompt or "")]
    phrases += [s for s in sentences if len(s) >= _PROMPT_WORDS]
    for phrase in phrases:
        for place in range(len(keys) - len(phrase) + 1):
            if tuple(keys[place : place + len(phrase)]) == phrase:
                yield Stretch(place, place + len(phrase) - 1, "the words shown to the recogniser")


#: In the order of asking; a stretch that two guards speak against gets the first reason.
GUARDS: tuple[Callable[[Scene], Iterator[Stretch]], ...] = (
    wordless,
    outside,
    silent,
    looped,
    unlikely,
    recited,
)


def guard(scene: Scene) -> tuple[tuple[HeardWord, ...], tuple[Dropped, ...]]:
    """The words that stay, and what was dropped; no word is in neither."""
    words = scene.words
    reasons: dict[int, str] = {}
    for look in GUARDS:
        for stretch in look(scene):
            for place in range(stretch.first, stretch.last + 1):
                reasons.setdefault(place, stretch.reason)
    dropped: list[Dropped] = []
    last = -2
    for place in sorted(reasons):
        word, reason = words[place], reasons[place]
        if place == last + 1 and dropped[-1].reason == reason:
            before = dropped[-1]
            dropped[-1] = Dropped(
                f"{before.text} {word.text}", before.start_s, max(before.end_s, word.end_s), reason
            )
        else:
            dropped.append(Dropped(word.text, word.start_s, word.end_s, reason))
        last = place
    kept = tuple(w for place, w in enumerate(words) if place not in reasons)
    return kept, tuple(dropped)


def _key(text: str) -> str:
    return "".join(_LETTERS.findall(text.lower()))


def _keys(text: str) -> tuple[str, ...]:
    return tuple(key for word in text.split() if (key := _key(word)))


def _repetition(keys: Sequence[str], place: int) -> tuple[int, int]:
    """The shortest phrase from ``place`` that is repeated, and how often it stands in a row."""
    for length in range(1, min(_LONGEST_PHRASE, (len(keys) - place) // 2) + 1):
        phrase = keys[place : place + length]
        repeats, after = 1, place + length
        while keys[after : after + length] == phrase:
            repeats, after = repeats + 1, after + length
        if repeats >= _REPEATS:
            return length, repeats
    return 1, 1


def _same_start(keys: Sequence[str], place: int, length: int, end: int) -> int:
    """Where a loop ends that was cut off within its phrase."""
    while end < len(keys) and keys[end] == keys[place + (end - place) % length]:
        end += 1
    return end
