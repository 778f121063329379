"""Records with and without signatures, their bundles, and a reader that takes codes back out."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import strategies as st
from plessor.lexicon.fhir import load_fhir
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Finding, Record, Rejected, Signature
from plessor.pipeline.report.fhir import fhir_r4, fhir_r5
from plessor.pipeline.review.signing import digest

Json = dict[str, Any]
Coded = tuple[str, str, str, str | None, str, str]
WRITE = {"R4": fhir_r4, "R5": fhir_r5}
WHEN = dt.datetime(2026, 11, 25, 17, 5, 30, tzinfo=dt.timezone(dt.timedelta(hours=1)))


def signed(record: Record, who: str = "Robin Ash", when: dt.datetime = WHEN) -> Record:
    """``record`` with a signature that holds."""
    signature = Signature(who=who, when=when, sha256=digest(record))
    return record.model_copy(update={"signature": signature})


def bundle(record: Record, release: str) -> Json:
    """The bundle of ``record``, read from its JSON."""
    return json.loads(WRITE[release](record, interpret(record)))


def resources(made: Json, kind: str | None = None) -> list[Json]:
    """The resources of a bundle, or those of one type."""
    found = [entry["resource"] for entry in made["entry"]]
    return [r for r in found if kind is None or r["resourceType"] == kind]


def report(made: Json) -> Json:
    """The one DiagnosticReport."""
    (only,) = resources(made, "DiagnosticReport")
    return only


def findings_of(made: Json) -> list[Json]:
    """The Observations that are findings, in the order of the report."""
    by_url = {entry["fullUrl"]: entry["resource"] for entry in made["entry"]}
    results = [by_url[result["reference"]] for result in report(made).get("result", [])]
    return [r for r in results if "category" in r]


def walk(value: Any) -> Iterator[Json]:
    """Every object inside ``value``."""
    if isinstance(value, dict):
        yield value
    if isinstance(value, (dict, list)):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from walk(inner)


def coded(finding: Finding) -> Coded:
    """The coded fields of a finding."""
    return (*finding.key, finding.grade, finding.status, finding.certainty)


def read_back(made: Json) -> list[Coded]:
    """The coded fields of every finding, from the codes of the bundle alone."""
    by_url = {entry["fullUrl"]: entry["resource"] for entry in made["entry"]}
    return [_coded(o, by_url) for o in findings_of(made)]


def _coded(observation: Json, by_url: dict[str, Json]) -> Coded:
    segment, side = "none", "none"
    site = observation.get("bodySite", {})
    for found in site.get("extension", []):
        site = found["valueReference"]
    place = by_url.get((observation.get("bodyStructure") or site).get("reference", ""), {})
    for where in walk(place):
        segment = code_in(where, "segment") or segment
        side = code_in(where, "side") or side
    scales = [name for name in load_fhir().systems if name.startswith("scale:")]
    value = observation.get("valueCodeableConcept", {})
    grade = next((code for s in scales if (code := code_in(value, s))), None)
    status = code_in(observation.get("dataAbsentReason", {}), "status") or "observed"
    certainty = next(
        code
        for part in observation["component"]
        if (code := code_in(part["valueCodeableConcept"], "certainty"))
    )
    return code_in(observation["code"], "modality"), segment, side, grade, status, certainty


def code_in(concept: Json, system: str) -> str | None:
    """The code that a CodeableConcept has in one of the systems of the table."""
    codings = concept.get("coding", [])
    uri = load_fhir().uri(system)
    return next((c["code"] for c in codings if isinstance(c, dict) and c["system"] == uri), None)


_times = st.datetimes(timezones=st.none() | st.just(dt.UTC) | st.timezones())
_names = st.text(max_size=12)


@st.composite
def states(draw: st.DrawFn) -> Record:
    """Any valid record: unsigned, signed, altered, an amendment, with findings rejected."""
    record: Record = draw(st.from_type(Record))
    rejected = draw(
        st.lists(
            st.builds(
                Rejected,
                finding=st.from_type(Finding),
                who=_names,
                when=_times,
                why=st.none() | _names,
            ),
            max_size=1,
        )
    )
    amends = draw(st.none() | st.text("0123456789abcdef", min_size=64, max_size=64))
    record = record.model_copy(update={"rejected": tuple(rejected), "amends": amends})
    state = draw(st.sampled_from(["unsigned", "signed", "altered"]))
    if state == "unsigned":
        return record
    record = signed(record, draw(_names), draw(_times))
    return record if state == "signed" else record.model_copy(update={"narration": "other"})


@pytest.fixture(scope="session")
def fhir() -> SimpleNamespace:
    """The functions above, since tests cannot import this file."""
    return SimpleNamespace(
        bundle=bundle,
        code_in=code_in,
        coded=coded,
        findings_of=findings_of,
        read_back=read_back,
        report=report,
        resources=resources,
        signed=signed,
        states=states,
        walk=walk,
        when=WHEN,
    )


@pytest.fixture(params=["R4", "R5"], scope="session")
def release(request: pytest.FixtureRequest) -> str:
    """Either release."""
    return str(request.param)
