"""Self-repairs inside an utterance: what is taken back never reaches a statement.

"Left, sorry, right" and "four, no, four minus" leave the second; "absent on the left, no,
triceps jerk" goes back to the last mention of the same sort. A repair an utterance later
("sorry, make that four") is left to the assembly, which knows what was recorded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...lexicon.words import load_words
from .mentions import Mention

#: How many mentions back a correction may reach.
_REACH = 5


def without_repairs(texts: Sequence[str], mentions: Sequence[Mention]) -> list[Mention]:
    """The mentions of one utterance with everything that was taken back left out."""
    mentions = _one_repair_each(texts, mentions)
    kept: list[Mention] = []
    i = 0
    while i < len(mentions):
        mention = mentions[i]
        if not _is_repair(texts, mentions, i) or not kept or i + 1 >= len(mentions):
            if not (mention.sort == "marker" and mention.marker == "correction"):
                kept.append(mention)
            elif not kept:
                kept.append(mention)  # opens the utterance: the assembly's business
            i += 1
            continue
        new = mentions[i + 1]
        old = _last_of(kept, new.sort)
        if new.sort == "place" and any(t.kind == "muscle" for t in kept[-1].terms):
            old = len(kept) - 1  # "wasting of the deltoid, no, sorry, of the upper arm"
        if old is None or len(kept) - old > _REACH:
            i += 1
            continue
        follows = mentions[i + 2] if i + 2 < len(mentions) else None
        tail = kept[old + 1 :]
        origin = kept[old].start if kept[old].origin < 0 else kept[old].origin
        kept = kept[:old]
        new = replace(new, origin=origin)
        if new.sort in ("target", "place") and follows is not None and tail:
            restated = follows.sort in {t.sort for t in tail}
            kept += [new] if restated else [new, *tail]
        else:
            again = "" if follows is None or new.sort != "grade" else follows.sort
            kept += [new, *(t for t in tail if t.sort not in (new.sort, again))]
        i += 2
    return kept


def _one_repair_each(texts: Sequence[str], mentions: Sequence[Mention]) -> list[Mention]:
    """ "Sorry, I mean" is one repair."""
    out: list[Mention] = []
    for mention in mentions:
        last = out[-1] if out else None
        both = (
            last is not None
            and mention.marker == "correction"
            and (last.marker == "correction" or (last.marker == "negation" and len(out) == 1))
        )
        if last is not None and both and _only_fillers(texts, last.end, mention.start):
            out[-1] = replace(mention, start=last.start)
        else:
            out.append(mention)
    return out


def _is_repair(texts: Sequence[str], mentions: Sequence[Mention], i: int) -> bool:
    mention = mentions[i]
    if mention.sort != "marker" or i + 1 >= len(mentions) or i == 0:
        return False
    before, after = mentions[i - 1], mentions[i + 1]
    if after.sort in ("marker", "trade"):
        return False
    if not _only_fillers(texts, mention.end, after.start):
        return False
    if mention.marker in ("correction", "retract"):
        return True
    # "four, no, four minus": a bare no between two of one sort, set off by a comma.
    if mention.marker == "negation" and texts[mention.start] == "no":
        numbered = bool(before.number and after.number)  # "four minus no four"
        if not numbered and (mention.start == 0 or texts[mention.start - 1] != ","):
            return False
        if not _only_fillers(texts, before.end, mention.start):
            return False
        alike = before.sort == after.sort and before.sort in ("grade", "level", "side")
        apart = tuple(texts[mention.end : mention.end + 1]) == (",",)
        return alike or (apart and after.sort in ("side", "target", "place"))
    return False


def _only_fillers(texts: Sequence[str], start: int, end: int) -> bool:
    return load_words().repair_fillers.issuperset(texts[start:end])


def _last_of(kept: Sequence[Mention], sort: str) -> int | None:
    for k in range(len(kept) - 1, -1, -1):
        if kept[k].sort == sort:
            return k
    return None
