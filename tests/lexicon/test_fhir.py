"""The FHIR tables: what the loader refuses, and that nothing licensed or unknown is in them."""

from __future__ import annotations

import re

import pytest
from plessor.lexicon import DataError, load
from plessor.lexicon.fhir import CODES, SYSTEMS, fhir_from, load_fhir
from plessor.lexicon.files import read_rows

VOCABULARY = load().vocabulary


def rows(name: str, **changes: object) -> list[tuple[int, dict[str, str]]]:
    """The rows of a table; ``changes`` name a row by its first cells and give new cells."""
    found = []
    for line, row in read_rows(name):
        key = row.get("name") or f"{row['kind']} {row['code']}"
        change = changes.get("change", {}).get(key, {})
        if change is not None:
            found.append((line, {**row, **change}))
    return found


def faults(*, systems: dict | None = None, codes: dict | None = None) -> str:
    with pytest.raises(DataError) as caught:
        fhir_from(
            rows(SYSTEMS, change=systems or {}),
            rows(CODES, change=codes or {}),
            vocabulary=VOCABULARY,
        )
    return str(caught.value)


def test_the_tables_name_every_scale_and_every_status() -> None:
    fhir = load_fhir()
    for modality in VOCABULARY.modalities.values():
        assert f"scale:{modality.scale}" in fhir.systems
    for status in VOCABULARY.statuses:
        assert (("absent", status) in fhir.codes) == (status != "observed")


def test_systems_are_those_that_hl7_publishes_or_reserved_names() -> None:
    # terminology.hl7.org: external code systems HPO, LOINC, UCUM; RFC 2606 reserves .example
    fhir = load_fhir()
    assert fhir.uri("hpo") == "http://human-phenotype-ontology.org"
    assert fhir.uri("loinc") == "http://loinc.org"
    assert fhir.uri("ucum") == "http://unitsofmeasure.org"
    for system in fhir.systems.values():
        ours = system.uri.startswith("https://plessor.example/fhir/")
        assert ours == (system.source_kind == "house")
        assert "snomed" not in system.uri  # not free to hand on everywhere


def test_every_system_is_used_by_a_code_or_asked_for_by_name() -> None:
    fhir = load_fhir()
    used = {code.system for code in fhir.codes.values()}
    by_name = re.compile(r"extension:|scale:|hpo|uri|" + "|".join(
        ("modality", "segment", "side", "place", "status", "certainty", "part", "report")
    ))  # fmt: skip
    assert {name for name in fhir.systems if not by_name.match(name)} <= used


@pytest.mark.parametrize(
    ("systems", "codes", "expected"),
    [
        ({"hpo": None}, {}, "fhir/systems.csv: no row for “hpo”"),
        ({"scale:mrc": None}, {}, "fhir/systems.csv: no row for “scale:mrc”"),
        ({"loinc": None}, {}, "unknown system “loinc”"),
        ({"loinc": {"uri": "loinc.org"}}, {}, "“loinc.org” is no absolute URI"),
        ({"loinc": {"uri": "http://unitsofmeasure.org"}}, {}, "is that of another system"),
        ({"loinc": {"name": "ucum"}}, {}, "“ucum” stands there twice"),
        ({"ucum": {"source": ""}}, {}, "no source"),
        ({}, {"absent not_examined": None}, "no row for absent “not_examined”"),
        ({}, {"signature signed": None}, "no row for signature “signed”"),
        ({}, {"fact age": {"fhir_code": "30525 0"}}, "a code without spaces"),
        ({}, {"fact age": {"source_kind": "guess"}}, "no source"),
        ({}, {"entity amended": {"code": "signed"}}, "entity “signed” stands there twice"),
    ],
)
def test_a_fault_is_named_with_its_file(systems: dict, codes: dict, expected: str) -> None:
    assert expected in faults(systems=systems, codes=codes)


def test_faults_are_listed_together() -> None:
    told = faults(systems={"hpo": None, "ucum": {"source": ""}}, codes={"unit months": None})
    assert told.startswith("The FHIR tables have 3 fault(s)")
    assert len(told.splitlines()) == 4
