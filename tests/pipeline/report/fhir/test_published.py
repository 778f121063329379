"""Bundles against what HL7 publishes: models of R5 and R4B, R4 4.0.1, value sets, invariants."""

from __future__ import annotations

import json
import os
from pathlib import Path
from types import SimpleNamespace

import fhirkit
import jsonschema
import pytest
from fhir.resources.bundle import Bundle as BundleR5
from fhir.resources.R4B.bundle import Bundle as BundleR4B
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon.fhir import load_fhir
from plessor.pipeline.record import Record

SAMPLES = sorted(Path("samples").glob("*.json"))
SCHEMA = os.environ.get("PLESSOR_FHIR_SCHEMA")
many = settings(suppress_health_check=list(HealthCheck), deadline=None, max_examples=30)

#: Each published system that may occur, with the codes of the value set that FHIR binds.
VALUE_SETS = {
    # hl7.org/fhir/R4/valueset-data-absent-reason.html, 15 concepts; the same in R5
    "http://terminology.hl7.org/CodeSystem/data-absent-reason": """
        unknown asked-unknown temp-unknown not-asked asked-declined masked not-applicable
        unsupported as-text error not-a-number negative-infinity positive-infinity
        not-performed not-permitted""",
    # hl7.org/fhir/R4/valueset-observation-category.html
    "http://terminology.hl7.org/CodeSystem/observation-category": """
        social-history vital-signs imaging laboratory procedure survey exam therapy activity""",
    # v3-ObservationInterpretation: the one code that Plessor may use; it never says N (normal)
    "http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation": "A",
    # hl7.org/fhir/R4/codesystem-provenance-agent-type.html
    "http://terminology.hl7.org/CodeSystem/provenance-participant-type": """
        enterer performer author verifier legal attester informant custodian assembler
        composer""",
    # hl7.org/fhir/R4/valueset-signature-type.html: ASTM E1762 purposes 1 to 18
    "urn:iso-astm:E1762-95:2013": " ".join(f"1.2.840.10065.1.12.1.{n}" for n in range(1, 19)),
    "http://loinc.org": "30525-0",  # loinc.org/30525-0: Age
    "http://unitsofmeasure.org": "mo",  # UCUM: month
}
# hl7.org/fhir/R4/valueset-observation-status.html and valueset-diagnostic-report-status.html,
# the codes that both have; the same in R5
STATUSES = {"registered", "preliminary", "final", "amended", "corrected", "cancelled"}
# hl7.org/fhir/R4/valueset-provenance-entity-role.html; R5 keeps these of it
ROLES = {"revision", "quotation", "source", "removal"}
# hl7.org/fhir/R4/valueset-device-nametype.html; R5 device-nametype keeps these of it
NAME_TYPES = {"user-friendly-name", "patient-reported-name"}


def accept(made: dict, release: str) -> None:
    """Every validator of the release accepts the bundle, and reads it as it was written."""
    text = json.dumps(made)
    model = (BundleR4B if release == "R4" else BundleR5).model_validate_json(text)
    again = json.loads(model.model_dump_json(exclude_none=True))
    assert [e["fullUrl"] for e in again["entry"]] == [e["fullUrl"] for e in made["entry"]]
    if release == "R4":
        assert [str(issue) for issue in fhirkit.validate(text)] == []
        # no element that 4.0.1 does not know: nothing is lost in reading and writing
        assert json.loads(fhirkit.parse(text, strict=True).to_json()) == made


@many
@given(data=st.data())
def test_validators_of_both_releases_accept_any_record(fhir: SimpleNamespace, data) -> None:
    record = data.draw(fhir.states())
    for release in ("R4", "R5"):
        accept(fhir.bundle(record, release), release)


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_samples_are_valid(fhir: SimpleNamespace, release: str, sample: Path) -> None:
    record = Record.model_validate_json(sample.read_text())
    accept(fhir.bundle(record, release), release)
    accept(fhir.bundle(fhir.signed(record), release), release)


def test_validators_tell_the_releases_apart(fhir: SimpleNamespace, make_record) -> None:
    record = make_record("power elbow_flexion left 3")
    r5 = json.dumps(fhir.bundle(record, "R5"))
    assert any("bodyStructure" in str(issue) for issue in fhirkit.validate(r5))
    broken = fhir.bundle(record, "R4")
    del fhir.report(broken)["code"]
    with pytest.raises(ValueError, match="code"):
        BundleR4B.model_validate_json(json.dumps(broken))


@pytest.mark.skipif(not SCHEMA, reason="PLESSOR_FHIR_SCHEMA does not name the JSON Schema of R4")
@settings(many, max_examples=20)
@given(data=st.data())
def test_json_schema_of_r4_accepts_any_record(fhir: SimpleNamespace, data) -> None:
    # fhir.schema.json of FHIR 4.0, as published by HL7
    definitions = json.loads(Path(SCHEMA).read_text())["definitions"]
    made = fhir.bundle(data.draw(fhir.states()), "R4")
    empty = {**made, "entry": [{"fullUrl": e["fullUrl"]} for e in made["entry"]]}
    for resource in (empty, *fhir.resources(made)):
        kind = {"$ref": f"#/definitions/{resource['resourceType']}", "definitions": definitions}
        jsonschema.Draft6Validator(kind).validate(resource)


@many
@given(data=st.data())
def test_codes_are_of_the_published_value_sets_or_ours(fhir: SimpleNamespace, data) -> None:
    record = data.draw(fhir.states())
    release = data.draw(st.sampled_from(["R4", "R5"]))
    own = {s.uri for s in load_fhir().systems.values() if s.source_kind == "house"}
    hpo = "http://human-phenotype-ontology.org"  # HL7 Terminology, CodeSystem HPO
    made = fhir.bundle(record, release)
    for part in fhir.walk(made):
        if "system" in part and "code" in part:
            system, code = part["system"], part["code"]
            assert system in own or system == hpo or code in VALUE_SETS[system].split()
            assert "display" in part or system == "http://unitsofmeasure.org"
    for resource in fhir.resources(made):
        if resource["resourceType"] in ("Observation", "DiagnosticReport"):
            assert resource["status"] in STATUSES
        for entity in resource.get("entity", []):
            assert entity["role"] in ROLES
        for called in (resource.get("deviceName") or []) + (
            resource["name"] if resource["resourceType"] == "Device" and release == "R5" else []
        ):
            assert called["type"] in NAME_TYPES


@many
@given(data=st.data())
def test_references_lead_to_one_resource_of_the_bundle(fhir: SimpleNamespace, data) -> None:
    made = fhir.bundle(data.draw(fhir.states()), data.draw(st.sampled_from(["R4", "R5"])))
    urls = [entry["fullUrl"] for entry in made["entry"]]
    assert len(urls) == len(set(urls))  # bdl-7
    assert all(e["fullUrl"] == f"urn:uuid:{e['resource']['id']}" for e in made["entry"])
    named = {r["reference"] for r in fhir.walk(made) if "reference" in r}
    assert named <= set(urls)
    # nothing but the report and what is said of it stands there unreferred to
    free = {r["resourceType"] for r in fhir.resources(made) if f"urn:uuid:{r['id']}" not in named}
    assert free <= {"Provenance", "DocumentReference"}


@many
@given(data=st.data())
def test_invariants_of_observation(fhir: SimpleNamespace, data) -> None:
    """obs-6, obs-7 and (R5) obs-8 of the definition of Observation."""
    release = data.draw(st.sampled_from(["R4", "R5"]))
    made = fhir.bundle(data.draw(fhir.states()), release)
    for observation in fhir.resources(made, "Observation"):
        has_value = any(key.startswith("value") for key in observation)
        assert has_value != ("dataAbsentReason" in observation)
        of_itself = {(c["system"], c["code"]) for c in observation["code"]["coding"]}
        for part in observation.get("component", []):
            assert not of_itself & {(c["system"], c["code"]) for c in part["code"]["coding"]}
        assert ("bodySite" in observation) <= (release == "R4")
        assert ("bodyStructure" in observation) <= (release == "R5")
