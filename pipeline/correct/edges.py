"""Which replacements are worth a thought: windows of doubtful words, and what they may become.

Words that the recogniser was sure of, and that trade talk expects where they stand, are not
searched. What is found is sifted by rules that no score may overrule: numbers, sides and
levels stay, no word becomes its opposite, no denial comes or goes, a good word is not only
put into the plural.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...lexicon.words import load_words
from .candidates import Candidate, Target, said
from .changes import SEEN, Change, Edge, Weights
from .context import OTHER, ordinary
from .distance import distance
from .lattice import Lattice
from .phonemes import is_known
from .targets import Hearing
from .units import SIDES, Unit
from .variants import own_edges
from .words import LEVELS, commonness, denies, guarded, is_trade

_DOUBTS = (1, 1, 2, 2, 3)  # how many words must be doubtful in a window of one to five
_TRUSTED = 0.5  # a word that fits and is at least so sure is not searched,
_CERTAIN, _COMMON = 0.98, 1e-4  # nor is one that is so sure and so common
_NOBODY = 1e-8  # the frequency under which a word is nobody's
_LONGEST_TERM = 5  # words of a term that may have been parted by commas
_CLEAR = 0.5  # phonemes by which a word must sound nearer than its opposite
_NEAR = 0.3  # phonemes that a homophone is reckoned to be away


def build(
    units: Sequence[Unit],
    probabilities: Sequence[float],
    hearing: Hearing,
    weights: Weights,
    *,
    longest: int = 5,
    per_window: int = 4,
    typed: bool = False,
    every: bool = False,
) -> Lattice:
    """The lattice of ``units`` with the candidates of each window that its neighbours favour.

    Of ``typed`` words only single ones that nobody knows get candidates; ``every`` searches
    all windows, also those that need no thought.
    """
    lattice = Lattice(units, probabilities, hearing, weights)
    for edge in own_edges(units, hearing, typed=typed).sure:
        lattice.add(edge, always=True)
    texts = [u.text for u in units]
    if every:
        doubtful = [not guarded(t) for t in texts]
    else:
        doubtful = _unknown(texts, hearing) if typed else _doubtful(texts, lattice)
    windows: list[tuple[int, int, str]] = []
    for i, j in _windows(texts, doubtful, 1 if typed else longest):
        windows.extend((i, j, way) for way in said(texts[i:j], 2 if j <= i + 2 else 1))
        for to in hearing.heard_as.get(tuple(texts[i:j]), ()):
            apart = SEEN * min(distance(a, b) for a in said(texts[i:j]) for b in said(to))
            size = len(said(to)[0])
            share = apart / size
            cost = -weights.change - weights.sound * apart - weights.share * share
            lattice.add(Edge(i, j, to, " ".join(to), apart, cost, False, size, kind="seen"))
    for i, text in enumerate(() if typed else texts):
        for word in hearing.homophones.get(text, ()):
            cost = -weights.change - weights.homophone
            lattice.add(Edge(i, i + 1, (word,), word, _NEAR, cost, False, 3, kind="closed"))
        if i + 1 < len(units) and _glued(units[i], units[i + 1]):
            pair = (text, texts[i + 1])
            lattice.add(Edge(i, i + 2, pair, " ".join(pair), 0.0, weights.spelling, kind="glued"))
        for j in () if typed else _parted(units, i, hearing):
            form = tuple(texts[i:j])
            edge = Edge(i, j, form, " ".join(form), 0.0, weights.spelling, kind="parted")
            lattice.add(edge)
        for j in (i + 1, i + 2):
            house = hearing.spellings.get(tuple(texts[i:j]))
            if house:
                lattice.add(
                    Edge(i, j, house, " ".join(house), 0.0, weights.spelling, kind="spelling")
                )
    gaps = [
        0.0 if not u.mark else weights.stop if u.mark in ".?!" else weights.comma for u in units
    ]
    found = hearing.index.search(w[2] for w in windows)
    kept: dict[tuple[int, int], dict[tuple[str, ...], Edge]] = {}
    for i, j, way in windows:
        for a, b, c in _pieces(found[way], i, tuple(texts[i:j]), hearing.trade_words):
            heard, after = tuple(texts[a:b]), texts[b] if b < len(texts) else ""
            if not _allowed(c, heard, hearing, after):
                continue
            aim, size = c.target, len(c.target.phones)
            cost = -weights.change - weights.sound * c.distance
            cost -= weights.share * c.distance / size
            cost -= weights.plain if aim.plain else 0.0
            cost -= weights.lose * max(0, b - a - len(aim.tokens))
            cost -= sum(gaps[a : b - 1])
            edge = Edge(a, b, aim.tokens, aim.term, c.distance, cost, aim.plain, size)
            known = kept.setdefault((a, b), {})
            if aim.tokens not in known or known[aim.tokens].cost < cost:
                known[aim.tokens] = edge
    for by_tokens in kept.values():
        edges = list(by_tokens.values())
        if len(edges) > per_window and not every:
            edges.sort(key=lambda e: -lattice.judge(e).gain)
        for edge in edges if every else edges[:per_window]:
            lattice.add(edge, always=every)
    return lattice


def _pieces(
    candidates: Sequence[Candidate],
    first: int,
    heard: tuple[str, ...],
    trade_words: frozenset[str],
) -> Iterator[tuple[int, int, Candidate]]:
    """What each candidate changes of the window at ``first``: its units, and what they become.

    Words that stay as they were heard are left off both ends: "gour sign" for "gowers sign"
    changes "gour" alone, to what stands farther from it than a word would be looked for alone.
    """
    for c in candidates:
        tokens = c.target.tokens
        most = min(len(heard), len(tokens)) - 1
        lead = next((k for k in range(most) if tokens[k] != heard[k]), most)
        rest = next((k for k in range(most - lead) if tokens[-1 - k] != heard[-1 - k]), most - lead)
        if not lead and not rest:
            yield first, first + len(heard), c
            continue
        left = tokens[lead : len(tokens) - rest]
        plain = trade_words.isdisjoint(left)
        for phones in said(left):
            target = Target(left, phones, c.target.term, plain)
            yield first + lead, first + len(heard) - rest, Candidate(target, c.distance)


def _allowed(candidate: Candidate, heard: tuple[str, ...], hearing: Hearing, after: str) -> bool:
    """Whether no rule forbids to put ``candidate`` for ``heard``; ``after`` is what follows."""
    tokens = candidate.target.tokens
    if tokens == heard or tokens[0] == heard[0] or tokens[-1] == heard[-1]:
        return False
    if len(heard) == 1 and heard[0] in load_words().hesitations:
        return False  # "um" is no "UMN"
    fixed = [t for t in heard if t in hearing.opposites]
    return not (
        _only_number_differs(heard, tokens, hearing)
        or _drops_verb(heard, tokens)
        or _pointless(heard, candidate.target, candidate.distance)
        or any(all(t not in word for word in tokens) for t in fixed)
        or sum(map(denies, tokens)) != sum(map(denies, heard, (*heard[1:], after)))
    )


def _only_number_differs(heard: tuple[str, ...], tokens: tuple[str, ...], hearing: Hearing) -> bool:
    """Whether a good word would only be put into the singular or the plural."""
    if len(heard) != 1 or len(tokens) != 1:
        return False
    pair = {heard[0].replace("'", ""), tokens[0]}
    good = ordinary(heard[0]) > 0 or heard[0] in hearing.trade_words
    return good and {min(pair), min(pair) + "s"} == pair


def _drops_verb(heard: tuple[str, ...], tokens: tuple[str, ...]) -> bool:
    """Whether a verb that was heard as a word of its own would become a plural ("plantar is")."""
    return heard[-1] in ("is", "are") and len(tokens) < len(heard) and tokens[-1].endswith("s")


def _pointless(heard: tuple[str, ...], target: Target, apart: float) -> bool:
    """Whether plain words would only be written otherwise ("too", "to")."""
    return target.plain and apart == 0 and all(ordinary(t) > 0 for t in heard)


def _glued(one: Unit, other: Unit) -> bool:
    """Whether a side and a word that is known were written as one word."""
    joined = one.word == other.word and one.end == other.start
    return joined and one.text in SIDES and is_known(other.text)


def _parted(units: Sequence[Unit], first: int, hearing: Hearing) -> Iterator[int]:
    """Where terms end that begin at ``first`` and have a comma in them ("elbow, flexion").

    A recogniser hears a slow or a made voice pause there. Nobody writes so: one of 239 invented
    narrations does, by listing "muscle, nerve, root".
    """
    for last in range(first + 2, min(len(units), first + _LONGEST_TERM) + 1):
        inner = [u.mark for u in units[first : last - 1]]
        if any(m not in ("", ",") for m in inner):
            return
        if "," in inner and tuple(u.text for u in units[first:last]) in hearing.known:
            yield last


def _doubtful(texts: Sequence[str], lattice: Lattice) -> list[bool]:
    """Which units are worth a search: those that trade talk does not expect where they stand.

    In ordinary prose only words that no dictionary knows are.
    """
    context = lattice.hearing.context
    units = lattice.units
    kinds = [context.kind(t) for t in texts]
    trade = [is_trade(t, lattice.hearing) or t in LEVELS for t in texts]
    near = [any(trade[max(0, i - 2) : i + 3]) for i in range(len(texts))]
    out = []
    for i, text in enumerate(texts):
        if guarded(text):
            out.append(False)
            continue
        marks = units[i - 1].mark if i else ".", units[i].mark or i + 1 == len(texts)
        fits = kinds[i] != OTHER and (
            (marks[0] or context.seen(kinds[i - 1], kinds[i]))
            and (marks[1] or context.seen(kinds[i], kinds[i + 1]))
        )
        sure = lattice.probabilities[i]
        if (fits and sure >= _TRUSTED) or (sure >= _CERTAIN and ordinary(text) > _COMMON):
            out.append(False)
        elif lattice.trade_weight[i] < lattice.weights.prose and not near[i]:
            out.append(commonness(text) < _NOBODY)
        else:
            out.append(True)
    return out


def _unknown(texts: Sequence[str], hearing: Hearing) -> list[bool]:
    """Which units are words that neither the dictionary, English nor the lexicon knows."""
    return [
        commonness(t) < _NOBODY
        and t not in hearing.context.class_of
        and t.partition("'")[0] not in hearing.context.class_of
        for t in texts
    ]


def _windows(
    texts: Sequence[str], doubtful: Sequence[bool], longest: int
) -> Iterator[tuple[int, int]]:
    """Windows of up to ``longest`` units that start and end at most one unit from doubt."""
    n = len(texts)
    edge = [any(doubtful[max(0, i - 1) : i + 2]) for i in range(n)]
    barred = [guarded(t) for t in texts]
    for i in range(n):
        if not edge[i]:
            continue
        doubts = 0
        for j in range(i, min(n, i + longest)):
            if barred[j]:
                break
            doubts += doubtful[j]
            if edge[j] and doubts >= _DOUBTS[j - i]:
                yield i, j + 1


def ambiguous(change: Change, units: Sequence[Unit], hearing: Hearing) -> bool:
    """Whether the opposite of a word that is brought in sounds about as near."""
    edge = change.edge
    heard = [u.text for u in units[edge.first : edge.last]]
    way = said(heard)[0]
    for k, token in enumerate(edge.tokens):
        if token in heard:
            continue
        for other in hearing.opposites.get(token, ()):
            swapped = (*edge.tokens[:k], other, *edge.tokens[k + 1 :])
            if min(distance(way, w) for w in said(swapped)) < edge.distance + _CLEAR:
                return True
    return False
