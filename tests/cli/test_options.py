"""Ages as people write them."""

from __future__ import annotations

import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st
from plessor.cli.options import months


@pytest.mark.parametrize(
    ("text", "expected"),
    [("6y", 72), ("6y3m", 75), ("6y 3m", 75), ("18m", 18), ("0m", 0), ("6Y", 72), (" 6y ", 72)],
)
def test_months_reads_years_and_months(text: str, expected: int) -> None:
    assert months(text) == expected


@pytest.mark.parametrize("text", ["", "6", "y", "m", "six", "6w", "-1y", "6y3", "3m6y", "126y"])
def test_months_refuses_anything_else(text: str) -> None:
    with pytest.raises(typer.BadParameter):
        months(text)


@given(st.integers(0, 124), st.integers(0, 11))
def test_months_counts_twelve_a_year(years: int, rest: int) -> None:
    assert months(f"{years}y{rest}m") == 12 * years + rest
