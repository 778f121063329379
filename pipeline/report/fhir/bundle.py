"""The bundle as a whole: the DiagnosticReport first, then all that it refers to.

The bundle is a ``collection``. A ``document`` of FHIR is a statement that somebody attests:
it begins with a Composition, which must have an author and a date, and carries the time at
which it was put together. An unsigned record has no such author, a small one no date, and
nothing here reads a clock; none of these is invented.

The person examined is a Patient without name, birth date or number, so that the receiver can
put their own in its place; the age is an Observation, never a birth date that was worked out.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator

from ....lexicon.fhir import load_fhir
from ....lexicon.rules import load_rules
from ..signed import state_words
from ..text import age_words, report_text
from .case import Case
from .elements import (
    Json,
    concept,
    content_identifier,
    instant,
    known,
    narrative,
    own,
    published,
    unknown_value,
    words,
)
from .findings import body_structures, observations, sentence
from .provenance import device, practitioners, provenances

TITLE = "Neurological examination"


def bundle(case: Case) -> Json:
    """The Bundle of ``case`` as a dictionary that is ready for JSON."""
    return {
        "resourceType": "Bundle",
        "id": case.id("bundle"),
        "identifier": {
            "system": load_fhir().uri("uri"),
            "value": f"urn:uuid:{case.id('bundle')}",
        },
        "type": "collection",
        "entry": [
            {"fullUrl": f"urn:uuid:{case.id(part)}", "resource": {**_named(case, part, resource)}}
            for part, resource in _resources(case)
        ],
    }


def _named(case: Case, part: str, resource: Json) -> Json:
    """``resource`` with its id in the place where readers look for it."""
    return {"resourceType": resource["resourceType"], "id": case.id(part), **resource}


def _resources(case: Case) -> Iterator[tuple[str, Json]]:
    yield "report", _report(case)
    yield "patient", _patient()
    if case.record.age_months is not None:
        yield "age", _age(case, case.record.age_months)
    yield from observations(case)
    yield from body_structures(case)
    if any(finding.evidence for finding in case.record.findings) or case.record.audio:
        yield "source", _source(case)
    yield "program", device(case)
    yield from practitioners(case)
    yield from provenances(case)


def _report(case: Case) -> Json:
    record = case.record
    results = [f"finding {index}" for index in range(len(record.findings))]
    if record.age_months is not None:
        results.insert(0, "age")
    signature = case.signature
    signer = case.person(signature.who, otherwise="") if signature else {}
    return known(
        resourceType="DiagnosticReport",
        text=narrative([TITLE, _conclusion(case), *map(sentence, record.findings)]),
        identifier=[content_identifier(signature.sha256)] if signature else [],
        status=case.status,
        code=concept(own("report", "neurological_examination", display=TITLE), text=TITLE),
        subject=case.reference("patient"),
        effectiveDateTime=record.date.isoformat() if record.date else None,
        issued=instant(signature.when) if signature else None,
        performer=[case.person(record.examiner, otherwise="")] if words(record.examiner) else [],
        resultsInterpreter=[signer] if signer.get("reference") else [],
        result=[case.reference(part) for part in results],
        conclusion=_conclusion(case),
        presentedForm=[_presented(case)],
    )


def _conclusion(case: Case) -> str:
    """State, how much was found, and the caution; never a site of lesion or a diagnosis."""
    findings, abnormal = case.record.findings, case.interpretation.abnormal
    observed = sum(finding.status == "observed" for finding in findings)
    counts = (
        f"{len(findings)} findings, {observed} of them observed; read as abnormal: {len(abnormal)}."
    )
    return " ".join((state_words(case.record), counts, load_rules().standing))


def _presented(case: Case) -> Json:
    """The report for reading, which holds what has no element here: see docs/fhir.md."""
    text = report_text(case.record, case.interpretation).encode()
    return {
        "contentType": "text/plain;charset=utf-8",
        "language": "en",
        "data": base64.b64encode(text).decode(),
        # FHIR asks for SHA-1 here; it guards against accidents, not against attacks.
        "hash": base64.b64encode(hashlib.sha1(text, usedforsecurity=False).digest()).decode(),
        "title": TITLE,
    }


def _patient() -> Json:
    return {
        "resourceType": "Patient",
        "text": narrative(["The person examined; the record does not say who that is."]),
        "_birthDate": unknown_value(),
    }


def _age(case: Case, age_months: int) -> Json:
    unit = published("unit", "months")
    return known(
        resourceType="Observation",
        text=narrative([f"Age: {age_words(age_months)} ({case.status})"]),
        status=case.status,
        code=concept(published("fact", "age"), text="Age"),
        subject=case.reference("patient"),
        effectiveDateTime=case.record.date.isoformat() if case.record.date else None,
        valueQuantity={
            "value": age_months,
            "unit": unit["display"],
            "system": unit["system"],
            "code": unit["code"],
        },
    )


def _source(case: Case) -> Json:
    """The recording, or the written narration, that the findings were taken from."""
    audio = case.record.audio
    what = "Recording" if audio else "Written narration"
    attachment = known(title=words(audio.file if audio else case.record.narration))
    if audio and not case.is_r4:
        attachment["duration"] = round(audio.duration_s, 3)
    if not attachment:
        attachment = {"contentType": "text/plain"}
    length = f", {audio.duration_s:.1f} s" if audio else ""
    described = f"{what} of an examination{length}; it is not in this bundle."
    return known(
        resourceType="DocumentReference",
        text=narrative([described]),
        identifier=[content_identifier(audio.sha256)] if audio else [],
        status="current",
        type=concept(text=f"{what} of an examination"),
        subject=case.reference("patient"),
        description=described,
        content=[{"attachment": attachment}],
    )
