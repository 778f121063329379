"""A reviewer's word on the words: what they write anew, and what becomes of corrections.

Whatever a reviewer does to words is kept as a correction of theirs. A correction that the new
words override is told to be replaced, never taken off the list, since findings name corrections
by their place.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Literal

from ..record import Correction, Decided, Record
from .edits import EditError
from .places import at, put
from .words import require_words, written

_MARKS = ",.;:?!"
_STOPS = ".?!"
_REASON = "changed by a reviewer"


def rewrite(
    record: Record, first: int, last: int, texts: Sequence[str], *, who: str, when: dt.datetime
) -> Record:
    """``record`` with ``texts`` as words ``first`` to ``last``, and a correction that says so."""
    changed, stretch = written(record, first, last, texts)
    replaced = Decided(who=who, when=when, how="replaced")
    corrections = tuple(
        _over(new, replaced)
        if stretch.meets(old.first_word, old.last_word) and _stands(record, old)
        else new
        for old, new in zip(record.corrections, changed.corrections, strict=True)
    )
    before = record.words[stretch.first : stretch.last + 1]
    after = changed.words[stretch.first : stretch.end + 1]
    became = " ".join(w.text for w in after)
    own = Correction(
        heard=" ".join(w.text for w in before),
        became=became,
        term=became,
        score=1.0,
        reason=_REASON,
        first_word=stretch.first,
        last_word=stretch.end,
        decided=Decided(who=who, when=when, how="made"),
    )
    return changed.model_copy(update={"corrections": (*corrections, own)})


def decide(record: Record, place: int, *, accept: bool, who: str, when: dt.datetime) -> Record:
    """``record`` after a reviewer's word on correction ``place``; the words follow it."""
    correction = at(record.corrections, place, "correction")
    how = _decision(correction, accept)

    def decided(record: Record, place: int, made: bool) -> Record:
        update = {"made": made, "decided": Decided(who=who, when=when, how=how)}
        new = record.corrections[place].model_copy(update=update)
        return put(record, "corrections", place, new)

    if how in ("confirmed", "declined"):
        return decided(record, place, correction.made)
    if not _stands(record, correction):
        raise EditError("The words there are others by now; change the words themselves.")
    texts = _as_written(record, correction) if accept else correction.heard.split()
    changed, _ = written(record, correction.first_word, correction.last_word, texts)
    # One stretch may hold several corrections that were made at once; they go together.
    for n, other in enumerate(record.corrections):
        if n == place or (not accept and _same_words(other, correction)):
            changed = decided(changed, n, accept)
    return changed


def _decision(
    correction: Correction, accept: bool
) -> Literal["made", "confirmed", "declined", "taken_back"]:
    decided = correction.decided
    if correction.made:
        if not accept:
            return "taken_back"
        if decided is None:
            return "confirmed"
    elif accept:
        return "made"
    elif decided is None:
        return "declined"
    raise EditError("This correction was decided so already.")


def _stands(record: Record, correction: Correction) -> bool:
    """Whether the words still are what the correction left there."""
    words = record.words[correction.first_word : correction.last_word + 1]
    there = " ".join(w.text for w in words)
    wanted = correction.became if correction.made else correction.heard
    return _bare(there) == _bare(wanted)


def _bare(words: str) -> str:
    return " ".join(words.split()).rstrip(_MARKS).lower()


def _same_words(one: Correction, other: Correction) -> bool:
    return (one.made, one.first_word, one.last_word, one.became) == (
        other.made,
        other.first_word,
        other.last_word,
        other.became,
    )


def _over(correction: Correction, decided: Decided) -> Correction:
    return correction.model_copy(update={"made": False, "decided": decided})


def _as_written(record: Record, correction: Correction) -> list[str]:
    """The words of a suggestion, with the mark and the capital of those that it replaces."""
    first, last = correction.first_word, correction.last_word
    require_words(record, first, last)
    texts = correction.became.split()
    if not texts:
        raise EditError("This correction names no words; change the words themselves.")
    words = record.words
    old = words[last].text
    mark = old[len(old.rstrip(_MARKS)) :]
    if mark and texts[-1][-1] not in _MARKS:
        texts[-1] += mark
    opens = first == 0 or words[first].new_line or words[first - 1].text[-1:] in _STOPS
    if opens and words[first].text[:1].isupper():
        texts[0] = texts[0][:1].upper() + texts[0][1:]
    return texts
