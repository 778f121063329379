"""``plessor read --explain``: each utterance with its kind, mentions, context and findings."""

from __future__ import annotations

from plessor.cli.main import app
from typer.testing import CliRunner

SAID = "On the left: wrist extension three. If it were five I would stop. Thumb is C six."


def test_read_explain_shows_why_something_is_and_is_no_finding() -> None:
    result = CliRunner().invoke(app, ["read", "--explain"], input=SAID)
    assert result.exit_code == 0
    first, second, third = (
        result.stdout.split("2. ")[0],
        *result.stdout.split("2. ")[1].split("3. "),
    )
    assert "kind:      observed" in first and "power wrist_extension left 3" in first
    assert "hypothetical" in second and "hypothetical-if" in second and "finding:" not in second
    assert "in force:  left" in second
    assert "dermatome thumb C6" in third
