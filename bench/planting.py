"""True records, and the same with faults planted in them, for ``bench/review.py``.

A true record is a narration of ``tests/narrations`` that is read exactly as its author wrote it
down. Half of the faults are marked as unsure, as a calibrated confidence would mark some and not
others; the rest look like any other finding.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from plessor.lexicon import load
from plessor.pipeline.exam import ExamFacts, read_text
from plessor.pipeline.record import Finding, Record, Unresolved

FOLDER = Path(__file__).resolve().parents[1] / "tests/narrations"
FAULTS = (
    "side", "grade", "place", "modality", "status", "certainty", "missed, in a stretch",
    "missed", "invented", "age",
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """A true record, the one that the page is given, and the kinds of fault between them."""

    true: Record
    planted: Record
    faults: tuple[str, ...]


def key_of(finding: Finding) -> tuple[str, ...]:
    """A finding as its author writes it down."""
    return (*finding.key, finding.grade or "", finding.status)


def true_records() -> list[Record]:
    """Narrations that are read exactly as written down, with ten findings or more."""
    found = []
    for path in sorted(FOLDER.glob("*.json")):
        told = json.loads(path.read_text(encoding="utf-8"))
        wanted: Counter[tuple[str, ...]] = Counter()
        for modality, segment, side, grade, status in told["findings"]:
            for one in ("left", "right") if side == "both" else (side,):
                wanted[modality, segment, one, grade or "", status] += 1
        if sum(wanted.values()) < 10 or max(wanted.values()) > 1:
            continue
        age = told.get("age_months") or 72
        record = read_text(told["text"], narration=told["id"], facts=ExamFacts(age_months=age))
        if Counter(map(key_of, record.findings)) == wanted:
            found.append(record)
    return found


def plant(true: Record, chance: random.Random, kinds: Sequence[str]) -> Case:
    """The record with one fault of each kind, each in a finding of its own where it can be."""
    vocabulary = load().vocabulary
    findings: list[Finding | None] = list(true.findings)
    free = [i for i, f in enumerate(true.findings) if f.evidence and f.grade]
    chance.shuffle(free)
    unresolved, added, done = list(true.unresolved), [], []
    facts: dict[str, object] = {}

    def take(fits: Iterable[int]) -> int | None:
        index = next(iter(fits), None)
        if index is not None:
            free.remove(index)
        return index

    for kind in kinds:
        if kind == "age":
            facts["age_months"] = None
            done.append(kind)
            continue
        sided = [i for i in free if true.findings[i].side in ("left", "right")]
        index = take([i for i in sided if _lonely(true, i)] if kind == "side" else list(free))
        if index is None:
            continue
        was = true.findings[index]
        unsure = chance.uniform(0.35, 0.65) if chance.random() < 0.5 else was.confidence
        change: dict[str, object] = {"confidence": unsure}
        if kind == "side":
            change["side"] = "left" if was.side == "right" else "right"
        elif kind == "grade":
            change["grade"] = chance.choice(
                [g for g in vocabulary.grades(was.modality) if g != was.grade]
            )
        elif kind == "place":
            places = _places(was.modality)
            change["segment"] = chance.choice([p for p in places if p != was.segment] or places)
        elif kind == "modality":
            change["modality"] = chance.choice(_alike(was) or [was.modality])
        elif kind == "status":
            change |= {"status": "not_examined", "grade": None}
        elif kind == "certainty":
            change["certainty"] = "possible" if was.certainty == "definite" else "definite"
        elif kind == "invented":
            free.append(index)
            place = chance.choice(_places(was.modality))
            new = was.model_copy(update={**change, "segment": place})
            if new.key in {f.key for f in (*true.findings, *added)}:
                continue
            added.append(new)
            done.append(kind)
            continue
        elif kind.startswith("missed"):
            findings[index] = None
            if kind != "missed" and was.evidence:
                unresolved.append(Unresolved(reason="no finding", evidence=was.evidence))
            done.append(kind)
            continue
        made = was.model_copy(update=change)
        if key_of(made) == key_of(was) and made.certainty == was.certainty:
            free.append(index)
            continue
        findings[index] = made
        done.append(kind)
    kept = [f for f in findings if f is not None] + added
    chance.shuffle(added)
    planted = true.model_copy(
        update={"findings": tuple(kept), "unresolved": tuple(unresolved), **facts}
    )
    return Case(true, Record.model_validate_json(planted.model_dump_json()), tuple(done))


def _lonely(record: Record, index: int) -> bool:
    """Whether the other side has no finding, so that a turned side takes no other's place."""
    was = record.findings[index]
    other = "left" if was.side == "right" else "right"
    return (was.modality, was.segment, other) not in {f.key for f in record.findings}


def _places(modality: str) -> list[str]:
    vocabulary = load().vocabulary
    kinds = vocabulary.modalities[modality].segments
    if kinds == ("none",):
        return ["none"]
    return [code for kind in kinds for code in vocabulary.segments[kind]]


def _alike(finding: Finding) -> list[str]:
    """Modalities of the same group that take the same place and grade."""
    v = load().vocabulary
    return [
        m
        for m in v.modalities
        if m != finding.modality
        and v.group(m) == v.group(finding.modality)
        and v.takes(m, finding.segment)
        and finding.grade in v.grades(m)
    ]


def still_wrong(case: Case, record: Record) -> int:
    """Findings that are in one of the two only, and the age."""

    def counted(r: Record) -> Counter[tuple[str, ...]]:
        return Counter((*key_of(f), f.certainty) for f in r.findings)

    true, now = counted(case.true), counted(record)
    differing = sum(((true - now) + (now - true)).values())
    return differing + (case.true.age_months != record.age_months)


def many_findings(count: int) -> Record:
    """A record of ``count`` findings, drawn from all that can be recorded."""
    vocabulary = load().vocabulary
    every = [
        Finding(modality=m, segment=s, side=side, grade=vocabulary.grades(m)[0])
        for m in vocabulary.modalities
        for s in dict.fromkeys(_places(m))
        for side in ("left", "right")
    ]
    drawn = random.Random(1).sample(every, count)
    return Record(narration=f"{count} findings", age_months=80, findings=tuple(drawn))
