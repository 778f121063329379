"""Grades that do not fit what they are said of."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Found = Callable[[str], set[str]]


@pytest.mark.parametrize(
    "text", ["Deltoid brisk.", "Reflexes: deltoid brisk.", "Hamstrings two plus."]
)
def test_drafts_give_no_reflex_grade_to_a_muscle_without_a_jerk(found: Found, text: str) -> None:
    # A deltoid that was "brisk" once ended the whole reading: power has no such grade.
    assert found(text) == set()
