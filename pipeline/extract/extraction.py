"""The public function of the stage: a transcript in, findings, claims and leavings out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...lexicon import Atom, atoms
from ..record import Claim, Finding, Unresolved
from ..transcript import Transcript
from .heard import sureness
from .kinds import Utterance
from .language import analyse
from .narration import Walk
from .recording import claim_of, evidence_of, finding_of


@dataclass(frozen=True)
class ExtractOptions:
    """Options of the extraction.

    ``pause_s``: a silence of this length between two words ends an utterance.
    """

    pause_s: float = 1.5


@dataclass(frozen=True)
class Extraction:
    """What was found in a narration; the utterances are of ``atoms``, marks put back among them."""

    findings: tuple[Finding, ...]
    claims: tuple[Claim, ...]
    unresolved: tuple[Unresolved, ...]
    utterances: tuple[Utterance, ...]
    atoms: tuple[Atom, ...] = ()


def extract(transcript: Transcript, *, options: ExtractOptions = ExtractOptions()) -> Extraction:
    """The findings, claims and unresolved stretches of a narration; empty in, empty out."""
    pieces, utterances, walk = walked(transcript, options=options)
    return Extraction(
        findings=tuple(finding_of(f, transcript, pieces) for f in walk.found),
        claims=tuple(claim_of(c, transcript, pieces) for c in dict.fromkeys(walk.claims)),
        unresolved=tuple(
            Unresolved(
                reason=left.reason,
                evidence=evidence_of(transcript, pieces, left.start, left.end),
            )
            for left in walk.unresolved
        ),
        utterances=tuple(utterances),
        atoms=tuple(pieces),
    )


def walked(
    transcript: Transcript, *, options: ExtractOptions = ExtractOptions()
) -> tuple[Sequence[Atom], Sequence[Utterance], Walk]:
    """The atoms and utterances of a narration, and the walk over them, finished."""
    pieces = atoms([w.text for w in transcript.words])
    breaks = breaks_of(transcript, pieces, pause_s=options.pause_s)
    if not pieces:
        return pieces, [], Walk([])
    heard = any(w.probability is not None for w in transcript.words)
    sure = [sureness(w.probability) for w in transcript.words] if heard else None
    pieces, utterances = analyse(pieces, breaks, sure)
    walk = Walk(utterances)
    walk.read()
    return pieces, utterances, walk


def breaks_of(
    transcript: Transcript, pieces: Sequence[Atom], *, pause_s: float = ExtractOptions.pause_s
) -> list[int]:
    """Atoms that begin a line, or follow a long silence."""
    words = transcript.words
    out: list[int] = []
    for i in range(1, len(pieces)):
        here, before = pieces[i].word, pieces[i - 1].word
        if here == before:
            continue
        start, end = words[here].start_s, words[before].end_s
        paused = start is not None and end is not None and start - end >= pause_s
        if words[here].new_line or paused:
            out.append(i)
    return out
