"""The corrected transcript as captions (WebVTT, W3C), to be shown with the recording.

A cue is one or two lines of at most 42 characters. It ends where a sentence ends or the speaker
pauses; a sentence that is too long for one cue is halved, after a comma where one is near. It
is shown for as long as its words take, or a second where nothing follows at once. State and
caution stand in comment blocks, since they were not said. ``&``, ``<`` and ``>`` are written as
character references, so that no word can be a tag and no line an arrow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...lexicon.errors import InputError
from ...lexicon.rules import load_rules
from ..record import Record, Word
from .layout import plain
from .signed import state_words

#: The longest line, in characters: the usual size for subtitles (common practice).
LINE = 42
#: A silence that ends a cue, the longest cue, and the shortest where there is room (house).
PAUSE_S, LONGEST_S, SHORTEST_S = 1.0, 7.0, 1.0
#: How far from the middle of a long sentence a comma still decides where to cut it (house).
_NEAR = 16
_ENDS = (".", "?", "!", "…")


@dataclass(frozen=True)
class Cue:
    """Lines of text shown from ``start_ms`` up to ``end_ms`` of the recording."""

    start_ms: int
    end_ms: int
    lines: tuple[str, ...]


@dataclass(frozen=True)
class _Spoken:
    text: str
    start_s: float
    end_s: float


def report_captions(record: Record) -> str:
    """The captions of ``record`` as one WebVTT document.

    Raises ``InputError`` when its words have no times, as those of a written narration.
    """
    if record.words and not any(word.start_s is not None for word in record.words):
        raise InputError(
            "These words have no times, so they cannot be captions; make the record from a "
            "recording with “plessor hear”."
        )
    blocks = ["WEBVTT", *_notes(record), *map(_block, cues(record.words))]
    return "\n\n".join(blocks) + "\n"


def cues(words: Sequence[Word]) -> tuple[Cue, ...]:
    """The cues of ``words`` in their order; words without a time are shown with their neighbour."""
    groups = list(_groups(list(_spoken(words))))
    starts = [round(1000 * group[0].start_s) for group in groups]
    made = []
    for number, group in enumerate(groups):
        start = starts[number]
        end = max(round(1000 * group[-1].end_s), start + 1)
        if number + 1 < len(groups):
            room = max(starts[number + 1], start + 1)
            end = min(max(end, start + round(1000 * SHORTEST_S)), room)
        else:
            end = max(end, start + round(1000 * SHORTEST_S))
        made.append(Cue(start, end, _two_lines([w.text for w in group])))
    return tuple(made)


def _notes(record: Record) -> Iterator[str]:
    about = (
        f"Captions of the corrected words of {record.narration}".rstrip() + ".",
        state_words(record),
        load_rules().standing,
    )
    for words in about:
        yield f"NOTE {plain(words).replace('-->', '-- >')}"


def _block(cue: Cue) -> str:
    return "\n".join((f"{_time(cue.start_ms)} --> {_time(cue.end_ms)}", *map(_escaped, cue.lines)))


def _escaped(line: str) -> str:
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _time(ms: int) -> str:
    minutes, ms = divmod(ms, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{ms // 1000:02d}.{ms % 1000:03d}"


def _spoken(words: Sequence[Word]) -> Iterator[_Spoken]:
    """The words with times that never run back; one too long for a line comes in pieces."""
    now = next((w.start_s for w in words if w.start_s is not None), 0.0)
    for word in words:
        start = max(now, word.start_s if word.start_s is not None else now)
        end = max(start, word.end_s if word.end_s is not None else start)
        now = start
        for part in plain(word.text).split():
            for first in range(0, len(part), LINE):
                yield _Spoken(part[first : first + LINE], start, end)


def _groups(words: list[_Spoken]) -> Iterator[list[_Spoken]]:
    sentence: list[_Spoken] = []
    for word in words:
        if sentence and _ends(sentence[-1], word):
            yield from _fitted(sentence)
            sentence = []
        sentence.append(word)
    if sentence:
        yield from _fitted(sentence)


def _ends(last: _Spoken, word: _Spoken) -> bool:
    return last.text.endswith(_ENDS) or word.start_s - last.end_s >= PAUSE_S


def _fitted(words: list[_Spoken]) -> Iterator[list[_Spoken]]:
    """The words as one cue where they fit; else halved, after a comma where one is near."""
    texts = [word.text for word in words]
    fits = _two_lines(texts) and words[-1].end_s - words[0].start_s <= LONGEST_S
    if fits or len(words) == 1:
        yield words
        return
    whole = len(" ".join(texts))

    def unevenness(first: int) -> int:
        comma = _NEAR if texts[first - 1].endswith((",", ";", ":")) else 0
        return abs(2 * len(" ".join(texts[:first])) - whole) - 2 * comma

    middle = min(range(1, len(words)), key=unevenness)
    yield from _fitted(words[:middle])
    yield from _fitted(words[middle:])


def _two_lines(texts: Sequence[str]) -> tuple[str, ...]:
    """One line where all fits; else two, as even as whole words allow; else nothing."""
    whole = " ".join(texts)
    if len(whole) <= LINE:
        return (whole,)
    splits = [(" ".join(texts[:n]), " ".join(texts[n:])) for n in range(1, len(texts))]
    fitting = [pair for pair in splits if max(map(len, pair)) <= LINE]
    return min(fitting, key=lambda pair: abs(len(pair[0]) - len(pair[1])), default=())
