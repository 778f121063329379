"""What may enter the personal lexicon through the program, and why the rest may not.

A variant is taken for its term wherever it is heard, so one that a command or a reviewer adds
must stand for something that the lexicon knows, must not be a term itself, and must not be
what people say anyway: an ordinary English word, or one among the very commonest, would be
changed in every sentence. Only the last can be insisted on.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from ...lexicon import InputError, load, nearest, spoken_form
from .context import ordinary
from .correction import installed
from .personal import Personal, fault_of, same
from .units import tokens_of
from .variants import differing, is_term

#: House rules on frequencies of the package wordfreq: the commonest thousand or so words of
#: English, the commonest ten thousand, and those that are said once in ten million words; what
#: is rarer is mostly names and misspellings.
_VERY_COMMON = 1e-4
_COMMON = 1e-5
_SAID = 1e-7
_LONGEST = 5  # words; a longer stretch is hardly ever heard twice


def meaning(heard: str, words: str) -> str:
    """``words`` as the lexicon writes them, if ``heard`` can stand for them.

    They are a spoken form of the lexicon, a single word of the trade, or one of these between
    words that ``heard`` has too ("waddling gate" for "waddling gait"). Raises ``InputError``,
    with the nearest term, for anything else.
    """
    form = spoken_form(words)
    known = _known()
    if form in known:
        return known[form]
    tokens = tokens_of(words)
    if tokens and tokens_of(heard):
        _, _, part = differing(tokens_of(heard), tokens)
        if len(part) < len(tokens) and is_term(part, installed((), ())):
            return " ".join(tokens)
    by_words = {" ".join(one): means for one, means in known.items()}
    near = nearest(" ".join(form), by_words)
    hint = f"; the nearest term is “{by_words[near]}”" if near else ""
    raise InputError(f"“{words}” is not a term of the lexicon{hint}.")


def refusal(heard: str, means: str, there: Personal | None = None) -> str | None:
    """Why ``heard = means`` must not be added (to ``there``), in a sentence, or None."""
    if any(mark in heard for mark in "#=\n\r"):
        return "it holds a “#”, a “=” or a line break; write the words alone."
    tokens = tokens_of(heard)
    if len(tokens) > _LONGEST:
        return f"it is longer than {_LONGEST} words; name the misheard words alone."
    fault = fault_of(heard, means)
    if fault:
        return fault
    first, last, _ = differing(tokens, tokens_of(means))
    terms = installed((), ())
    for part in (tokens, tokens[first:last]):
        if is_term(part, terms):
            itself = "it" if part == tokens else f"“{' '.join(part)}”"
            return f"{itself} is a term of the lexicon itself, which stays as it is."
    for other in there.meanings(heard) if there else ():
        if not same(other, means):
            return (
                f"it stands for “{other}” already; take that away first with "
                "“plessor lexicon remove”."
            )
    return None


def too_ordinary(heard: str) -> str | None:
    """Why people would say ``heard`` without meaning a term, to be said after it, or None."""
    words = tokens_of(heard)
    if len(words) == 1:
        return "is an ordinary English word" if ordinary(words[0]) >= _SAID else None
    rarer = [word for word in words if ordinary(word) < _VERY_COMMON]
    if not rarer:
        return "is made of very common English words alone"
    if len(rarer) == 1 and ordinary(rarer[0]) >= _COMMON:
        return f"is the ordinary English word “{rarer[0]}” among very common ones"
    return None


@cache
def _known() -> Mapping[tuple[str, ...], str]:
    """Every spoken form, and every single word of the trade, as the lexicon writes it."""
    known: dict[tuple[str, ...], str] = {(word,): word for word in installed((), ()).trade_words}
    return known | {spoken_form(s): s for term in load().terms for s in reversed(term.spoken)}
