"""Checks that every table and rule of the lexicon goes through, each fault in one line."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from .terms import SOURCE_KINDS
from .vocabulary import nearest


def unknown(
    place: str, codes: Iterable[str], valid: Collection[str], *, what: str = ""
) -> Iterator[str]:
    """A fault for each of ``codes`` that is not ``valid``, with the nearest one that is."""
    for code in codes:
        if code not in valid:
            yield f"{place}: unknown {what}“{code}”{hint(code, valid)}"


def hint(code: str, valid: Collection[str]) -> str:
    """What to write after a fault: the valid code that looks most like ``code``, if any does."""
    near = nearest(code, valid)
    return f"; did you mean “{near}”?" if near else ""


def unsourced(place: str, source: str, source_kind: str) -> Iterator[str]:
    """A fault when a row names no source or no kind of source."""
    if not source or source_kind not in SOURCE_KINDS:
        yield f"{place}: no source"
