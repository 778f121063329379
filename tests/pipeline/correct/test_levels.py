"""A level that a limb cannot have is told with the one that fits (O'Brien 2010, Aids to the
Examination of the Peripheral Nervous System, 5th ed.: arm C5 to T1, leg L1 to S2)."""

from __future__ import annotations

import pytest
from plessor.pipeline.correct import correct
from plessor.pipeline.correct.levels import misplaced
from plessor.pipeline.correct.units import units_of
from plessor.pipeline.transcript import from_heard, from_text


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("pinprick over the right thumb at T6 is reduced", "C6"),
        ("light touch is absent at T seven in the hand", "C7"),
        ("sensation is reduced over the great toe at S5", "L5"),
        ("reduced at S four on the shin, the foot is normal", "L4"),
    ],
)
def test_a_level_that_the_limb_cannot_have_is_told(text: str, fits: str) -> None:
    ((edge, why),) = misplaced(units_of(text.split()))
    assert edge.tokens == (fits[0].lower(),) and f"{fits} sounds like it" in why


@pytest.mark.parametrize(
    "text",
    [
        "pinprick over the right thumb at C6 is reduced",
        "pinprick is reduced in the legs below T10",
        "normal in the arms, with a sensory level at T8",
        "the arms are normal. Pinprick at T8 is absent",
        "light touch is normal in the arm from C5 to T1",
        "pinprick is normal at T6",
        "the ankle jerk tests S one",
        "grade four in the arm",
    ],
)
def test_a_level_that_may_be_meant_is_left_alone(text: str) -> None:
    assert list(misplaced(units_of(text.split()))) == []


def test_correct_tells_and_changes_nothing() -> None:
    text = "Pinprick over the thumb at T6 is reduced."
    words = [(w, 0.4 * k, 0.4 * k + 0.3, 0.9) for k, w in enumerate(text.split())]
    for transcript in (from_heard(words), from_text(text)):
        result = correct(transcript)
        assert result.transcript.corrected == text
        (told,) = result.corrections
        assert not told.made and "no level of the upper limb" in told.reason
