"""The trade's terms: what each is called aloud, and what it stands for in the record.

``data/terms/*.csv`` hold one term a row: ``kind``, ``code``, ``spoken`` (the ways of saying
it, parted by ``;``, plurals and British and American forms included), ``source``,
``source_kind`` and ``note``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from .files import names, read_rows
from .spoken import spoken_form

SOURCE_KINDS = ("published", "memory", "common_practice", "house")


@dataclass(frozen=True)
class Term:
    """One thing that the trade names.

    ``kind`` says what ``code`` is: ``modality``, ``segment`` and ``side`` hold a code of the
    vocabulary; ``muscle`` the movement that the muscle is the usual test of; ``grade`` a list
    of ``scale:grade``; ``trade`` is a word of the trade without a place in the record.
    """

    kind: str
    code: str
    spoken: tuple[str, ...]
    source: str
    source_kind: str
    note: str
    place: str  # "file:line", for messages

    @cached_property
    def forms(self) -> tuple[tuple[str, ...], ...]:
        """``spoken`` as atoms, in the same order."""
        return tuple(spoken_form(s) for s in self.spoken)

    @property
    def codes(self) -> tuple[str, ...]:
        """``code`` as a list (it is one for ``grade`` only)."""
        return tuple(c.strip() for c in self.code.split(";"))


def read_terms() -> tuple[Term, ...]:
    """Read all term files of the installed package."""
    return tuple(
        Term(
            kind=row["kind"],
            code=row["code"],
            spoken=tuple(s.strip() for s in row["spoken"].split(";") if s.strip()),
            source=row["source"],
            source_kind=row["source_kind"],
            note=row["note"],
            place=f"{name}:{line}",
        )
        for name in names("terms", ".csv")
        for line, row in read_rows(name)
    )
