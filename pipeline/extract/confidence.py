"""How likely a finding is right: a calibrated probability from what it rests on.

A logistic model over a few readable marks of a finding: how sure the recogniser was of its
words, whether they were corrected, whether the grade, the target, the side and the place were
said or only followed. The weights are data (``lexicon/data/calibration/confidence.json``),
fitted by ``bench/confidence.py``, which also prints the reliability table. Speech and text
have a model of their own: a text has no word probabilities.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from functools import cache

from ...lexicon import DataError
from ...lexicon.files import read_text
from ..record import Word
from .found import Found

FILE = "calibration/confidence.json"
#: No probability is nearer to 0 or 1 than this before its log odds are taken.
_EDGE = 0.02


def marks_of(one: Found, words: Sequence[Word]) -> dict[str, float]:
    """The marks of a finding that rests on ``words``; log odds, or 0 and 1."""
    draft, statement = one.draft, one.draft.statement
    marks = {
        "implied": float(draft.implied),
        "goes_on": float(not statement.own_targets),
        "side_unstated": float(draft.side == "unstated"),
        "place_unsaid": float(draft.segment == "whole_body"),
        "hedged": float(one.possible),
    }
    heard = [w.probability for w in words if w.probability is not None]
    if heard:
        marks["least_sure_word"] = _log_odds(min(heard))
        marks["mean_word"] = _log_odds(sum(heard) / len(heard))
        marks["corrected"] = float(any(w.heard is not None for w in words))
    return marks


def confidence_of(one: Found, words: Sequence[Word]) -> float:
    """The probability, 0 to 1, that a finding resting on ``words`` is right."""
    heard = any(w.probability is not None for w in words)
    weights = read_weights()["heard" if heard else "text"]
    total = weights["always"]
    for name, value in marks_of(one, words).items():
        total += weights.get(name, 0.0) * value
    return min(max(round(1.0 / (1.0 + math.exp(-total)), 3), 0.001), 0.999)


@cache
def read_weights() -> Mapping[str, Mapping[str, float]]:
    """The weights of the installed package by model. Raises ``DataError``."""
    raw = json.loads(read_text(FILE))
    try:
        return {name: {k: float(v) for k, v in raw[name].items()} for name in ("heard", "text")}
    except (KeyError, AttributeError, TypeError, ValueError) as error:
        raise DataError(f"{FILE} cannot be read as weights: {error}") from error


def _log_odds(probability: float) -> float:
    p = min(max(probability, _EDGE), 1.0 - _EDGE)
    return math.log(p / (1.0 - p))
