"""What a signature covers: RFC 8785 and FIPS 180-4 (through hashlib) are the yardsticks."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import struct
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from plessor.lexicon import InputError
from plessor.pipeline.record import Record, Word
from plessor.pipeline.review import canonical, digest, sign, state
from plessor.pipeline.review.signing import number_text

MANY = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
WHEN = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)

# RFC 8785, Appendix B: the bits of a double, and its text.
NUMBERS = [
    ("0000000000000000", "0"),
    ("8000000000000000", "0"),
    ("0000000000000001", "5e-324"),
    ("8000000000000001", "-5e-324"),
    ("7fefffffffffffff", "1.7976931348623157e+308"),
    ("ffefffffffffffff", "-1.7976931348623157e+308"),
    ("4340000000000000", "9007199254740992"),
    ("c340000000000000", "-9007199254740992"),
    ("4430000000000000", "295147905179352830000"),
    ("44b52d02c7e14af5", "9.999999999999997e+22"),
    ("44b52d02c7e14af6", "1e+23"),
    ("44b52d02c7e14af7", "1.0000000000000001e+23"),
    ("444b1ae4d6e2ef4e", "999999999999999700000"),
    ("444b1ae4d6e2ef4f", "999999999999999900000"),
    ("444b1ae4d6e2ef50", "1e+21"),
    ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
    ("3eb0c6f7a0b5ed8d", "0.000001"),
    ("41b3de4355555553", "333333333.3333332"),
    ("41b3de4355555554", "333333333.33333325"),
    ("41b3de4355555555", "333333333.3333333"),
    ("41b3de4355555556", "333333333.3333334"),
    ("41b3de4355555557", "333333333.33333343"),
    ("becbf647612f3696", "-0.0000033333333333333333"),
    ("43143ff3c1cb0959", "1424953923781206.2"),
]


@pytest.mark.parametrize(("bits", "text"), NUMBERS)
def test_numbers_are_written_as_rfc_8785_lists_them(bits: str, text: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert number_text(value) == text


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_are_written_as_another_implementation_writes_them(value: float) -> None:
    assert number_text(value).encode() == rfc8785.dumps(value)


@pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan")])
def test_what_json_cannot_write_is_refused(value: float) -> None:
    with pytest.raises(InputError, match="JSON cannot write"):
        number_text(value)


@MANY
@given(st.from_type(Record))
def test_content_is_canonical_json_without_the_signature(record: Record) -> None:
    """Another implementation of RFC 8785 writes the same bytes; hashlib gives the same hash."""
    content = canonical(record)
    plain = json.loads(content)
    assert "signature" not in plain
    assert rfc8785.dumps(plain) == content
    assert digest(record) == hashlib.sha256(content).hexdigest()
    assert Record.model_validate_json(content) == record.model_copy(update={"signature": None})


@MANY
@given(st.from_type(Record))
def test_a_signature_holds_after_any_way_through_json(record: Record) -> None:
    signed = sign(record.model_copy(update={"signature": None}), who="A. Reader", when=WHEN)
    assert state(signed) == "signed"
    again = Record.model_validate_json(signed.model_dump_json(indent=2))
    turned = dict(reversed(json.loads(signed.model_dump_json(exclude_defaults=True)).items()))
    for other in (again, Record.model_validate(turned), Record.model_validate(signed.model_dump())):
        assert other == signed
        assert (digest(other), state(other)) == (digest(signed), "signed")


@MANY
@given(st.from_type(Record), st.from_type(Record))
def test_a_signature_holds_for_no_other_content(one: Record, other: Record) -> None:
    assume(one.model_copy(update={"signature": other.signature}) != other)
    signed = sign(one.model_copy(update={"signature": None}), who="A. Reader", when=WHEN)
    forged = other.model_copy(update={"signature": signed.signature})
    assert digest(other) != digest(one)
    assert state(forged) == "altered"


@pytest.mark.parametrize(
    "change",
    [
        {"age_months": 91},
        {"narration": "other"},
        {"schema_version": "1.2"},
        {"words": (Word(text="left"),)},
        {"words": (Word(text="Left", probability=0.5),)},
        {"amends": "0" * 64},
        {"findings": ()},
    ],
)
def test_the_least_change_of_content_alters(make_record, change: dict[str, object]) -> None:
    record = make_record("power grip left 4", age_months=90, words=(Word(text="Left"),))
    signed = sign(record, who="A. Reader", when=WHEN)
    assert state(signed.model_copy(update=change)) == "altered"


def test_who_signed_and_when_are_no_content(make_record) -> None:
    record = make_record("power grip left 4")
    one = sign(record, who="A. Reader", when=WHEN)
    other = sign(record, who="B. Reader", when=WHEN + dt.timedelta(days=1))
    assert digest(one) == digest(other) == digest(record)
    assert one.signature and one.signature.who == "A. Reader"


def test_fields_that_a_later_version_brings_do_not_alter_what_was_signed(make_record) -> None:
    """The content of an early record names none of the fields that came with version 1.1."""
    record = make_record("power grip left 4").model_copy(update={"schema_version": "1.0"})
    content = json.loads(canonical(record))
    assert set(content) == {"schema_version", "age_months", "findings"}
    assert set(content["findings"][0]) == {"modality", "segment", "side", "grade"}


def test_what_is_signed_is_not_signed_again(make_record) -> None:
    signed = sign(make_record("power grip left 4"), who="A. Reader", when=WHEN)
    with pytest.raises(InputError, match="signed already, by A"):
        sign(signed, who="B. Reader", when=WHEN)
    with pytest.raises(InputError, match="changed after it was signed"):
        sign(signed.model_copy(update={"age_months": 3}), who="B. Reader", when=WHEN)


@pytest.mark.parametrize(
    ("who", "when", "said"),
    [("", WHEN, "name"), (" ", WHEN, "name"), ("A", WHEN.replace(tzinfo=None), "time zone")],
)
def test_a_signature_needs_a_name_and_a_time_with_its_zone(
    make_record, who: str, when: dt.datetime, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        sign(make_record("power grip left 4"), who=who, when=when)


def test_what_was_signed_under_version_1_1_is_signed_still() -> None:
    """``signed-1.1.json`` was written once and is never written anew: signatures must outlive us.

    The hash is taken here with another implementation and the rule of DEVELOPERS.md alone.
    """
    document = (Path(__file__).parent / "signed-1.1.json").read_text(encoding="utf-8")
    record = Record.model_validate_json(document)
    assert state(record) == "signed"
    raw = json.loads(document)
    signature = raw.pop("signature")
    schema = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    content = _without_defaults(raw, schema, schema["$defs"])
    content["schema_version"] = "1.1"
    assert hashlib.sha256(rfc8785.dumps(content)).hexdigest() == signature["sha256"]


PUBLISHED = Path(__file__).parents[1] / "record.schema.json"


def _without_defaults(value: Any, schema: dict[str, Any], models: dict[str, Any]) -> Any:
    """``value`` without the members that hold the default which the JSON Schema publishes."""
    if "anyOf" in schema:
        schema = next((s for s in schema["anyOf"] if "$ref" in s or "items" in s), schema)
    if "$ref" in schema:
        schema = models[schema["$ref"].rsplit("/", 1)[1]]
    if isinstance(value, list):
        return [_without_defaults(item, schema["items"], models) for item in value]
    if not isinstance(value, dict):
        return value
    members = schema["properties"]
    return {
        key: _without_defaults(held, members[key], models)
        for key, held in value.items()
        if "default" not in members[key] or held != members[key]["default"]
    }
