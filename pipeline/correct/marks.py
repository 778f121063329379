"""How likely a change is right: a logistic model over marks that a person can read.

The search of ``lattice.py`` finds the best reading; this decides whether it is good enough to
be made. Each mark of a change (how far the sounds are, how sure the recogniser was, whether
the heard words are ordinary English, whether a trade phrase comes out ...) has a weight in
``sounds/decision.csv``, estimated by ``bench/decision.py`` from invented narrations that were
spoken by several voices, recognised and corrected. The score is the estimated chance that the
change makes the text truer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from ...lexicon.files import read_rows
from .changes import SEEN, Change
from .lattice import Lattice
from .words import commonness, is_trade

#: What each mark says, in the order of the data file; ``reason`` uses these words.
MARKS: dict[str, str] = {
    "bias": "before anything is known",
    "gain": "how much better the new words read than the old",
    "better": "the new words read better at all",
    "far": "phonemes between what was heard and what it becomes",
    "share": "the same as a share of what is said",
    "share_far": "a large share of a long stretch",
    "same": "sounds exactly the same",
    "sure": "the recogniser was sure of the words on average",
    "least": "the recogniser was sure of the least sure word",
    "nonword": "share of heard words that no dictionary knows",
    "long": "a long word that no dictionary knows",
    "common": "how ordinary the heard words are",
    "valid": "share of heard words that the trade uses",
    "talk": "how much trade talk there is around",
    "marks": "sentence marks within the heard words",
    "words": "how many words were heard",
    "joined": "several heard words become fewer",
    "split": "heard words become more words",
    "plain": "share of new words that are not the trade's",
    "phrase": "a phrase of the lexicon comes out",
    "left": "the word before is the trade's",
    "right": "the word after is the trade's",
    "number": "a number or grade stands next to it",
    "asked": "the recogniser was asked to hear it again",
    "ear": "the sound bears the new words out",
    "ear_far": "the sound speaks plainly against the new words",
}


def marks_of(change: Change, lattice: Lattice) -> dict[str, float]:
    """The marks of ``change``; each about between -1 and 1."""
    units, hearing = lattice.units, lattice.hearing
    heard = [u.text for u in units[change.first : change.last]]
    sure = lattice.probabilities[change.first : change.last]
    far = change.edge.distance
    share = far / max(1, change.edge.size)
    before, after = change.before, change.after
    tokens = change.tokens
    n = len(heard)
    inner = [u.mark for u in units[change.first : change.last - 1]]
    return {
        "bias": 1.0,
        "gain": min(change.gain, 20.0) / 10,
        "better": min(change.gain, 5.0) / 5,
        "far": far / 3,
        "share": share,
        "share_far": share * far,
        "same": float(far == 0),
        "sure": sum(sure) / n,
        "least": min(sure),
        "nonword": sum(commonness(t) == 0 for t in heard) / n,
        "long": max(len(t) if commonness(t) == 0 else 0 for t in heard) / 16,
        "common": max(math.log10(commonness(t) + 1e-8) + 8 for t in heard) / 6,
        "valid": sum(is_trade(t, hearing) for t in heard) / n,
        "talk": max(lattice.trade_weight[change.first : change.last]),
        "marks": sum(2.0 if m in ".?!" else 1.0 for m in inner if m) / 2,
        "words": n / 4,
        "joined": float(len(tokens) < n),
        "split": float(len(tokens) > n),
        "plain": sum(t not in hearing.trade_words for t in tokens) / len(tokens),
        "phrase": float(_phrase(before, tokens, after, hearing.known)),
        "left": float(bool(before) and before[-1] in hearing.trade_words),
        "right": float(bool(after) and after[0] in hearing.trade_words),
        "asked": float(change.edge.nats is not None),
        "ear": max(-6.0, change.edge.nats or 0.0) / 6,
        "ear_far": min(0.0, (change.edge.nats or 0.0) + 6.0) / 18,
        "number": float(any(lattice.is_number(t) for t in (*before[-1:], *after[:1]))),
    }


def _phrase(
    before: tuple[str, ...],
    tokens: tuple[str, ...],
    after: tuple[str, ...],
    known: frozenset[tuple[str, ...]],
) -> bool:
    """Whether a lexicon form of several words covers one of ``tokens`` with its neighbours."""
    row = (*before, *tokens, *after)
    first, last = len(before), len(before) + len(tokens)
    return any(
        row[i:j] in known
        for i in range(last)
        for j in range(max(i + 2, first + 1), min(len(row), i + 5) + 1)
    )


#: Marks that ``reason`` leaves out: said already, or no reason.
_UNTOLD = frozenset(("bias", "far", "share", "asked"))


@cache
def weights(listened: bool = False) -> Mapping[str, float]:
    """The weight of each mark; others hold where the sound was ``listened`` to again."""
    column = "listened" if listened else "weight"
    return {row["mark"]: float(row[column]) for _, row in read_rows("sounds/decision.csv")}


def chance(marks: Mapping[str, float], listened: bool = False) -> float:
    """The chance, 0 to 1, that a change with ``marks`` makes the text truer."""
    own = weights(listened)
    total = sum(own[name] * value for name, value in marks.items())
    return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def reason(change: Change, marks: Mapping[str, float], listened: bool = False) -> str:
    """Why ``change`` was judged so: the sounds, then the three marks that weighed most."""
    far = change.edge.distance
    sounds = "sounds the same" if far == 0 else f"sounds {far:.1f} phonemes away"
    if change.edge.kind == "closed":
        sounds = "on the closed list of words that numbers, sides and levels are heard as"
    elif change.edge.kind == "seen" and far:
        sounds = f"sounds {far / SEEN:.1f} phonemes away, misheard so before"
    own = weights(listened)
    parts = [(own[k] * v, k) for k, v in marks.items() if k not in _UNTOLD]
    told = [
        f"{'for' if part > 0 else 'against'}: {MARKS[name]} ({part:+.1f})"
        for part, name in sorted(parts, key=lambda p: -abs(p[0]))[:3]
    ]
    return "; ".join((sounds, *told))
