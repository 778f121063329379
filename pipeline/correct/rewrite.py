"""Writes decided changes back into the transcript, and keeps what was heard.

Words outside a change stay exactly as they were. A changed stretch keeps its span of
seconds, its punctuation and its capital; its first word holds all that was heard there. When
as many words come out as went in, each keeps its own seconds; otherwise all share the span.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ..record import Correction, Word
from ..transcript import Transcript
from .changes import Change
from .units import Unit

_STOPS = ".?!"


@dataclass(frozen=True)
class Decided:
    """A change with the verdict on it: made, only told of (marked for review), or neither."""

    change: Change
    made: bool
    score: float
    reason: str
    told: bool = True


@dataclass(frozen=True)
class _Piece:
    text: str
    mark: str
    changed: bool


def rewrite(
    transcript: Transcript,
    units: Sequence[Unit],
    decided: Sequence[Decided],
    capitals: Mapping[str, str],
) -> tuple[Transcript, tuple[Correction, ...]]:
    """The transcript with every change that is ``made``, and a correction for each.

    ``decided`` is in order and does not overlap. ``capitals`` gives the written form of names.
    """
    words = transcript.words
    out: list[Word] = []
    corrections: list[Correction] = []
    at = 0
    for group in _groups(units, decided):
        first = units[group[0].change.first].word
        last = units[group[-1].change.last - 1].word
        out.extend(words[at:first])
        at = last + 1
        if not group[0].made:
            place = len(out)
            out.extend(words[first:at])
            for d in group:
                a, b = units[d.change.first].word, units[d.change.last - 1].word
                tokens = _whole(words, units, d, capitals)
                corrections.append(
                    _correction(words, a, b, d, tokens, place + a - first, place + b - first)
                )
            continue
        opens = not out or out[-1].text[-1:] in _STOPS or words[first].new_line
        pieces = _pieces(words, units, group, first, last, capitals)
        made = _words(words[first:at], pieces, opens)
        place = len(out)
        out.extend(made)
        for d in group:
            corrections.append(
                _correction(
                    words, first, last, d, d.change.tokens, place, place + len(made) - 1, made=made
                )
            )
    out.extend(words[at:])
    new = replace(transcript, words=tuple(out))
    return new, tuple(corrections)


def _groups(units: Sequence[Unit], decided: Sequence[Decided]) -> list[list[Decided]]:
    """Changes that touch the same word go together; one that is not made stands apart."""
    groups: list[list[Decided]] = []
    for d in decided:
        if groups and units[groups[-1][-1].change.last - 1].word >= units[d.change.first].word:
            if groups[-1][-1].made and d.made:
                groups[-1].append(d)
            elif d.made:
                groups[-1] = [d]
            continue
        groups.append([d])
    return groups


def _whole(
    words: Sequence[Word], units: Sequence[Unit], decided: Decided, capitals: Mapping[str, str]
) -> Sequence[str]:
    """What a suggestion makes of whole words: when it is of a part, the rest of them stays."""
    first, last = decided.change.first, decided.change.last
    a, b = units[first].word, units[last - 1].word
    before = units[first - 1].word if first > 0 else None
    after = units[last].word if last < len(units) else None
    if before != a and after != b:
        return decided.change.tokens
    texts = [p.text + p.mark for p in _pieces(words, units, [decided], a, b, capitals)]
    return [*texts[:-1], texts[-1].rstrip(",.;:?!")]


def _pieces(
    words: Sequence[Word],
    units: Sequence[Unit],
    group: Sequence[Decided],
    first: int,
    last: int,
    capitals: Mapping[str, str],
) -> list[_Piece]:
    """What stands in words ``first`` to ``last`` afterwards, each with its punctuation."""
    start = next(i for i, u in enumerate(units) if u.word == first)
    end = next((i for i in range(start, len(units)) if units[i].word > last), len(units))
    by_start = {d.change.first: d.change for d in group}
    out: list[_Piece] = []
    i = start
    while i < end:
        change = by_start.get(i)
        if change is None:
            u = units[i]
            out.append(_Piece(words[u.word].text[u.start : u.end], _mark(words, units, i), False))
            i += 1
            continue
        mark = _mark(words, units, change.last - 1)
        tokens = [capitals.get(t, t) for t in change.tokens]
        out.extend(_Piece(t, "", True) for t in tokens[:-1])
        out.append(_Piece(tokens[-1], mark, True))
        i = change.last
    return out


def _mark(words: Sequence[Word], units: Sequence[Unit], i: int) -> str:
    """The punctuation after unit ``i`` within its word."""
    u = units[i]
    same = i + 1 < len(units) and units[i + 1].word == u.word
    text = words[u.word].text[u.end : units[i + 1].start if same else None]
    return "".join(c for c in text if c in ",.;:?!")


def _words(sources: Sequence[Word], pieces: Sequence[_Piece], opens: bool) -> list[Word]:
    texts = [p.text + p.mark for p in pieces]
    if opens and sources[0].text[:1].isupper() and texts:
        texts[0] = texts[0][:1].upper() + texts[0][1:]
    starts = [w.start_s for w in sources if w.start_s is not None]
    ends = [w.end_s for w in sources if w.end_s is not None]
    sure = [w.probability for w in sources if w.probability is not None]
    heard = " ".join(w.as_heard for w in sources).strip()
    out = []
    for k, text in enumerate(texts):
        alone = sources[k] if len(texts) == len(sources) else None
        out.append(
            Word(
                text=text,
                start_s=alone.start_s if alone else min(starts, default=None),
                end_s=alone.end_s if alone else max(ends, default=None),
                probability=alone.probability if alone else min(sure, default=None),
                heard=heard if k == 0 else "",
                new_line=sources[0].new_line and k == 0,
            )
        )
    return out


def _correction(
    words: Sequence[Word],
    first: int,
    last: int,
    decided: Decided,
    tokens: Sequence[str],
    first_word: int,
    last_word: int,
    made: Sequence[Word] = (),
) -> Correction:
    became = " ".join(w.text for w in made) if made else " ".join(tokens)
    return Correction(
        heard=" ".join(w.text for w in words[first : last + 1]),
        became=became.rstrip(",.;:?!") if made else became,
        term=decided.change.edge.term,
        score=round(decided.score, 3),
        reason=decided.reason,
        first_word=first_word,
        last_word=last_word,
        made=decided.made,
    )
