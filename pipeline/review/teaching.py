"""What a reviewer's change of words teaches the personal lexicon, and what changed words say."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ..record import Finding, Record
from ..transcript import Transcript
from .edits import ChangeWords, DecideCorrection, EditError
from .places import at, changed_words, is_on

if TYPE_CHECKING:
    from ..correct.reviewed import Kept


def teach(
    record: Record,
    edit: ChangeWords | DecideCorrection,
    *,
    path: Path | None = None,
    insist: bool = False,
) -> Kept:
    """Keep what was heard where ``edit`` changes words; ``record`` is the one before it.

    ``path`` is the personal lexicon, None for the usual one. What is returned says whether the
    variant was kept, and why not. Raises ``InputError`` when the words are not in ``record``,
    ``EditError`` when the edit takes words back: there is nothing to learn from that.
    """
    from ..correct.reviewed import keep_variant

    if isinstance(edit, ChangeWords):
        first, last, text = edit.first_word, edit.last_word, edit.text
    else:
        correction = at(record.corrections, edit.correction, "correction")
        if not edit.accept or correction.made:
            raise EditError("No words are changed to others here, so there is nothing to keep.")
        first, last, text = correction.first_word, correction.last_word, correction.became
    return keep_variant(
        record.words, text, first_word=first, last_word=last, path=path, insist=insist
    )


def suggest(record: Record) -> tuple[Finding, ...]:
    """Findings that the words say as they stand now, where a reviewer changed them.

    Only those that are neither recorded nor rejected; nothing is recorded by this. Each can be
    recorded with ``AddFinding``.
    """
    from ..extract import extract

    changed = changed_words(record)
    if not changed:
        return ()
    known = {
        (f.key, f.grade, f.status)
        for f in (*record.findings, *(r.finding for r in record.rejected))
    }
    return tuple(
        f
        for f in extract(Transcript(record.words)).findings
        if (f.key, f.grade, f.status) not in known and is_on(f.evidence, changed)
    )
