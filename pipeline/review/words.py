"""Changes words of a record, and lets everything that points at words follow.

What was heard stays: word by word where as many words come out as went in, else the first word of
a changed stretch holds all that was heard there, as after correction. Words at both ends that
stay the same are no part of the change. A stretch may come to have more or fewer words (a
recogniser glues and splits words, and a person must be able to undo that), so every range of
words behind it moves along, and a range that the change cuts grows to the whole stretch: evidence
never loses a word. The texts of evidence follow; findings and claims themselves do not change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ..record import Correction, Evidence, Finding, Record, Word
from ..transcript import Transcript, whole_stretch
from .edits import EditError


@dataclass(frozen=True)
class Stretch:
    """Words ``first`` to ``last`` (included) that become ``count`` words.

    ``one_by_one``: each became one word, which holds what was heard for it alone.
    """

    first: int
    last: int
    count: int
    one_by_one: bool

    @property
    def end(self) -> int:
        """The last of the words that it became."""
        return self.first + self.count - 1

    @property
    def growth(self) -> int:
        """How many words there are more."""
        return self.end - self.last

    def meets(self, first: int, last: int) -> bool:
        """Whether words ``first`` to ``last``, as they were counted before, are touched."""
        return first <= self.last and last >= self.first

    def moved(self, first: int, last: int) -> tuple[int, int]:
        """Where words ``first`` to ``last`` are afterwards."""
        if last < self.first:
            return first, last
        if first > self.last:
            return first + self.growth, last + self.growth
        if self.one_by_one:
            return first, last
        return min(first, self.first), max(last + self.growth, self.end)


def written(record: Record, first: int, last: int, texts: Sequence[str]) -> tuple[Record, Stretch]:
    """``record`` with ``texts`` in place of words ``first`` to ``last``, and what changed.

    Raises ``EditError`` when the words are not there, ``texts`` is empty, or nothing changes.
    """
    words = record.words
    require_words(record, first, last)
    if not texts:
        raise EditError("Write the words that were said there; words cannot be taken out.")
    part = _narrowed([w.text for w in words], first, last, list(texts))
    if part is None:
        raise EditError("The words there are the same already.")
    first, last, texts = _widened(words, *part)
    old = words[first : last + 1]
    one_by_one = len(texts) == len(old) and all(w.heard != "" for w in old)
    new = list(map(_word, old, texts)) if one_by_one else _words(old, texts)
    stretch = Stretch(first, last, len(texts), one_by_one)
    return _follow(record, (*words[:first], *new, *words[last + 1 :]), stretch), stretch


def require_words(record: Record, first: int, last: int) -> None:
    """``EditError`` unless words ``first`` to ``last`` are in ``record``."""
    if not record.words:
        raise EditError("This record has no words.")
    if not 0 <= first <= last < len(record.words):
        raise EditError(
            f"There are no words {first} to {last} in this record; its words are numbered 0 to "
            f"{len(record.words) - 1}."
        )


def _narrowed(
    words: Sequence[str], first: int, last: int, texts: list[str]
) -> tuple[int, int, list[str]] | None:
    """Without the words at both ends that stay the same; None when all of them do."""
    if list(words[first : last + 1]) == texts:
        return None
    while texts and first <= last and words[first] == texts[0]:
        first, texts = first + 1, texts[1:]
    while texts and first <= last and words[last] == texts[-1]:
        last, texts = last - 1, texts[:-1]
    if texts and first <= last:
        return first, last, texts
    # Words only came or only went: a neighbour has to hold what was heard.
    if first > 0:
        return first - 1, last, [words[first - 1], *texts]
    return first, last + 1, [*texts, words[last + 1]]


def _widened(
    words: Sequence[Word], first: int, last: int, texts: list[str]
) -> tuple[int, int, list[str]]:
    """With the rest of a stretch that was changed before: it was heard as a whole."""
    start, end = whole_stretch(words, first, last)
    before = [w.text for w in words[start:first]]
    after = [w.text for w in words[last + 1 : end + 1]]
    return start, end, [*before, *texts, *after]


def _word(source: Word, text: str) -> Word:
    heard = source.as_heard
    return source.model_copy(update={"text": text, "heard": None if heard == text else heard})


def _words(sources: Sequence[Word], texts: Sequence[str]) -> list[Word]:
    """``texts`` as words that were heard as a whole; as many as there were keep their seconds."""
    starts = [w.start_s for w in sources if w.start_s is not None]
    ends = [w.end_s for w in sources if w.end_s is not None]
    sure = [w.probability for w in sources if w.probability is not None]
    heard = " ".join(w.as_heard for w in sources if w.as_heard)
    as_heard = heard == " ".join(texts)
    out = []
    for n, text in enumerate(texts):
        own = sources[n] if len(texts) == len(sources) else None
        out.append(
            Word(
                text=text,
                start_s=own.start_s if own else min(starts, default=None),
                end_s=own.end_s if own else max(ends, default=None),
                probability=own.probability if own else min(sure, default=None),
                heard=None if as_heard else heard if n == 0 else "",
                new_line=own.new_line if own else sources[0].new_line and n == 0,
            )
        )
    return out


def _follow(record: Record, words: tuple[Word, ...], stretch: Stretch) -> Record:
    transcript = Transcript(words)

    def moved(evidence: Evidence | None) -> Evidence | None:
        if evidence is None or evidence.last_word < stretch.first:
            return evidence
        first, last = stretch.moved(evidence.first_word, evidence.last_word)
        if not stretch.meets(evidence.first_word, evidence.last_word):
            return evidence.model_copy(update={"first_word": first, "last_word": last})
        new = transcript.evidence(first, last)
        if new.start_s is None or new.end_s is None:
            kept = {"start_s": evidence.start_s, "end_s": evidence.end_s}
            return new.model_copy(update=kept)
        return new

    def finding(one: Finding) -> Finding:
        return one.model_copy(update={"evidence": moved(one.evidence)})

    def correction(one: Correction) -> Correction:
        first, last = stretch.moved(one.first_word, one.last_word)
        return one.model_copy(update={"first_word": first, "last_word": last})

    def followed(items: Iterable[Any]) -> tuple[Any, ...]:
        return tuple(i.model_copy(update={"evidence": moved(i.evidence)}) for i in items)

    return record.model_copy(
        update={
            "words": words,
            "corrected": transcript.corrected,
            "findings": followed(record.findings),
            "claims": followed(record.claims),
            "unresolved": followed(record.unresolved),
            "corrections": tuple(map(correction, record.corrections)),
            "rejected": tuple(
                r.model_copy(update={"finding": finding(r.finding)}) for r in record.rejected
            ),
        }
    )
