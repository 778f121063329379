"""Confidence is a probability that falls with what makes a finding doubtful.

Whether it is calibrated is measured, not tested: ``bench/confidence.py``.
"""

from __future__ import annotations

import json

import pytest
from plessor.lexicon import DataError
from plessor.pipeline.extract import confidence, extract
from plessor.pipeline.record import Word
from plessor.pipeline.transcript import Transcript, from_text

SAID = ["Left", "ankle", "jerk", "absent."]


def heard(*probabilities: float) -> float:
    """The confidence of the one finding of the sentence heard with these probabilities."""
    words = tuple(
        Word(text=t, start_s=i * 0.4, end_s=i * 0.4 + 0.3, probability=p)
        for i, (t, p) in enumerate(zip(SAID, probabilities, strict=True))
    )
    (finding,) = extract(Transcript(words)).findings
    return finding.confidence


def test_confidence_falls_with_the_least_sure_word() -> None:
    assert heard(0.99, 0.99, 0.99, 0.99) > heard(0.99, 0.99, 0.99, 0.3) > 0.0


def test_confidence_falls_when_no_side_was_said() -> None:
    (sided,) = extract(from_text("Left ankle jerk absent.")).findings
    (unsided,) = extract(from_text("Ankle jerk absent.")).findings
    assert unsided.side == "unstated"
    assert unsided.confidence < sided.confidence < 1.0


def test_weights_that_cannot_be_read_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(confidence, "read_text", lambda _: json.dumps({"heard": {}}))
    with pytest.raises(DataError, match="confidence"):
        confidence.read_weights.__wrapped__()
