"""What kind of word a token is: ordinary, the trade's, a denial, or one that is guarded."""

from __future__ import annotations

from .context import is_number, ordinary
from .phonemes import is_known
from .targets import DENIALS, GUARDED, Hearing

#: The letters that begin a spinal level.
LEVELS = frozenset("ctls")
_NO_VERB = frozenset(("is", "as", "in", "normal", "increased", "reduced", "throughout", "abnormal"))


def commonness(token: str) -> float:
    """The chance of ``token`` in ordinary English; 0 when nobody knows it."""
    found = ordinary(token)
    if found:
        return found
    return 5e-8 if is_known(token) or is_number(token) else 0.0


def is_trade(token: str, hearing: Hearing) -> bool:
    """Whether ``token`` is a word of the trade, or its possessive."""
    return token.replace("'", "") in hearing.trade_words


def denies(token: str, following: str = "") -> bool:
    """Whether ``token`` says no; "don't" does not where no verb can follow it ("don't is")."""
    if token == "don't" and following in _NO_VERB:
        return False
    return token in DENIALS or token.endswith("n't")


def guarded(token: str) -> bool:
    """Whether ``token`` is a number, a side or a level, which similarity never changes."""
    return token in GUARDED or is_number(token)
