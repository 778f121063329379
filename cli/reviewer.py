"""Who changes records: the name that the audit trail gets."""

from __future__ import annotations

import getpass

import typer

_LONGEST = 200


def reviewer_name(given: str | None) -> str:
    """The name that was given, or this user's login name."""
    name = (given or _login()).strip()
    if not name or len(name) > _LONGEST or not name.isprintable():
        raise typer.BadParameter(
            f"--reviewer is a name of at most {_LONGEST} printable characters."
        )
    return name


def _login() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return "reviewer"
