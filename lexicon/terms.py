"""The trade's terms: what each is called aloud, and what it stands for in the record.

``data/terms/*.csv`` hold one term a row; ``data/terms/README.md`` explains the columns. In
``spoken`` and ``plural``, ``;`` parts the ways of saying it, ``(a|b)`` stands for one of
several wordings and ``[a|b]`` for one of them or none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from .files import names, read_rows
from .spoken import spoken_form

SOURCE_KINDS = ("published", "memory", "common_practice", "house")


@dataclass(frozen=True)
class Term:
    """One thing that the trade names.

    ``kind`` says what ``code`` is: ``modality``, ``segment`` and ``side`` hold a code of the
    vocabulary; ``muscle`` the movement that the muscle is the usual test of; ``grade`` a list
    of ``scale:grade``; ``trade`` is a word of the trade without a place in the record.

    ``spoken`` holds every wording, those of ``plural`` included. ``implies`` is the grade that
    the word itself asserts ("hypotonia": reduced), ``segment`` the place that it names
    ("pes cavus": foot), ``scale`` the reading of grade words that is its own ("bulk").
    """

    kind: str
    code: str
    spoken: tuple[str, ...]
    plural: tuple[str, ...]
    implies: str | None
    segment: str | None
    scale: str | None
    source: str
    source_kind: str
    note: str
    place: str  # "file:line", for messages

    @cached_property
    def forms(self) -> tuple[tuple[str, ...], ...]:
        """``spoken`` as atoms, in the same order."""
        return tuple(spoken_form(s) for s in self.spoken)

    @cached_property
    def plural_forms(self) -> frozenset[tuple[str, ...]]:
        """``plural`` as atoms."""
        return frozenset(spoken_form(s) for s in self.plural)

    @property
    def codes(self) -> tuple[str, ...]:
        """``code`` as a list (it is one for ``grade`` only)."""
        return tuple(c.strip() for c in self.code.split(";"))


def read_terms() -> tuple[Term, ...]:
    """Read all term files of the installed package."""
    return tuple(
        _term(row, f"{name}:{line}")
        for name in names("terms", ".csv")
        for line, row in read_rows(name)
    )


def _term(row: Mapping[str, str], place: str) -> Term:
    plural = wordings(row["plural"])
    return Term(
        kind=row["kind"],
        code=row["code"],
        spoken=tuple(dict.fromkeys((*wordings(row["spoken"]), *plural))),
        plural=plural,
        implies=row["implies"] or None,
        segment=row["segment"] or None,
        scale=row["scale"] or None,
        source=row["source"],
        source_kind=row["source_kind"],
        note=row["note"],
        place=place,
    )


def wordings(cell: str) -> tuple[str, ...]:
    """All wordings that a cell stands for, in order, without repeats.

    >>> wordings("[deep] (jerk|reflex); DTR")
    ('jerk', 'reflex', 'deep jerk', 'deep reflex', 'DTR')
    """
    out: dict[str, None] = {}
    for part in cell.split(";"):
        choices = [_choices(piece) for piece in _PIECE.findall(part)]
        for combination in product(*choices):
            wording = " ".join(w for w in combination if w)
            if wording:
                out[wording] = None
    return tuple(out)


_PIECE = re.compile(r"\([^()\[\]]*\)|\[[^()\[\]]*\]|[^\s()\[\]]+")


def _choices(piece: str) -> list[str]:
    if piece[0] not in "([":
        return [piece]
    inner = [w.strip() for w in piece[1:-1].split("|")]
    return inner if piece[0] == "(" else ["", *inner]
