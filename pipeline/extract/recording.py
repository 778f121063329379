"""From drafts to the models of the record: evidence, confidence and notes."""

from __future__ import annotations

from collections.abc import Sequence

from ...lexicon import Atom
from ...lexicon.words import load_words
from ..record import Claim, Evidence, Finding
from ..transcript import Transcript
from .claims import ClaimDraft
from .confidence import confidence_of
from .found import Found
from .kinds import Utterance
from .statement import Statement


def evidence_of(transcript: Transcript, pieces: Sequence[Atom], start: int, end: int) -> Evidence:
    """The evidence of atoms ``start`` to before ``end``, one at least."""
    return transcript.evidence(pieces[start].word, pieces[max(end - 1, start)].word)


def finding_of(one: Found, transcript: Transcript, pieces: Sequence[Atom]) -> Finding:
    """The finding of the record, with evidence and confidence."""
    evidence = evidence_of(transcript, pieces, one.start, one.end)
    words = transcript.words[evidence.first_word : evidence.last_word + 1]
    return Finding(
        modality=one.draft.modality,
        segment=one.draft.segment,
        side=one.draft.side,
        grade=one.draft.grade,
        status=one.draft.status,
        certainty="possible" if one.possible else "definite",
        confidence=confidence_of(one, words),
        evidence=evidence,
        note=one.note,
    )


def claim_of(claim: ClaimDraft, transcript: Transcript, pieces: Sequence[Atom]) -> Claim:
    """The claim of the record, with evidence."""
    evidence = evidence_of(transcript, pieces, claim.start, claim.end)
    return Claim(kind=claim.kind, subject=claim.subject, value=claim.value, evidence=evidence)


def note_of(statement: Statement, utterance: Utterance) -> str | None:
    """Why something was not assessable, in the speaker's words; None when not said."""
    if statement.status is None:
        return None
    texts, reasons = utterance.texts, load_words().reason_words
    for i in range(statement.status.end, utterance.end):
        if texts[i] in reasons:
            return " ".join(t for t in texts[i : utterance.end] if t not in ".;?!")
    return None
