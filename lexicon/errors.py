"""The errors of Plessor, by whose fault they are.

::

    PlessorError
    ├── InputError        what was given: a file, a text, a record, an option
    ├── DataError         the lexicon's own data: vocabulary, terms, rules, tables
    ├── MissingError      this machine lacks something: a model, an extra package
    └── InternalError     a bug of ours

A message says what is wrong, where, and what to do next, in one sentence. It may name
files, positions, codes and rule ids, never the words of a recording. ``exit_code`` is
what the command line returns.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager


class PlessorError(Exception):
    """Any error that Plessor raises on purpose."""

    exit_code = 70


class InputError(PlessorError):
    """The input cannot be used as it is."""

    exit_code = 1


class DataError(PlessorError):
    """The lexicon's data are at fault; all faults found are listed at once."""

    exit_code = 4


class MissingError(PlessorError):
    """Something that the task needs is not on this machine."""

    exit_code = 3


class InternalError(PlessorError):
    """A condition that only a bug of ours can bring about."""

    exit_code = 70


@contextmanager
def needing(extra: str, *, what: str) -> Iterator[None]:
    """Around the imports that ``what`` needs: a missing one names the extra that brings it."""
    try:
        yield
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("plessor"):
            raise
        raise MissingError(
            f"{what} needs the {extra} extra: pip install 'plessor[{extra}]'."
        ) from error
