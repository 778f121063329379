"""The contract: round trip, refusals, and the published schema.

``record.schema.json`` is the published JSON Schema. A change of contract shows there:
write it anew with ``plessor schema > tests/pipeline/record.schema.json``.
"""

import json
import re
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.record import Claim, Finding, Record
from pydantic import ValidationError

SCHEMA = Path(__file__).with_name("record.schema.json")


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(st.from_type(Record))
def test_record_comes_back_from_json_as_it_was(record: Record) -> None:
    assert Record.model_validate_json(record.model_dump_json()) == record
    assert Record.model_validate(record.model_dump()) == record


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=30)
@given(st.from_type(Record))
def test_record_satisfies_its_published_schema(record: Record) -> None:
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    validator.validate(json.loads(record.model_dump_json()))


def test_schema_is_the_published_one() -> None:
    assert Record.model_json_schema() == json.loads(SCHEMA.read_text(encoding="utf-8"))


def test_record_may_be_as_small_as_an_age_and_five_codes() -> None:
    record = Record.model_validate(
        {
            "age_months": 84,
            "findings": [
                {
                    "modality": "power",
                    "segment": "elbow_flexion",
                    "side": "left",
                    "grade": "4",
                    "status": "observed",
                }
            ],
        }
    )
    assert record.findings[0].key == ("power", "elbow_flexion", "left")
    assert record.findings[0].origin.by == "heard"
    assert (record.heard, record.words, record.claims) == ("", (), ())


def test_empty_record_is_valid() -> None:
    assert Record().findings == ()


GOOD = {"modality": "power", "segment": "grip", "side": "left", "grade": "4"}


@pytest.mark.parametrize(
    ("change", "nearest"),
    [
        ({"modality": "powr"}, "power"),
        ({"segment": "gripp"}, "grip"),
        ({"side": "lefft"}, "left"),
        ({"status": "observd"}, "observed"),
        ({"grade": "4++"}, "4+"),
        ({"modality": "reflex", "segment": "knee_jerk", "grade": "increase"}, "increased"),
    ],
)
def test_unknown_code_is_refused_and_the_nearest_named(
    change: dict[str, str], nearest: str
) -> None:
    with pytest.raises(ValidationError, match=re.escape(f"valid one is “{nearest}”")):
        Finding.model_validate({**GOOD, **change})


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"side": "both"}, "two findings"),
        ({"segment": "knee_jerk"}, "not recorded at"),
        ({"grade": None}, "needs a grade"),
        ({"status": "not_examined"}, "has no grade"),
        ({"confidence": 1.2}, "less than or equal to 1"),
        ({"severity": "4"}, "Extra inputs"),
        ({"certainty": "perhaps"}, "definite"),
    ],
)
def test_finding_that_does_not_fit_together_is_refused(
    change: dict[str, object], reason: str
) -> None:
    with pytest.raises(ValidationError, match=reason):
        Finding.model_validate({**GOOD, **change})


@pytest.mark.parametrize(
    "claim",
    [
        {"kind": "dermatome", "subject": "thumb", "value": "C9"},
        {"kind": "dermatome", "subject": "grip", "value": "C6"},
        {"kind": "myotome", "subject": "thumb", "value": "C6"},
        {"kind": "reflex_root", "subject": "knee", "value": "L4"},
        {"kind": "grade_meaning", "subject": "mrc", "value": "6"},
        {"kind": "opinion", "subject": "thumb", "value": "C6"},
    ],
)
def test_claim_with_an_unknown_code_is_refused(claim: dict[str, str]) -> None:
    with pytest.raises(ValidationError):
        Claim.model_validate(claim)


def test_record_is_frozen_and_refuses_unknown_keys() -> None:
    with pytest.raises(ValidationError):
        Record().narration = "other"  # type: ignore[misc]
    with pytest.raises(ValidationError):
        Record.model_validate({"findngs": []})


@pytest.mark.parametrize("age_months", [-1, 1501])
def test_record_refuses_an_impossible_age(age_months: int) -> None:
    with pytest.raises(ValidationError):
        Record(age_months=age_months)
