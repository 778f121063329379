"""What every resource of a bundle needs to know: the record, the release, who is called what.

Names of resources are UUIDs of version 5 (RFC 9562) over the content of the record and the
resource's part in it: the same record gives the same bundle, byte by byte, and a changed one
shares no name with it. R4 and R5 of one record use the same names, since they say the same.
"""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from ....lexicon.fhir import load_fhir
from ...interpret import Interpretation
from ...record import Record, Signature
from ...review.signing import state
from .elements import Json, bare, known, words

Release = Literal["R4", "R5"]


@dataclass(frozen=True)
class Case:
    """A record, what it amounts to, and the release of FHIR to say it in."""

    record: Record
    interpretation: Interpretation
    release: Release

    @property
    def is_r4(self) -> bool:
        """Whether the release is R4."""
        return self.release == "R4"

    @cached_property
    def signature(self) -> Signature | None:
        """The signature, if there is one and it covers the content as it is."""
        return self.record.signature if self._state == "signed" else None

    @cached_property
    def status(self) -> str:
        """The status of the report and of every observation in it.

        An amendment that nobody has signed yet is preliminary like any other record.
        """
        return bare("status", "amended" if self.signature and self.record.amends else self._state)

    @cached_property
    def _state(self) -> str:
        return state(self.record)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the whole record."""
        return hashlib.sha256(self.record.model_dump_json().encode()).hexdigest()

    def id(self, part: str) -> str:
        """The id of the resource that plays ``part``: "report", "finding 3", "person …"."""
        namespace = uuid.uuid5(uuid.NAMESPACE_URL, load_fhir().uri("report"))
        return str(uuid.uuid5(namespace, f"{self.digest} {part}"))

    def reference(self, part: str, *, display: str | None = None) -> Json:
        """A reference to that resource, inside the bundle."""
        return known(reference=f"urn:uuid:{self.id(part)}", display=words(display))

    def person(self, who: str | None, *, otherwise: str) -> Json:
        """A reference to whoever is called ``who``; words alone when nobody is named."""
        told = words(who)
        return self.reference(f"person {told}", display=told) if told else {"display": otherwise}
