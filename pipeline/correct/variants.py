"""Personal variants where they are heard: they win, whatever else sounds near.

Somebody saw what their recogniser makes of a term and wrote it down, so the same words are
taken for that term without weighing sounds, neighbours or the recogniser's certainty, in
speech and in typed text. Only where the words are a term of the lexicon as they stand, or
were given two meanings, nobody can tell: there they are marked for a person to decide.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .candidates import said
from .changes import Edge
from .targets import Hearing
from .units import Unit

#: Outweighs every score in the lattice; counted per word, so that the longer variant wins.
ORDER = 1000.0


@dataclass(frozen=True, slots=True)
class OwnEdges:
    """The personal variants heard: those to be made, and those to be marked, with the reason."""

    sure: tuple[Edge, ...]
    doubtful: tuple[tuple[Edge, str], ...]


def own_edges(units: Sequence[Unit], hearing: Hearing, *, typed: bool = False) -> OwnEdges:
    """Where ``units`` are exactly a personal variant, and what they become there.

    A sentence mark within the words speaks against it; a comma does in ``typed`` text alone,
    since recognisers set commas at any pause.
    """
    sure: list[Edge] = []
    doubtful: list[tuple[Edge, str]] = []
    texts = [u.text for u in units]
    for i, j in _places(texts, hearing):
        marks = {u.mark for u in units[i : j - 1]} - {""}
        if marks - {","} or (marks and typed):
            continue
        heard = tuple(texts[i:j])
        meanings = [means for means in hearing.own[heard] if means != heard]
        if not meanings:
            continue
        first, last, tokens = differing(heard, meanings[0])
        edge = Edge(
            *(i + first, i + last, tokens, " ".join(tokens), 0.0, ORDER * (j - i)),
            size=len(said(tokens)[0]),
            kind="own",
        )
        if len(meanings) > 1:
            several = " or ".join(f"“{' '.join(means)}”" for means in meanings)
            doubtful.append((edge, f"it may stand for {several} there"))
        elif is_term(heard, hearing) or is_term(heard[first:last], hearing):
            doubtful.append((edge, "the words as heard are a term of the lexicon too"))
        else:
            sure.append(edge)
    return OwnEdges(tuple(sure), tuple(doubtful))


def _places(texts: Sequence[str], hearing: Hearing) -> Iterator[tuple[int, int]]:
    lengths = sorted({len(heard) for heard in hearing.own})
    for i in range(len(texts)):
        for n in lengths:
            if tuple(texts[i : i + n]) in hearing.own and i + n <= len(texts):
                yield i, i + n


def differing(heard: Sequence[str], means: Sequence[str]) -> tuple[int, int, tuple[str, ...]]:
    """The part of ``heard`` (first word, word after the last) that ``means`` has otherwise.

    The words around it, which stay, may be a number or a side; at least one word is left on
    either side of the change.

    >>> differing(("left", "fleecy", "ox"), ("left", "biceps", "jerk"))
    (1, 3, ('biceps', 'jerk'))
    """
    least = min(len(heard), len(means)) - 1
    first = 0
    while first < least and heard[first] == means[first]:
        first += 1
    end = 0
    while end < least - first and heard[-1 - end] == means[-1 - end]:
        end += 1
    return first, len(heard) - end, tuple(means[first : len(means) - end])


def is_term(tokens: Sequence[str], hearing: Hearing) -> bool:
    """Whether ``tokens`` are a form of the lexicon, or a single word of the trade."""
    words = tuple(tokens)
    return words in hearing.known or (len(words) == 1 and words[0] in hearing.trade_words)
