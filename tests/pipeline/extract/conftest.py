"""Reads sentences and whole narrations, and writes findings down in a short form.

A finding is "modality segment side grade"; "both" as a side is two findings, and in the place
of a grade stand ``not_examined`` and ``not_assessable``. Several are parted by ";".
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from plessor.pipeline.exam import read_text
from plessor.pipeline.extract import Extraction, extract
from plessor.pipeline.record import Claim, Finding
from plessor.pipeline.transcript import from_text

FIELDS = ("modality", "segment", "side", "grade", "status")
Row = tuple[str | None, ...]


def rows_of(short: str) -> set[str]:
    """The findings of a short form, one string each, "both" as two."""
    out: set[str] = set()
    for part in filter(None, (p.strip() for p in short.split(";"))):
        modality, segment, side, grade = part.split()
        sides = ("left", "right") if side == "both" else (side,)
        out |= {f"{modality} {segment} {one} {grade}" for one in sides}
    return out


def short_of(findings: Iterable[Finding]) -> set[str]:
    """Findings as the strings that ``rows_of`` gives."""
    return {
        f"{f.modality} {f.segment} {f.side} {f.status if f.grade is None else f.grade}"
        for f in findings
    }


@pytest.fixture(scope="session")
def rows() -> Callable[[str], set[str]]:
    return rows_of


@pytest.fixture(scope="session")
def extraction() -> Callable[[str], Extraction]:
    """What a text as written comes to, without corrections."""
    return lambda text: extract(from_text(text))


@pytest.fixture(scope="session")
def found() -> Callable[[str], set[str]]:
    """The findings of a text in their short form."""
    return lambda text: short_of(extract(from_text(text)).findings)


@pytest.fixture(scope="session")
def claimed() -> Callable[[str], set[str]]:
    """The claims of a text as "kind subject value"."""
    return lambda text: {f"{c.kind} {c.subject} {c.value}" for c in extract(from_text(text)).claims}


@dataclass(frozen=True)
class Narration:
    """One annotated narration: its words, and the record that a careful colleague makes of it."""

    name: str
    kind: str
    text: str
    findings: frozenset[Row]
    claims: frozenset[Row]


@dataclass
class Score:
    """True and false positives and misses of some narrations, and where they lie."""

    strict: list[int] = field(default_factory=lambda: [0, 0, 0])
    key: list[int] = field(default_factory=lambda: [0, 0, 0])
    claims: list[int] = field(default_factory=lambda: [0, 0, 0])
    teaching_words: int = 0
    teaching_false: int = 0
    faults: list[tuple[int, str]] = field(default_factory=list)

    @property
    def strict_f1(self) -> float:
        return _f1(*self.strict)

    @property
    def key_f1(self) -> float:
        return _f1(*self.key)

    @property
    def claims_f1(self) -> float:
        return _f1(*self.claims)

    @property
    def teaching_false_per_1000_words(self) -> float:
        return 1000 * self.teaching_false / max(self.teaching_words, 1)

    def worst(self, most: int = 5) -> str:
        """The narrations with most faults, each with what was extra and what was missed."""
        return "\n".join(text for _, text in sorted(self.faults, reverse=True)[:most])


def _f1(hits: int, extra: int, missed: int) -> float:
    # 2PR/(P+R) in counts; nothing wanted and nothing found is right.
    return 2 * hits / (2 * hits + extra + missed) if hits + extra + missed else 1.0


def narrations_in(folder: Path) -> tuple[Narration, ...]:
    """The annotated narrations of a folder."""
    out = []
    for path in sorted(folder.glob("*.json")):
        raw = json.loads(path.read_text(encoding="utf-8"))
        findings = {
            (m, s, one, grade, status)
            for m, s, side, grade, status in raw["findings"]
            for one in (("left", "right") if side == "both" else (side,))
        }
        claims = frozenset((k, s, str(v)) for k, s, v in raw["claims"])
        out.append(Narration(path.stem, raw["kind"], raw["text"], frozenset(findings), claims))
    return tuple(out)


def score(narrations: Sequence[Narration]) -> Score:
    """Compare what is read with what is annotated, narration by narration."""
    total = Score()
    for narration in narrations:
        record = read_text(narration.text, narration=narration.name)
        got = {tuple(getattr(f, name) for name in FIELDS) for f in record.findings}
        extra, missed = got - narration.findings, narration.findings - got
        _add(total.strict, got, narration.findings)
        _add(total.key, {r[:3] for r in got}, {r[:3] for r in narration.findings})
        said = {_claim(c) for c in record.claims}
        _add(total.claims, said, narration.claims)
        if narration.kind == "teaching":
            total.teaching_words += len(narration.text.split())
            total.teaching_false += len(extra)
        wrong = [
            f"  extra  {_line(r)}" for r in sorted((*extra, *(said - narration.claims)), key=str)
        ]
        wrong += [
            f"  missed {_line(r)}" for r in sorted((*missed, *(narration.claims - said)), key=str)
        ]
        if wrong:
            total.faults.append((len(wrong), "\n".join([narration.name, *wrong])))
    return total


def _claim(claim: Claim) -> Row:
    return claim.kind, claim.subject, claim.value


def _line(row: Row) -> str:
    return " ".join(str(part) for part in row)


def _add(counts: list[int], got: set[Row], wanted: frozenset[Row] | set[Row]) -> None:
    for place, rows in enumerate((got & wanted, got - wanted, wanted - got)):
        counts[place] += len(rows)


@pytest.fixture(scope="session")
def scored() -> Callable[[Path], Score]:
    """The score of a folder of narrations; a folder is read once."""
    known: dict[Path, Score] = {}

    def of(folder: Path) -> Score:
        if folder not in known:
            known[folder] = score(narrations_in(folder))
        return known[folder]

    return of


@pytest.fixture(scope="session")
def narrations_of() -> Callable[[Path], tuple[Narration, ...]]:
    return narrations_in
