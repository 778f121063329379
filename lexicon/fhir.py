"""What the record's codes are called in HL7 FHIR: the systems, and the few codes that have one.

Typed views of ``data/fhir/systems.csv`` (names of ours to URIs) and ``data/fhir/codes.csv``
(our codes to codes of published systems). Our modalities, places, sides and grades have no
published code that is both exact and free to hand on, so they keep their own systems. The
loader refuses a system or a code that the bundle needs and that is missing, and lists every
fault at once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from .checks import unsourced
from .errors import DataError
from .files import read_rows
from .load import load
from .vocabulary import Vocabulary

SYSTEMS, CODES = "fhir/systems.csv", "fhir/codes.csv"
_URI = re.compile(r"(https?://|urn:)[^\s#]+")
_OWN = ("modality", "segment", "side", "place", "status", "certainty", "part", "report")
_EXTENSIONS = ("confidence", "evidence", "bodySite", "data-absent-reason")
#: What the bundle asks for beside the statuses of the vocabulary.
_WANTED = (
    ("absent", "time"),
    ("category", "finding"),
    ("interpretation", "abnormal"),
    *(("status", state) for state in ("unsigned", "altered", "signed", "amended")),
    *(("role", role) for role in ("program", "reviewer", "signer")),
    ("entity", "signed"),
    ("entity", "amended"),
    ("signature", "signed"),
    ("fact", "age"),
    ("unit", "months"),
)


@dataclass(frozen=True)
class System:
    """One row of ``systems.csv``: a name of ours for a code system, an extension, a registry."""

    name: str
    uri: str
    source: str
    source_kind: str


@dataclass(frozen=True)
class Code:
    """One row of ``codes.csv``: a code of ours and the published code that it becomes."""

    kind: str
    code: str
    system: str
    fhir_code: str
    display: str
    source: str
    source_kind: str


@dataclass(frozen=True)
class Fhir:
    """Both tables: ``systems`` by name, ``codes`` by kind and code of ours."""

    systems: Mapping[str, System]
    codes: Mapping[tuple[str, str], Code]

    def uri(self, name: str) -> str:
        """The URI of the system called ``name``."""
        return self.systems[name].uri


@cache
def load_fhir() -> Fhir:
    """The tables of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its file and line.
    """
    return fhir_from(read_rows(SYSTEMS), read_rows(CODES), vocabulary=load().vocabulary)


Rows = Iterable[tuple[int, Mapping[str, str]]]


def fhir_from(systems: Rows, codes: Rows, *, vocabulary: Vocabulary) -> Fhir:
    """The tables that rows hold, each with its line; raises ``DataError`` with every fault."""
    faults: list[str] = []
    named: dict[str, System] = {}
    for line, row in systems:
        system = System(**row)
        faults += _system_faults(f"{SYSTEMS}:{line}", system, named)
        named[system.name] = system
    coded: dict[tuple[str, str], Code] = {}
    for line, row in codes:
        code = Code(**row)
        faults += _code_faults(f"{CODES}:{line}", code, named, coded)
        coded[code.kind, code.code] = code
    faults += _gaps(named, coded, vocabulary)
    if faults:
        raise DataError(
            f"The FHIR tables have {len(faults)} fault(s); mend the rows named:\n"
            + "\n".join(faults)
        )
    return Fhir(MappingProxyType(named), MappingProxyType(coded))


def _system_faults(place: str, system: System, seen: Mapping[str, System]) -> Iterator[str]:
    if system.name in seen:
        yield f"{place}: “{system.name}” stands there twice"
    if any(system.uri == other.uri for other in seen.values()):
        yield f"{place}: the URI of “{system.name}” is that of another system"
    if not _URI.fullmatch(system.uri):
        yield f"{place}: “{system.uri}” is no absolute URI without a fragment"
    yield from unsourced(place, system.source, system.source_kind)


def _code_faults(
    place: str,
    code: Code,
    systems: Mapping[str, System],
    seen: Mapping[tuple[str, str], Code],
) -> Iterator[str]:
    if (code.kind, code.code) in seen:
        yield f"{place}: {code.kind} “{code.code}” stands there twice"
    if code.system not in systems:
        yield f"{place}: unknown system “{code.system}”"
    if not code.display or code.fhir_code.split() != [code.fhir_code]:
        yield f"{place}: needs a code without spaces and a display"
    yield from unsourced(place, code.source, code.source_kind)


def _gaps(
    systems: Mapping[str, System], codes: Mapping[tuple[str, str], Code], vocabulary: Vocabulary
) -> Iterator[str]:
    wanted = (
        *_OWN,
        *(f"scale:{scale}" for scale in vocabulary.scales),
        *(f"extension:{name}" for name in _EXTENSIONS),
        "hpo",
        "uri",
    )
    yield from (f"{SYSTEMS}: no row for “{name}”" for name in wanted if name not in systems)
    absent = [("absent", status) for status in vocabulary.statuses if status != "observed"]
    for kind, code in (*absent, *_WANTED):
        if (kind, code) not in codes:
            yield f"{CODES}: no row for {kind} “{code}”"
