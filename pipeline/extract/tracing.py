"""Shows how a narration was read, utterance by utterance: why something is, or is no, finding.

The same walk as ``extract``, with what it saw on the way: the kind of talk and the cues that
told it, the mentions, what was in force, and what came of it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from ..transcript import Transcript
from .extraction import ExtractOptions, walked
from .kinds import Utterance
from .mentions import Mention

_DEFAULTS = ExtractOptions()


@dataclass(frozen=True)
class TracedUtterance:
    """One utterance: its words, its kinds of talk, and all that was made of it.

    ``cues`` are (rule id, words); ``mentions`` are (sort, words, codes); ``in_force`` holds
    side, limbs and modality before it; ``findings`` and ``claims`` are codes parted by blanks,
    ``left`` the reasons of what yielded nothing.
    """

    said: str
    kinds: tuple[str, ...]
    cues: tuple[tuple[str, str], ...]
    mentions: tuple[tuple[str, str, str], ...]
    in_force: tuple[str, ...]
    findings: tuple[str, ...]
    claims: tuple[str, ...]
    left: tuple[str, ...]


def trace(
    transcript: Transcript, *, options: ExtractOptions = _DEFAULTS
) -> tuple[TracedUtterance, ...]:
    """How each utterance of a narration was read, in order; none when nothing was said."""
    pieces, utterances, walk = walked(transcript, options=options)
    found: defaultdict[int, list[str]] = defaultdict(list)
    for f in walk.found:
        found[f.utterance].append(" ".join((*f.draft.key, f.draft.grade or f.draft.status)))

    def said(start: int, end: int) -> str:
        words = transcript.words[pieces[start].word : pieces[end - 1].word + 1]
        return " ".join(w.text for w in words)

    made: list[TracedUtterance] = []
    for number, one in enumerate(utterances):
        made.append(
            TracedUtterance(
                said=said(one.start, one.end),
                kinds=tuple(dict.fromkeys(one.kinds)),
                cues=tuple((h.cue.id, said(h.start, h.end)) for h in one.hits),
                mentions=tuple((m.sort, said(m.start, m.end), _codes(m)) for m in _ordered(one)),
                in_force=walk.in_force.get(number, ()),
                findings=tuple(found[number]),
                claims=tuple(
                    f"{c.kind} {c.subject} {c.value}"
                    for c in dict.fromkeys(walk.claims)
                    if one.start <= c.start < one.end
                ),
                left=tuple(x.reason for x in walk.unresolved if one.start <= x.start < one.end),
            )
        )
    return tuple(made)


def _ordered(utterance: Utterance) -> list[Mention]:
    return sorted(utterance.mentions, key=lambda m: m.start)


def _codes(mention: Mention) -> str:
    """What a mention can stand for, in codes."""
    if mention.number:
        return mention.number
    if mention.levels:
        return " ".join(mention.levels)
    return mention.marker or mention.side or " ".join(dict.fromkeys(t.code for t in mention.terms))
