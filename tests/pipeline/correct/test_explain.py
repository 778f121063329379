"""Why words are or are not changed."""

from __future__ import annotations

import pytest
from plessor.pipeline.correct import explain


def test_explain_shows_the_candidates_best_first_with_parts_that_add_up() -> None:
    shown = explain("wrist flexion five, risk extension four")
    assert shown.corrected == "wrist flexion five, wrist extension four"
    best = shown.readings[0]
    assert (best.heard, best.became) == ("risk", "wrist")
    gains = [r.gain for r in shown.readings]
    assert gains == sorted(gains, reverse=True)
    assert best.gain == pytest.approx(best.sound + best.fit + best.doubt)
    assert "becomes “wrist”" in shown.verdict and "phonemes away" in shown.verdict


def test_explain_says_why_nothing_is_changed() -> None:
    shown = explain("take the risk")
    assert shown.corrected == "take the risk"
    assert shown.verdict.startswith("Nothing is changed")


def test_explain_of_nothing() -> None:
    assert explain("").readings == ()
