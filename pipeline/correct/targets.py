"""What heard words may become: the lexicon's forms and the common runs of trade talk.

Numbers, sides and level letters are never targets: they come in only through the closed
lists of ``homophones.csv`` ("for" in "flexion for"), so no number, side or level can turn
into another by similarity.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from ...lexicon import Term
from ...lexicon.files import read_rows, read_text
from .candidates import Index, Target, said
from .context import Context, formal_words, ordinary, read_context
from .units import NUMBERS, SIDES, tokens_of

#: Words that say no; a change neither brings one in nor takes one away.
DENIALS = frozenset(["no", "not", "none", "nor", "never", "without", "neither", "cannot", "unable"])
GUARDED = NUMBERS | SIDES | {"c", "t", "l", "s"}
_LONGEST = 4
_COMMON = 40  # a plain word this frequent in the formulas is listened for too
_TRADE_RATIO = 12.0  # a word this many times as common in trade talk is a trade word


@dataclass(frozen=True)
class Hearing:
    """Everything that correction knows: targets, context, trade words, closed lists."""

    index: Index
    context: Context
    trade_words: frozenset[str]
    homophones: Mapping[str, tuple[str, ...]]
    known: frozenset[tuple[str, ...]]
    heard_as: Mapping[tuple[str, ...], tuple[tuple[str, ...], ...]]
    spellings: Mapping[tuple[str, ...], tuple[str, ...]]
    opposites: Mapping[str, frozenset[str]]
    own: Mapping[tuple[str, ...], tuple[tuple[str, ...], ...]] = field(default_factory=dict)

    def taught(self, variants: Iterable[tuple[str, str]]) -> Hearing:
        """The same with personal ``variants``: pairs of heard words and what they stand for."""
        return replace(self, own=_joined(variants))


def hearing(
    terms: Sequence[Term],
    extra: Iterable[str] = (),
    *,
    talk: Context | None = None,
) -> Hearing:
    """What is needed to correct towards ``terms``.

    ``extra`` are further words or phrases to listen for. ``talk`` stands in for the installed
    model of trade talk (``bench/correction.py`` leaves out the narrations it measures on).
    """
    forms = dict(_forms(terms))
    for phrase in extra:
        forms.setdefault(tuple(tokens_of(phrase)), phrase)
    words = {w for form in forms for w in form}
    context = talk or read_context(sorted(words))
    trade_words = frozenset(_trade_words(words, context))
    targets = list(_targets(forms, trade_words))
    return Hearing(
        index=Index(targets),
        context=context,
        trade_words=trade_words,
        homophones=_homophones(),
        known=frozenset(forms),
        spellings=_spellings(),
        opposites=opposites(),
        heard_as=_joined(_heard_as()),
    )


def _joined(
    pairs: Iterable[tuple[str, str]],
) -> Mapping[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The tokens of what is heard with those of all that it stands for."""
    out: dict[tuple[str, ...], list[tuple[str, ...]]] = {}
    for heard, means in pairs:
        out.setdefault(tuple(tokens_of(heard)), []).append(tuple(tokens_of(means)))
    return {k: tuple(dict.fromkeys(v)) for k, v in out.items()}


def _forms(terms: Sequence[Term]) -> Iterator[tuple[tuple[str, ...], str]]:
    for term in terms:
        for spoken in term.spoken:
            tokens = tuple(tokens_of(spoken))
            if tokens:
                yield tokens, spoken


def _targets(forms: Mapping[tuple[str, ...], str], trade_words: frozenset[str]) -> Iterator[Target]:
    runs = {tuple(line.split()) for line in read_text("sounds/joined.txt").splitlines()}
    common = {(w,) for w, n in formal_words().items() if n >= _COMMON}
    singles = {(w,) for w in trade_words} | common
    telling = {run for run in runs if not trade_words.isdisjoint(run)}
    for tokens in {*(f for f in forms if not trade_words.isdisjoint(f)), *telling, *singles}:
        if len(tokens) > _LONGEST or not GUARDED.isdisjoint(tokens):
            continue
        if len(tokens) == 1 and not tokens[0].isalpha():
            continue
        plain = trade_words.isdisjoint(tokens)
        for phones in said(tokens):
            yield Target(tokens, phones, forms.get(tokens, " ".join(tokens)), plain)


def _trade_words(words: Iterable[str], context: Context) -> Iterator[str]:
    for word in {*words, *formal_words()} - GUARDED:
        common = ordinary(word)
        if common < 2e-6 or context.trade_share(word) > _TRADE_RATIO * common:
            yield word


@cache
def _homophones() -> Mapping[str, tuple[str, ...]]:
    out: dict[str, list[str]] = {}
    for _, row in read_rows("sounds/homophones.csv"):
        out.setdefault(row["heard"], []).append(row["word"])
    return {k: tuple(v) for k, v in out.items()}


@cache
def _spellings() -> Mapping[tuple[str, ...], tuple[str, ...]]:
    return {
        tuple(tokens_of(row["written"])): tuple(tokens_of(row["house"]))
        for _, row in read_rows("sounds/spellings.csv")
    }


@cache
def opposites() -> Mapping[str, frozenset[str]]:
    """Each word of ``opposites.csv`` with the words that would turn it round."""
    out: dict[str, set[str]] = {}
    for _, row in read_rows("sounds/opposites.csv"):
        out.setdefault(row["word"], set()).add(row["opposite"])
        out.setdefault(row["opposite"], set()).add(row["word"])
    return {k: frozenset(v) for k, v in out.items()}


def _heard_as() -> Iterator[tuple[str, str]]:
    for _, row in read_rows("sounds/heard_as.csv"):
        yield row["heard"], row["said"]
