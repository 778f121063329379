"""What stands around the gaps between words, as features of a mark that may be missing there.

Whether a sentence ends in a gap is told by the words: what was named before it and is named
after it, whether a target waits for its grade, how the sentence began. A mention counts as one
token of a class ("knee extension" as a movement), every other word as itself or by its ending.
``marks`` weighs the features with the weights that ``bench/marks_fit.py`` fits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from functools import lru_cache
from typing import NamedTuple

from ...lexicon import Term, load
from ...lexicon.words import load_words
from .mentions import Mention

#: Marks as atoms; whatever else stands in a narration is a word.
MARKS = frozenset(",.;:?!")
#: Stands before the first token and after the last.
_EDGE = "#"
_ENDINGS = ("ing", "ed", "ly", "s")
#: Coarse classes: side, place, grade, amount, target, head of a part, sign.
_SORTS = {
    "SIDE": "s", "BOTH": "s", "LEVEL": "p", "NUMBER": "g", "LIMB": "p", "LIMBS": "p",
    "PLACE": "p", "PLACES": "p", "AMOUNT": "a", "GRADE": "g", "MUSCLE": "t", "JERK": "t",
    "MOVE": "t", "GENERAL": "h", "IMPLIES": "i", "SIGN": "i",
}  # fmt: skip
_STEERING = frozenset(["negation", "none", "same", "heading", "except"])
_TARGETS = frozenset("thi")
_GRADES = frozenset(["g", "none", "same"])
_LEADING = frozenset(["g", "a", "negation", "none"])
_BEFORE_SIDE = frozenset(["and", "on", "in", "at", "over", "the", "his", "her"])
_MOST = 4  # counts and distances beyond it are as good as it


class Token(NamedTuple):
    """A mention or a word: its class, its first and last word, atoms ``start`` to ``end``."""

    kind: str
    first: str
    last: str
    start: int
    end: int


class Gap(NamedTuple):
    """The gap before a token: its marks and hesitations are atoms ``low`` to ``high``.

    ``mark`` is the strongest of its marks.
    """

    low: int
    high: int
    mark: str


def tokens_of(
    texts: Sequence[str], mentions: Sequence[Mention], words: Set[str]
) -> tuple[list[Token], list[Gap]]:
    """The tokens of a narration, and the gap before each but the first.

    ``words`` are those that count as themselves. Marks and hesitations are no tokens.
    """
    hesitations = load_words().hesitations
    tokens: list[Token] = []
    gaps: list[Gap] = []
    at = k = low = 0
    mark = ""
    while at < len(texts):
        text = texts[at]
        if text in MARKS:
            mark = text if text != "," or not mark else mark
            at += 1
            continue
        if text in hesitations:
            at += 1
            continue
        while k < len(mentions) and mentions[k].start < at:
            k += 1
        if tokens:
            gaps.append(Gap(low, at, mark))
        mark = ""
        if k < len(mentions) and mentions[k].start == at:
            m, after = mentions[k], mentions[k + 1] if k + 1 < len(mentions) else None
            end, kind = m.end, _kind_of(m)
            if after is not None and _joins_sides(texts, m, after):
                end, kind = after.end, "BOTH"
            tokens.append(Token(kind, text, texts[end - 1], at, end))
            at = end
        else:
            tokens.append(Token(_word_class(text, words), text, text, at, at + 1))
            at += 1
        low = at
    return tokens, gaps


def _joins_sides(texts: Sequence[str], m: Mention, after: Mention) -> bool:
    """ "Left and right" names both."""
    return (
        m.sort == after.sort == "side"
        and {m.side, after.side} == {"left", "right"}
        and list(texts[m.end : after.start]) == ["and"]
    )


def _word_class(text: str, words: Set[str]) -> str:
    if text in words:
        return text
    ending = next((e for e in _ENDINGS if len(text) > _MOST and text.endswith(e)), "")
    return f"*{ending}"


def _kind_of(m: Mention) -> str:
    if m.sort == "side":
        return "SIDE" if m.side in ("left", "right") else "BOTH"
    if m.sort == "level":
        return "LEVEL"
    if m.sort == "marker":
        return f"M:{m.marker}"
    if m.number:
        return "NUMBER"
    return _class_of(m.sort, m.plural, m.terms)


@lru_cache(maxsize=4096)
def _class_of(sort: str, plural: bool, terms: tuple[Term, ...]) -> str:
    vocabulary, words = load().vocabulary, load_words()
    if sort == "place":
        limb = any(not words.heading_limbs.isdisjoint(t.codes) for t in terms)
        return ("LIMB" if limb else "PLACE") + ("S" if plural else "")
    if sort == "grade":
        codes = [c for t in terms if t.kind == "grade" for c in t.codes]
        return "AMOUNT" if all(c.startswith("presence:") for c in codes) else "GRADE"
    if sort == "trade":
        return "TRADE"
    term = next((t for t in terms if t.kind in ("modality", "muscle")), terms[0])
    if term.kind == "muscle":
        return "MUSCLE"
    if term.kind == "segment":
        kind = vocabulary.segment_kinds[term.codes[0]][0]
        return "JERK" if kind == "reflex" else "MOVE"
    if term.code in words.general_modalities and not term.implies:
        return "GENERAL"
    if term.segment:
        return "JERK"
    if term.implies:
        return "IMPLIES"
    scale = vocabulary.modalities[term.code].scale
    return "SIGN" if scale in ("presence", "sign") else f"T:{scale}"


def _sort_of(kind: str) -> str:
    """The coarse class of a token; empty for what names nothing."""
    if kind[:2] == "M:":
        return kind[2:] if kind[2:] in _STEERING else ""
    return "t" if kind[:2] == "T:" else _SORTS.get(kind, "")


class Line:
    """The tokens of a narration in a row, with what the features of its gaps are made of."""

    def __init__(self, tokens: Sequence[Token], cues_at: Mapping[int, str]):
        """``cues_at``: the kinds of talk whose cues begin at an atom."""
        self.tokens = tokens
        self.sorts = [_sort_of(t.kind) for t in tokens]
        self.cues = [cues_at.get(t.start, "") for t in tokens]
        self._kinds = [_EDGE, _EDGE, _EDGE, *(t.kind for t in tokens), _EDGE, _EDGE, _EDGE]
        self._before = _neighbours(self.sorts)
        self._after = _neighbours(self.sorts[::-1])[::-1]
        self._states = _states(self.sorts)
        self._sides = _sides(tokens, self.sorts)
        self._placed = _placed(self.sorts)

    def waiting(self, i: int) -> str:
        """Whether a target waits for its grade before token ``i``, and how one was led."""
        return self._states[i]

    def pair(self, i: int) -> tuple[str, str]:
        """The classes to either side of the gap before token ``i``."""
        return self._kinds[i + 2], self._kinds[i + 3]

    def side_ahead(self, i: int) -> str:
        """The side that begins with token ``i`` and has a target after it or its limb; or ""."""
        kinds, j = [t.kind for t in self.tokens[i : i + 5]], 0
        while j < len(kinds) and kinds[j] in _BEFORE_SIDE:
            j += 1
        if j == len(kinds) or kinds[j] != "SIDE":
            return ""
        side = self.tokens[i + j].first
        j += 2 if kinds[j + 1 : j + 2] == ["LIMB"] else 1
        return side if j < len(kinds) and self.sorts[i + j] in _TARGETS else ""

    def turns(self, i: int) -> bool:
        """ "… on the left | and on the right hip flexion four": of one side, then of the other."""
        before, side = self.tokens[i - 1], self.side_ahead(i)
        if before.kind != "SIDE" or self.tokens[i].first != "and" or side in ("", before.last):
            return False
        return [s for s in self.sorts[i : i + 8] if s][1:3] == ["t", "g"]

    def lists(self, i: int) -> bool:
        """Whether target ``i`` has its grade after it, and another target follows at once."""
        mentioned = [s for s in self.sorts[i : i + 8] if s]
        return mentioned[:1] == ["t"] and mentioned[1:3] == ["g", "t"]

    def features(self, i: int) -> list[str]:
        """What stands around the gap before token ``i``, whatever the marks elsewhere are.

        Those of the pair of classes itself are ``pair_features``.
        """
        tokens = self.tokens
        l3, l2, l1, r1, r2, r3 = self._kinds[i : i + 6]
        w1, w2 = tokens[i - 1].last, tokens[i].first
        w3 = tokens[i + 1].first if i + 1 < len(tokens) else _EDGE
        m1, m2, m3, md = self._before[i]
        n1, n2, n3, nd = self._after[i]
        if self.sorts[i]:
            n1, n2, n3, nd = self.sorts[i], n1, n2, 0
        else:
            nd = min(nd + 1, _MOST)
        st, cue, sd, pl = self._states[i], self.cues[i], self._sides[i], self._placed[i]
        return [
            f"D {l2} {l1}",
            f"E {r1} {r2}",
            f"F {l1} {r1} {r2}",
            f"G {l2} {l1} {r1}",
            f"H {l2} {l1} {r1} {r2}",
            f"I {r1} {r2} {r3}",
            f"J {w1} {w2}",
            f"K {w2} {w3}",
            f"L {w2} {cue}",
            f"M {cue} {l1}",
            f"N {m1} {n1} {md} {nd}",
            f"O {m2} {m1} {n1} {n2}",
            f"P {st} {r1}",
            f"Q {st} {n1} {n2} {nd}",
            f"R {st} {m1} {l1} {r1}",
            f"S {m1} {n1} {n2} {n3} {l1}",
            f"T {m3} {m2} {m1} {n1} {st}",
            f"U {l3} {l2} {l1}",
            f"V {sd} {l1} {r1}",
            f"W {sd} {n1} {n2} {m1}",
            f"X {sd} {r1} {r2} {st}",
            f"Y {pl} {l1} {r1}",
            f"Z {pl} {st} {n1} {n2} {nd}",
            f"Æ {pl} {r1} {r2} {r3}",
            f"Ø {tokens[i - 1].first} {l1} {r1}",
            f"Å {l3} {l2} {l1} {r1}",
        ]


def pair_features(left: str, right: str) -> list[str]:
    """The features of two classes side by side."""
    return ["", f"A {left}", f"B {right}", f"C {left} {right}"]


def _neighbours(sorts: Sequence[str]) -> list[tuple[str, str, str, int]]:
    """For each place the sorts of the three mentions before it, and how far the nearest is."""
    out: list[tuple[str, str, str, int]] = []
    a = b = c = _EDGE
    away = _MOST
    for s in sorts:
        out.append((a, b, c, away))
        if s:
            a, b, c, away = s, a, b, 0
        else:
            away = min(away + 1, _MOST)
    return out


def _states(sorts: Sequence[str]) -> list[str]:
    """For each place whether a target waits for its grade, and whether a grade led it."""
    out: list[str] = []
    state, led, last = "-", "-", ""
    for s in sorts:
        out.append(state + led)
        if s in _TARGETS:
            led = "l" if last in _LEADING and state != "o" else "f"
            state = "o" if s != "i" else "i"
        elif s in _GRADES:
            state = "c"
        last = s or last
    return out


def _placed(sorts: Sequence[str]) -> list[str]:
    """For each place whether a side or place led the last target, and how many came after it.

    Those after it count from its grade on: a phrase that comes when the target has its place
    already is said of what follows.
    """
    out: list[str] = []
    led = False
    count = 0
    last = ""
    for s in sorts:
        out.append(f"{led:d}{count}")
        if s in _TARGETS:
            led, count = last in ("s", "p"), 0
        elif s in _GRADES:
            count = 0
        elif s in ("s", "p") and last not in ("s", "p"):
            count = min(count + 1, 2)
        last = s
    return out


def _sides(tokens: Sequence[Token], sorts: Sequence[str]) -> list[str]:
    """For each place how many targets back, and how many ahead, a side was spoken."""

    def counts(order: Sequence[int]) -> dict[int, int]:
        out: dict[int, int] = {}
        count = _MOST
        for i in order:
            out[i] = count
            if tokens[i].kind == "SIDE":
                count = 0
            elif sorts[i] in _TARGETS:
                count = min(count + 1, _MOST)
        return out

    n = len(tokens)
    back, ahead = counts(range(n)), counts(range(n - 1, -1, -1))
    return [f"{back[i]}{ahead[i]}" for i in range(n)]
