"""``plessor lexicon explain``: candidates, scores, decision, reason."""

from __future__ import annotations

import json

import pytest
from plessor.pipeline.correct import CorrectOptions, explain


def test_explain_shows_the_change_with_its_reason_and_scores(plessor) -> None:
    ran = plessor("lexicon", "explain", "left", "risk", "extension")
    assert (ran.code, ran.err) == (0, "")
    assert "becomes  left wrist extension" in ran.out
    assert "“risk” becomes “wrist” (chance " in ran.out
    made = explain("left risk extension", probability=0.5)
    best = made.readings[0]
    (row,) = [line for line in ran.out.splitlines() if line.endswith("  changed")]
    assert row.split() == [
        *("risk", "wrist", f"{best.distance:.2f}", f"{best.sound:.2f}", f"{best.fit:.2f}"),
        *(f"{best.doubt:.2f}", f"{best.gain:.2f}", f"{best.chance:.2f}", "changed"),
    ]
    assert all(len(line) <= 100 for line in ran.out.splitlines())


def test_explain_tells_why_ordinary_words_are_kept(plessor) -> None:
    ran = plessor("lexicon", "explain", "he walks proudly")
    assert "becomes  he walks proudly" in ran.out
    assert "Nothing is changed" in ran.out
    assert "worth less than what was heard" in " ".join(ran.out.split())


def test_explain_json_adds_up(plessor) -> None:
    made = json.loads(plessor("lexicon", "explain", "left risk extension", "-f", "json").out)
    assert made["probability"] == 0.5
    assert made["corrected"] == "left wrist extension"
    assert made["corrections"][0]["made"] is True
    assert [r for r in made["readings"] if r["decision"] == "changed"]
    for reading in made["readings"]:
        parts = reading["sound"] + reading["fit"] + reading["doubt"]
        assert reading["gain"] == pytest.approx(parts, abs=0.02)
        assert reading["reason"]
    (changed,) = [r for r in made["readings"] if r["decision"] == "changed"]
    assert changed["chance"] == made["corrections"][0]["score"]
    assert made["guarded"] == ["left"]


def test_explain_takes_the_certainty_of_the_recogniser(plessor) -> None:
    """The surer the recogniser, the less a change gains (the parts are those of ``explain``)."""

    def doubt(probability: float) -> float:
        ran = plessor("lexicon", "explain", "left risk", "--probability", probability, "-f", "json")
        (wrist,) = [r for r in json.loads(ran.out)["readings"] if r["became"] == "wrist"]
        return wrist["doubt"]

    assert doubt(0.1) > doubt(0.5) > doubt(0.95)


def test_explain_tells_of_the_personal_lexicon(plessor) -> None:
    plessor("lexicon", "add", "fleecy ox", "--means", "biceps jerk")
    ran = plessor("lexicon", "explain", "left fleecy ox is brisk")
    assert "becomes  left biceps jerk is brisk" in ran.out
    assert "in the personal lexicon;" in ran.out
    assert "fleecy ox" in explain("left fleecy ox is brisk", options=CorrectOptions()).corrected


@pytest.mark.parametrize(
    ("arguments", "code"),
    [((), 2), (("",), 1), (("risk", "--probability", "1.5"), 2)],
)
def test_explain_refuses_in_one_sentence(plessor, arguments, code) -> None:
    ran = plessor("lexicon", "explain", *arguments)
    assert (ran.code, ran.out) == (code, "")
    assert ran.sentence.startswith("plessor: ")
