"""What is named in the words: targets, places, sides, grades, levels and steering words.

A spaCy ``PhraseMatcher`` finds every wording of the lexicon; the longest of overlapping ones
counts. What no list can hold is composed: grades with numbers and ranges of levels in
``numerals``, motions and places named across other words in ``ellipsis``.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from ...lexicon import Term, load
from ...lexicon.words import load_words

Sort = Literal["target", "place", "side", "grade", "level", "marker", "trade"]


@dataclass(frozen=True)
class Mention:
    """One named thing: atoms ``start`` (included) to ``end`` (not included).

    ``terms`` are all lexicon terms that this wording can stand for. ``number`` is a grade
    with its sign ("4+"), ``levels`` the spinal levels, ``marker`` the id of a steering word.
    """

    sort: Sort
    start: int
    end: int
    terms: tuple[Term, ...] = ()
    marker: str = ""
    number: str = ""
    levels: tuple[str, ...] = ()
    plural: bool = False
    side: str = ""
    #: where the phrase that it replaced began, when the speaker corrected it
    origin: int = -1

    def touches(self, atoms: Collection[int]) -> bool:
        """Whether it covers one of ``atoms``."""
        return any(i in atoms for i in range(self.start, self.end))


def uncovered(mentions: Iterable[Mention], atoms: int) -> list[bool]:
    """For each of so many atoms, whether no mention covers it."""
    free = [True] * atoms
    for m in mentions:
        free[m.start : m.end] = [False] * (m.end - m.start)
    return free


def longest(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The spans that no longer one, or an earlier one of the same length, overlaps."""
    kept: list[tuple[int, int]] = []
    taken: set[int] = set()
    for start, end in sorted(set(spans), key=lambda s: (s[0] - s[1], s[0])):
        if not any(i in taken for i in range(start, end)):
            kept.append((start, end))
            taken.update(range(start, end))
    return sorted(kept)


def with_contractions(terms: Sequence[Term]) -> Iterator[tuple[Term, Iterable[tuple[str, ...]]]]:
    """The wordings of each term, with those that "is" is drawn into ("tone's up").

    Atoms hold no apostrophe, so "tone's" is "tones". A plural keeps its own meaning.
    """
    known = {form for term in terms for form in term.forms}
    movements = load().vocabulary.segments["movement"]
    for term in terms:
        noun = term.kind == "modality" and term.implies is None
        if not (noun or (term.kind == "segment" and term.code in movements)):
            yield term, term.forms
            continue
        drawn = (
            (*form[:-1], f"{form[-1]}s")
            for form in term.forms
            if form not in term.plural_forms and form[-1][-1] != "s"
        )
        yield term, (*term.forms, *(form for form in drawn if form not in known))


def mention_of(terms: Sequence[Term], start: int, end: int, form: tuple[str, ...]) -> Mention:
    """The mention of one wording that ``terms`` share."""
    kinds = {t.kind for t in terms}
    plural = any(form in t.plural_forms for t in terms)
    sort: Sort
    if any(_is_target(t) for t in terms):
        sort = "target"
    elif "segment" in kinds:
        sort = "place"
    elif "side" in kinds:
        side = next(t.code for t in terms if t.kind == "side")
        return Mention("side", start, end, tuple(terms), side=side)
    elif "grade" in kinds:
        sort = "grade"
    else:
        sort = "trade"
    side_of_word = load_words().side_of_word
    side = next((side_of_word[w] for w in form if w in side_of_word), "")
    return Mention(sort, start, end, tuple(terms), plural=plural, side=side)


def _is_target(term: Term) -> bool:
    if term.kind == "segment":
        return load().vocabulary.segment_kinds[term.codes[0]][0] in ("movement", "reflex")
    return term.kind in ("modality", "muscle")
