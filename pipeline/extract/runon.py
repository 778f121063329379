"""Cuts talk that runs on without punctuation where a new statement begins.

Recognisers drop stops, and telegraphic dictation has none: "tone normal power five
throughout reflexes two plus right leg tone increased". A target that follows a finished
statement opens a new one, with the grade or negation that leads it; a limb with a side, or a
side said of all that follows, is a heading.
"""

from __future__ import annotations

from collections.abc import Sequence

from .mentions import Mention

_LIMB_CODES = frozenset(["upper_limb", "lower_limb", "hand", "foot"])
_LEADS = ("negation", "there_is", "none")
_ADJECTIVES = frozenset(["left", "right", "both", "either", "bilateral", "l", "r"])
_SIDED_WORDS = frozenset(["left", "right", "both", "either", "the", "a", "his", "her", "on", "in"])


def run_on_cuts(
    texts: Sequence[str],
    start: int,
    end: int,
    mentions: Sequence[Mention],
    opened: Sequence[int],
) -> list[tuple[int, int]]:
    """The parts of atoms ``start`` to ``end``; ``opened`` are where other talk begins."""
    cuts: set[int] = set(opened)
    complete, open_target, heading = True, False, False
    for k, m in enumerate(mentions):
        after = mentions[k + 1] if k + 1 < len(mentions) else None
        if m.sort == "target":
            if heading:
                cuts.add(_lead(texts, mentions, k, with_side=False))
            elif complete and not open_target:
                cuts.add(_lead(texts, mentions, k, with_side=True))
            led = _led_by_grade(mentions, k)
            complete, open_target, heading = led, not led, False
        elif m.sort == "grade":
            leads = after is not None and after.sort == "target" and _adjacent(m, after)
            if not (complete and leads):
                complete, open_target = True, False
        elif m.sort == "place" and _is_limb(m) and _sided(texts, m):
            if complete and after is not None and not _follows_preposition(texts, m, after):
                cuts.add(_phrase_start(texts, m, start))
                heading, complete, open_target = True, True, False
        elif m.sort == "side" and open_target and k and after is not None:
            if after.sort == "target" and _generic(mentions[k - 1]):
                heading = True  # "power both sides hip flexion five"
    edges = sorted({start, *(c for c in cuts if start < c < end), end})
    return list(zip(edges, edges[1:], strict=False))


def _lead(texts: Sequence[str], mentions: Sequence[Mention], k: int, *, with_side: bool) -> int:
    """Where the phrase of target ``k`` begins, with the words that lead it."""
    at = mentions[k].start
    j = k - 1
    while j >= 0 and mentions[j].end >= at - 1:
        m = mentions[j]
        leads = (m.sort == "marker" and m.marker in _LEADS) or (
            m.sort == "grade" and _led_by_grade(mentions, k)
        )
        side = with_side and m.sort == "side" and m.end == at and is_adjective(texts, m)
        if not (leads or side):
            break
        at = m.start
        j -= 1
    while at > 0 and texts[at - 1] in ("the", "a", "an", "his", "her", "there", "is"):
        at -= 1
    return at


def is_adjective(texts: Sequence[str], side: Mention) -> bool:
    """Whether a side word belongs to the noun after it, and not to "on the left"."""
    before = tuple(texts[max(side.start - 2, 0) : side.start])
    return (
        texts[side.start] in _ADJECTIVES
        and side.end - side.start == 1
        and (before[-1:] != ("on",) and before != ("on", "the"))
    )


def _led_by_grade(mentions: Sequence[Mention], k: int) -> bool:
    """Whether a grade or a negation right before target ``k`` is the target's own."""
    if k == 0:
        return False
    before = mentions[k - 1]
    if before.sort == "side" and k > 1:
        before = mentions[k - 2]
    if before.sort == "marker":
        return before.marker in ("negation", "none")
    if before.sort != "grade":
        return False
    earlier = [m for m in mentions[:k] if m.sort in ("target", "grade") and m is not before]
    return not earlier or earlier[-1].sort == "grade" or _only_presence(before)


def _only_presence(m: Mention) -> bool:
    codes = [c for t in m.terms for c in t.codes if t.kind == "grade"]
    return bool(codes) and all(c.startswith("presence:") for c in codes)


def _adjacent(m: Mention, after: Mention) -> bool:
    return after.start - m.end <= 1


def _generic(m: Mention) -> bool:
    return any(
        t.kind == "modality" and t.code in ("power", "reflex", "tone", "sensation") for t in m.terms
    )


def _is_limb(m: Mention) -> bool:
    return any(set(t.codes) & _LIMB_CODES for t in m.terms if t.kind == "segment")


def _sided(texts: Sequence[str], m: Mention) -> bool:
    before = texts[m.start - 1] if m.start else ""
    return bool(m.side) or before in ("left", "right") or m.end - m.start == 1


def _follows_preposition(texts: Sequence[str], m: Mention, after: Mention) -> bool:
    i = m.start - 1
    while i >= 0 and texts[i] in ("left", "right", "both", "the", "either", "his", "her"):
        i -= 1
    if i >= 0 and texts[i] == "throughout":
        # "five throughout left leg tone …": the limb heads what follows
        sided = bool(m.side) or texts[m.start - 1] in ("left", "right")
        return not (sided and after.sort == "target" and _adjacent(m, after))
    return i >= 0 and texts[i] in ("in", "of", "at", "and", "over", "or", "to")


def _phrase_start(texts: Sequence[str], m: Mention, start: int) -> int:
    at = m.start
    while at > start and texts[at - 1] in _SIDED_WORDS:
        at -= 1
    return at
