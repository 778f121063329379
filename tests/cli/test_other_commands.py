"""``plessor schema``, ``models`` and ``lexicon check``."""

from __future__ import annotations

import json

import jsonschema
import pytest
from plessor.lexicon import DataError, load
from plessor.lexicon.rules import load_rules
from plessor.pipeline.record import Record


@pytest.mark.parametrize("kind", ["record", "interpretation"])
def test_schema_is_valid_json_schema(plessor, kind) -> None:
    """Held against the meta-schema of JSON Schema 2020-12 (package jsonschema)."""
    ran = plessor("schema", kind)
    assert (ran.code, ran.err) == (0, "")
    jsonschema.Draft202012Validator.check_schema(json.loads(ran.out))


def test_schema_accepts_what_read_writes_and_refuses_unknown_keys(plessor) -> None:
    schema = json.loads(plessor("schema").out)
    record = json.loads(plessor("read", "-f", "json", stdin=b"Left wrist extension three.").out)
    jsonschema.validate(record, schema)
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        jsonschema.validate({**record, "surprise": 1}, schema)
    assert schema["title"] == Record.__name__


def test_models_lists_the_default_and_how_to_get_it(plessor) -> None:
    text = plessor("models")
    assert (text.code, text.err) == (0, "")
    assert "default" in text.out
    listed = json.loads(plessor("models", "--format", "json").out)
    by_name = {model["name"]: model for model in listed}
    assert by_name["default"]["how"] == "pip install 'plessor[offline-model]'"
    assert all(model["licence"] and model["size_bytes"] > 1_000_000 for model in listed)


def test_lexicon_check_counts_what_is_there(plessor) -> None:
    ran = plessor("lexicon", "check")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith(f"Lexicon {load().version}: no faults; ")
    assert ran.out.count("\n") == 1
    assert f"{len(load().vocabulary.modalities)} modalities" in ran.out
    assert f"{len(load_rules().cautions)} cautions" in ran.out


def test_lexicon_check_lists_the_faults_of_all_files_with_their_own_code(
    plessor, monkeypatch
) -> None:
    def faulty_terms() -> None:
        raise DataError("terms/x.csv:3: unknown code")

    def faulty_cues() -> None:
        raise DataError("rules/cues.toml: entry 7: the id stands twice")

    monkeypatch.setattr("plessor.lexicon.load", faulty_terms)
    monkeypatch.setattr("plessor.lexicon.cues.read_cues", faulty_cues)

    def faulty_sounds() -> None:
        float("x")

    monkeypatch.setattr("plessor.pipeline.correct.marks.weights", faulty_sounds)
    ran = plessor("lexicon", "check")
    assert (ran.code, ran.out) == (DataError.exit_code, "") == (4, "")
    assert ran.err == (
        "plessor: terms/x.csv:3: unknown code\nrules/cues.toml: entry 7: the id stands twice\n"
        "data behind pipeline.correct.marks: cannot be used "
        "(could not convert string to float: 'x').\n"
    )
