"""What a reviewer's correction teaches: the words that were heard, kept as a variant.

Only words that stand in a record as its recogniser wrote them, and that a reviewer put right,
are kept, so that nothing gets into the personal lexicon that was not seen. The words that the
reviewer left alone are taken off both ends first. What people say anyway is not kept unless
the reviewer insists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ...lexicon import InputError
from ..record import Word
from ..transcript import whole_stretch
from .admission import meaning, refusal, too_ordinary
from .personal import add_personal, fault_of, personal_path, usable
from .safekeeping import read_text
from .units import tokens_of
from .variants import differing


@dataclass(frozen=True)
class Kept:
    """What became of a correction: ``heard`` stands for ``means`` now, or ``why`` it does not."""

    heard: str
    means: str
    why: str | None = None

    @property
    def kept(self) -> bool:
        """Whether the variant stands in the personal lexicon."""
        return self.why is None


def keep_variant(
    words: Sequence[Word],
    means: str,
    *,
    first_word: int,
    last_word: int,
    path: Path | None = None,
    insist: bool = False,
) -> Kept:
    """Keep what was heard in words ``first_word`` to ``last_word`` of a record for ``means``.

    ``words`` are ``Record.words``, both ends are included, and ``means`` is what the reviewer
    wrote in their place. ``insist`` keeps ordinary English too. Safe while others write the
    file, of which no line is lost, not even a faulty one. Raises ``InputError`` when the words
    are not in the record or the file cannot be used.
    """
    if not 0 <= first_word <= last_word < len(words):
        raise InputError("The corrected words are not in this record; load it again.")
    heard, wanted = _as_heard(words, means, first_word, last_word)
    whole = " ".join(heard), " ".join(wanted)
    if not heard or not wanted:
        return Kept(*whole, "there are no words in it.")
    if heard == wanted:
        return Kept(*whole, "it was heard as it is.")
    there = usable(read_text(path or personal_path()))
    first, last, part = differing(heard, wanted)
    refused = None
    for one, other in dict.fromkeys([(" ".join(heard[first:last]), " ".join(part)), whole]):
        if fault := fault_of(one, other):
            refused = refused or Kept(one, other, fault)
            continue
        try:
            said = meaning(one, other)
        except InputError as error:
            refused = refused or Kept(one, other, str(error))
            continue
        why = refusal(one, said, there)
        if why is None and not insist and (common := too_ordinary(one)):
            why = f"it {common}."
        if why is None:
            add_personal(said, [one], path)
            return Kept(one, said)
        refused = refused or Kept(one, said, why)
    assert refused is not None  # the loop runs at least once
    return refused


def _as_heard(
    words: Sequence[Word], means: str, first: int, last: int
) -> tuple[list[str], list[str]]:
    """The tokens heard in the stretch, and those wanted.

    A stretch that correction changed was heard as a whole, so it counts as a whole.
    """
    start, end = whole_stretch(words, first, last)
    heard = [w.as_heard for w in words[start : end + 1]]
    before = [w.text for w in words[start:first]]
    after = [w.text for w in words[last + 1 : end + 1]]
    return tokens_of(" ".join(heard)), tokens_of(" ".join([*before, means, *after]))
