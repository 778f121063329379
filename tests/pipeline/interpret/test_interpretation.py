"""The whole interpretation: mirror, reasons, silence about the unexamined, and round trip."""

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.lexicon.anatomy import load_anatomy
from plessor.lexicon.files import read_rows, read_text
from plessor.lexicon.rules import load_rules
from plessor.pipeline.interpret import DataRow, Interpretation, interpret
from plessor.pipeline.record import Finding, Record

SCHEMA = Path(__file__).with_name("interpretation.schema.json")
VIGNETTES = Path(__file__).parents[4] / "shared" / "gold" / "vignettes"
OTHER = {"left": "right", "right": "left"}
quickly = settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=120)


def mirrored_record(record: Record) -> Record:
    findings = (f.model_copy(update={"side": OTHER.get(f.side, f.side)}) for f in record.findings)
    return record.model_copy(update={"findings": tuple(findings)})


#: What the place of the lesion decides: sites of equal probability keep one order when left and
#: right are exchanged, so that these are mirrored in tests/pipeline/interpret/localise.
PLACE = {"sites", "other_probability", "two_sites", "next_tests"}
BY_PLACE = {rule.id for rule in load_rules().cautions if rule.kind == "site"}


def unplaced(result: Interpretation) -> str:
    """The interpretation as JSON, without what the place of the lesion decides."""
    about_place = {c.text for c in result.cautions if c.id in BY_PLACE}
    kept = [
        s
        for s in result.sentences
        if s.kind not in ("summary", "next_test") and s.text not in about_place
    ]
    cautions = tuple(c for c in result.cautions if c.id not in BY_PLACE)
    result = result.model_copy(update={"sentences": tuple(kept), "cautions": cautions})
    return result.model_dump_json(exclude=PLACE)


def mirrored(result: Interpretation) -> object:
    text = unplaced(result).replace("left", "\0").replace("right", "left")
    return in_one_order(json.loads(text.replace("\0", "right")))


def in_one_order(found: dict[str, Any]) -> dict[str, Any]:
    """What a score lacks is listed left before right, which an exchange turns round."""
    for score in found["scores"]:
        score["missing"].sort(key=json.dumps)
    return found


@st.composite
def two_sided_findings(draw: st.DrawFn) -> tuple[Finding, ...]:
    """Findings of which many have a twin on the other side, with the same or another grade."""
    found = draw(st.lists(st.from_type(Finding), min_size=1, max_size=6))
    twins = []
    for finding in found:
        if finding.grade is not None and finding.side in OTHER and draw(st.booleans()):
            grade = draw(st.sampled_from(load().vocabulary.grades(finding.modality)))
            change = {"side": OTHER[finding.side], "grade": grade}
            twins.append(finding.model_copy(update=change))
    return tuple(draw(st.permutations([*found, *twins])))


@quickly
@given(two_sided_findings(), st.none() | st.integers(0, 900))
def test_left_and_right_exchanged_give_left_and_right_exchanged(findings, age_months) -> None:
    record = Record(findings=findings, age_months=age_months)
    exchanged = in_one_order(json.loads(unplaced(interpret(mirrored_record(record)))))
    assert exchanged == mirrored(interpret(record))


@quickly
@given(st.from_type(Record))
def test_interpretation_comes_back_from_json_as_it_was(record: Record) -> None:
    result = interpret(record)
    assert Interpretation.model_validate_json(result.model_dump_json()) == result
    assert interpret(record) == result


@quickly
@given(st.from_type(Record))
def test_every_part_rests_on_findings_claims_and_rows_that_exist(record: Record) -> None:
    result = interpret(record)
    coverage = result.coverage.steps if result.coverage else ()
    measures = (*result.contrasts, *result.scores, *result.sensory_levels)
    parts = (*coverage, *result.comparisons, *measures, *result.cautions, *result.phenotypes)
    weights = [weight for site in result.sites for weight in site.evidence]
    for part in (*parts, *weights, *result.sentences):
        assert all(0 <= i < len(record.findings) for i in part.findings)
        assert all(_exists(row) for row in part.rows)
    for sentence in result.sentences:
        assert all(0 <= i < len(record.claims) for i in sentence.claims)
        assert all(0 <= i < len(result.sites) for i in sentence.sites)
        assert all(0 <= i < len(result.next_tests) for i in sentence.next_tests)
        silent = "No findings were recorded" in sentence.text
        assert (
            silent
            or sentence.findings
            or sentence.claims
            or sentence.sites
            or sentence.next_tests
            or sentence.rows
            or (sentence.kind == "coverage")
        )
    assert [c.claim for c in result.claim_checks] == list(range(len(record.claims)))


@quickly
@given(st.from_type(Record), st.from_type(Finding))
def test_what_was_not_examined_adds_nothing_but_coverage(record: Record, other: Finding) -> None:
    unexamined = other.model_copy(update={"status": "not_examined", "grade": None})
    before = interpret(record)
    after = interpret(record.model_copy(update={"findings": (*record.findings, unexamined)}))
    assert after.comparisons == before.comparisons
    assert after.phenotypes == before.phenotypes
    assert after.claim_checks == before.claim_checks
    told = {"incomplete_examination", "conflicting_statements"}
    assert [c for c in after.cautions if c.id not in told] == [
        c for c in before.cautions if c.id not in told
    ]


def test_standing_caution_is_always_there() -> None:
    caution = interpret(Record()).caution.lower()
    for words in ("licensed clinician", "not a diagnosis", "not a medical device", "local guid"):
        assert words in caution
    assert "not examined is not called normal" in caution


def test_empty_record_is_said_to_hold_nothing() -> None:
    result = interpret(Record(narration="n"))
    assert (result.narration, result.age_months, result.sites) == ("n", None, ())
    assert [s.kind for s in result.sentences] == ["coverage"]
    assert result.cautions == ()


def test_the_unexamined_is_never_called_normal(make_record) -> None:
    record = make_record(
        "sensation lower_limb both not_examined", "reflex knee_jerk both not_assessable"
    )
    assert not any("normal" in s.text for s in interpret(record).sentences)


def test_schema_is_the_published_one() -> None:
    assert Interpretation.model_json_schema() == json.loads(SCHEMA.read_text(encoding="utf-8"))


@pytest.mark.skipif(not VIGNETTES.is_dir(), reason="no vignettes beside the repository")
def test_vignettes_are_records_and_can_be_interpreted() -> None:
    paths = sorted(VIGNETTES.glob("*.json"))
    assert paths
    for path in paths:
        vignette = json.loads(path.read_text(encoding="utf-8"))
        findings = [
            {"modality": m, "segment": s, "side": one, "grade": g, "status": status}
            for m, s, side, g, status in vignette["findings"]
            for one in (("left", "right") if side == "both" else (side,))
        ]
        record = Record.model_validate({"age_months": vignette["age_months"], "findings": findings})
        result = interpret(record)
        assert result.coverage is not None
        assert {i for s in result.coverage.steps for i in s.findings} <= set(range(len(findings)))


def _exists(row: DataRow) -> bool:
    assert row.source and row.source_kind
    key = (row.table, row.row)
    return key in _known_rows()


_ROWS: set[tuple[str, str]] = set()


def _known_rows() -> set[tuple[str, str]]:
    """Every (table, row) that the data hold, read from the files themselves."""
    if not _ROWS:
        for name in ("coverage", "grades", "cautions", "scores"):
            table = f"rules/{name}.toml"
            for entries in tomllib.loads(read_text(table)).values():
                if isinstance(entries, list):
                    _ROWS.update((table, entry["id"]) for entry in entries)
        names = {
            "age_norms": "{sign} {from_months}-{to_months}",
            "dermatomes": "{site} {level} {site_kind}",
            "movements": "{code}",
            "nerves": "{code}",
            "plexus": "{code}",
            "reflexes": "{code}",
            "scales": "{scale} {grade}",
        }
        for name, form in names.items():
            table = f"reference/{name}.csv"
            _ROWS.update((table, form.format(**row)) for _, row in read_rows(table))
        _ROWS.update(("reference/patterns.csv", row.name) for row in load_anatomy().patterns)
        table = "reference/hpo.csv"
        _ROWS.update(
            (table, f"{row['modality']} {row['segment'] or row['segment_scope']} {row['grade']}")
            for _, row in read_rows(table)
        )
    return _ROWS
