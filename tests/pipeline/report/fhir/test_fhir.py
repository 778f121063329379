"""What a bundle says: the findings, what was not examined, who said it and who signed."""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import uuid
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import InputError
from plessor.lexicon.rules import load_rules
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Audio, Evidence, Finding, Origin, Record
from plessor.pipeline.report.fhir import fhir_r4, fhir_r5
from plessor.pipeline.report.fhir.elements import content_uri

SAMPLES = sorted(Path("samples").glob("*.json"))
DAR = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
HPO = "http://human-phenotype-ontology.org"
many = settings(suppress_health_check=list(HealthCheck), deadline=None, max_examples=40)


def evidence(**fields: object) -> Evidence:
    usual = {"heard": "left risk", "corrected": "left wrist", "first_word": 3, "last_word": 4}
    return Evidence(**{**usual, **fields})


@many
@given(data=st.data())
def test_coded_findings_come_back_from_the_codes_alone(fhir: SimpleNamespace, data) -> None:
    record = data.draw(fhir.states())
    for release in ("R4", "R5"):
        assert fhir.read_back(fhir.bundle(record, release)) == list(
            map(fhir.coded, record.findings)
        )


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_samples_come_back(fhir: SimpleNamespace, release: str, sample: Path) -> None:
    record = Record.model_validate_json(sample.read_text())
    assert fhir.read_back(fhir.bundle(record, release)) == list(map(fhir.coded, record.findings))


@many
@given(data=st.data())
def test_every_bundle_carries_caution_and_state(fhir: SimpleNamespace, data) -> None:
    record = data.draw(fhir.states())
    made = fhir.report(fhir.bundle(record, data.draw(st.sampled_from(["R4", "R5"]))))
    shown = base64.b64decode(made["presentedForm"][0]["data"]).decode()
    for text in (made["conclusion"], made["text"]["div"], " ".join(shown.split())):
        assert load_rules().standing in text
    signed = made["status"] in ("final", "amended")
    assert made["conclusion"].startswith("Signed ") == signed
    assert made["presentedForm"][0]["hash"] == base64.b64encode(
        hashlib.sha1(shown.encode()).digest()  # FHIR, Attachment.hash: SHA-1, in base64
    ).decode("ascii")


def test_no_site_of_lesion_is_concluded(fhir: SimpleNamespace, release: str) -> None:
    record = Record.model_validate_json(Path("samples/c7-picture.json").read_text())
    made = fhir.report(fhir.bundle(record, release))
    summary = [s.text for s in interpret(record).sentences if s.kind == "summary"]
    assert summary and not any(text in made["conclusion"] for text in summary)
    assert "conclusionCode" not in made
    assert not fhir.resources(fhir.bundle(record, release), "Condition")


def test_the_same_record_gives_the_same_bundle_and_another_one_other_names(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    record = make_record("power elbow_flexion left 3", age_months=60)
    made, again = fhir.bundle(record, release), fhir.bundle(record, release)
    other = fhir.bundle(record.model_copy(update={"age_months": 61}), release)
    assert made == again
    ids = {r["id"] for r in fhir.resources(made)}
    assert ids.isdisjoint(r["id"] for r in fhir.resources(other))
    assert {uuid.UUID(one).version for one in ids} == {5}  # RFC 9562


def test_not_examined_is_never_a_value_and_never_normal(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    made = fhir.bundle(
        make_record(
            "power grip left not_examined",
            "reflex knee_jerk right not_assessable",
            "reflex knee_jerk left normal",
        ),
        release,
    )
    done, not_done, normal = (fhir.findings_of(made)[n] for n in (1, 0, 2))
    for observation, code in ((not_done, "not-performed"), (done, "unknown")):
        codings = observation["dataAbsentReason"]["coding"]
        assert {"system": DAR, "code": code} == {k: codings[0][k] for k in ("system", "code")}
        assert not [key for key in observation if key.startswith("value")]
    assert not [o for o in (done, not_done, normal) if "interpretation" in o]


def test_only_what_is_read_as_abnormal_has_a_flag_and_a_term(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    # An extensor response is no finding at 10 months and one at 36 (MedlinePlus, Babinski
    # reflex); the term is HP:0003487 Babinski sign (HPO 2025-01-16).
    for age_months, is_abnormal in ((10, False), (36, True)):
        record = make_record(
            "plantar_response none both extensor", "tone upper_limb both normal",
            age_months=age_months,
        )  # fmt: skip
        found = fhir.findings_of(fhir.bundle(record, release))
        flagged = [
            o["interpretation"][0]["coding"][0]["code"] for o in found if "interpretation" in o
        ]
        assert flagged == (["A", "A"] if is_abnormal else [])
        terms = [c["code"] for o in found for c in fhir.walk(o) if c.get("system") == HPO]
        assert terms == (["HP:0003487", "HP:0003487"] if is_abnormal else [])


def test_the_person_has_no_identity_and_the_age_is_no_birth_date(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    made = fhir.bundle(make_record("gait none none normal", age_months=64), release)
    (patient,) = fhir.resources(made, "Patient")
    assert set(patient) == {"resourceType", "id", "text", "_birthDate"}
    (age,) = [o for o in fhir.resources(made, "Observation") if "valueQuantity" in o]
    quantity = age["valueQuantity"]
    assert (quantity["value"], quantity["code"]) == (64, "mo")
    unknown = fhir.bundle(make_record("gait none none normal", age_months=None), release)
    assert len(fhir.resources(unknown, "Observation")) == 1


def test_bytes_are_named_by_their_sha256() -> None:
    # RFC 6920, section 8.1: the text "Hello World!"
    sha256 = hashlib.sha256(b"Hello World!").hexdigest()
    assert content_uri(sha256) == "ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk"


@pytest.mark.parametrize(
    ("start_s", "end_s", "fragment"),
    [  # W3C Media Fragments URI 1.0, section 4.2.1: the end is left out, or after the begin
        (10.0, 20.0, "#t=10,20"),
        (0.0, 2.5, "#t=0,2.5"),
        (10.0, None, "#t=10"),
        (10.0, 10.0, "#t=10"),
        (1e-7, 3600.125, "#t=0,3600.125"),
    ],
)
def test_a_finding_leads_to_its_stretch_of_the_recording(
    fhir: SimpleNamespace, release: str, start_s: float, end_s: float | None, fragment: str
) -> None:
    audio = Audio(file="visit.wav", sha256="ab" * 32, duration_s=5000.0)
    finding = Finding(
        modality="power", segment="wrist_extension", side="left", grade="3", confidence=0.87654,
        evidence=evidence(start_s=start_s, end_s=end_s),
    )  # fmt: skip
    made = fhir.bundle(Record(audio=audio, findings=(finding,)), release)
    (observation,), (source,) = fhir.findings_of(made), fhir.resources(made, "DocumentReference")
    assert observation["derivedFrom"] == [{"reference": f"urn:uuid:{source['id']}"}]
    confidence, where = observation["extension"]
    assert confidence["valueDecimal"] == 0.8765
    parts = {p["url"]: next(v for k, v in p.items() if k != "url") for p in where["extension"]}
    assert (parts["heard"], parts["corrected"]) == ("left risk", "left wrist")
    assert (parts["firstWord"], parts["lastWord"]) == (3, 4)
    assert parts["fragment"] == source["identifier"][0]["value"] + fragment
    assert "hash" not in source["content"][0]["attachment"]  # SHA-1 there, and we have none


def test_text_without_a_recording_has_no_fragment(fhir: SimpleNamespace, release: str) -> None:
    finding = Finding(
        modality="gait", segment="none", side="none", grade="normal", evidence=evidence()
    )
    made = fhir.bundle(Record(narration="notes.txt", findings=(finding,)), release)
    (source,) = fhir.resources(made, "DocumentReference")
    assert source["content"] == [{"attachment": {"title": "notes.txt"}}]
    assert not [p for p in fhir.walk(made) if p.get("url") == "fragment"]


def test_what_a_viewer_shows_of_a_code_tells_side_and_doubt(
    fhir: SimpleNamespace, release: str
) -> None:
    finding = Finding(
        modality="power", segment="elbow_flexion", side="left", grade="4", certainty="possible"
    )
    (observation,) = fhir.findings_of(fhir.bundle(Record(findings=(finding,)), release))
    assert observation["code"]["text"] == "power (elbow flexion), left"
    assert observation["valueCodeableConcept"]["text"] == "4, possible"


def test_unsigned_signed_and_amended(fhir: SimpleNamespace, make_record, release: str) -> None:
    record = make_record("gait none none normal", examiner="Kim Vale")
    amending = record.model_copy(update={"amends": "cd" * 32})
    altered = fhir.signed(record).model_copy(update={"age_months": 3})
    expected = [
        (record, "preliminary"),
        (fhir.signed(record), "final"),
        (amending, "preliminary"),  # a draft until it is signed
        (fhir.signed(amending), "amended"),
        (altered, "preliminary"),
    ]
    for one, status in expected:
        made = fhir.bundle(one, release)
        observations = fhir.resources(made, "Observation")
        assert {r["status"] for r in (fhir.report(made), *observations)} == {status}
        has_signature = [p for p in fhir.resources(made, "Provenance") if "signature" in p]
        assert bool(has_signature) == (status in ("final", "amended"))
        revised = [p for p in fhir.walk(made) if p.get("role") == "revision"]
        assert [p["what"]["identifier"]["value"] for p in revised] == (
            [content_uri("cd" * 32)] if one.amends else []
        )


def test_a_signature_says_who_when_and_what(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    record = fhir.signed(make_record("gait none none normal"), "Robin Ash")
    made = fhir.bundle(record, release)
    (provenance,) = [p for p in fhir.resources(made, "Provenance") if "signature" in p]
    (person,) = fhir.resources(made, "Practitioner")
    assert person["name"] == [{"text": "Robin Ash"}]
    (signature,) = provenance["signature"]
    assert signature["when"] == provenance["recorded"] == "2026-11-25T16:05:30.000Z"
    assert signature["who"]["reference"] == f"urn:uuid:{person['id']}"
    assert "data" not in signature
    content = content_uri(record.signature.sha256)
    assert provenance["entity"][0]["what"]["identifier"]["value"] == content
    assert fhir.report(made)["identifier"][0]["value"] == content
    targets = {target["reference"] for target in provenance["target"]}
    urls = {f"urn:uuid:{r['id']}" for r in fhir.findings_of(made)}
    assert targets == urls | {f"urn:uuid:{fhir.report(made)['id']}"}


def test_program_and_reviewers_answer_for_their_findings(
    fhir: SimpleNamespace, release: str
) -> None:
    heard = Finding(modality="gait", segment="none", side="none", grade="ataxic")
    changed = Finding(
        modality="romberg_sign", segment="none", side="none", grade="present",
        origin=Origin(by="reviewer", who="Kim Vale", when=fhir.when),
    )  # fmt: skip
    naive = changed.model_copy(
        update={"origin": Origin(by="reviewer", when=dt.datetime(2026, 11, 25, 9))}
    )
    record = Record(findings=(heard, changed, naive), program_version="0.1.0")
    made = fhir.bundle(record, release)
    (device,) = fhir.resources(made, "Device")
    assert device["version"] == [{"type": {"text": "program"}, "value": "0.1.0"}]
    urls = [f"urn:uuid:{r['id']}" for r in fhir.findings_of(made)]
    told = {
        provenance["agent"][0]["type"]["coding"][0]["code"] + str(number): provenance
        for number, provenance in enumerate(fhir.resources(made, "Provenance"))
    }
    assert list(told) == ["assembler0", "author1", "author2"]
    targets = [[t["reference"] for t in p["target"]] for p in told.values()]
    assert targets[0][1:] == urls[:1] and targets[1:] == [urls[1:2], urls[2:]]
    assert told["author1"]["recorded"] == "2026-11-25T16:05:30.000Z"
    # a time without a zone is no instant; R4 asks for one and is told that it is not known
    assert told["author2"]["occurredDateTime"] == "2026-11-25"
    assert "recorded" not in told["author2"]
    assert ("_recorded" in told["author2"]) == (release == "R4")


def test_the_program_does_not_answer_for_a_record_from_elsewhere(
    fhir: SimpleNamespace, make_record, release: str
) -> None:
    made = fhir.bundle(make_record("gait none none ataxic"), release)
    (provenance,) = fhir.resources(made, "Provenance")
    assert provenance["target"] == [{"reference": f"urn:uuid:{fhir.report(made)['id']}"}]
    (device,) = fhir.resources(made, "Device")
    assert "version" not in device


def test_markup_in_words_stays_text(fhir: SimpleNamespace, release: str) -> None:
    attack = '<script>alert("x")</script>&\u0000\u202e]]>'
    finding = Finding(
        modality="gait", segment="none", side="none", grade="normal", note=attack,
        evidence=evidence(heard=attack),
    )  # fmt: skip
    made = fhir.bundle(Record(narration=attack, examiner=attack, findings=(finding,)), release)
    for resource in fhir.resources(made):
        tree = ElementTree.fromstring(resource["text"]["div"])  # well-formed, and paragraphs only
        assert {e.tag.partition("}")[2] for e in tree.iter()} <= {"div", "p"}


def test_json_is_written_as_it_is_read(make_record) -> None:
    record = make_record("sensation sole left reduced", examiner="Zoë Ōta")
    for write in (fhir_r4, fhir_r5):
        text = write(record, interpret(record))
        assert text.endswith("}\n") and "Zoë Ōta" in text


def test_a_number_that_json_lacks_is_refused(make_record) -> None:
    record = make_record("gait none none normal")
    endless = record.findings[0].model_copy(update={"evidence": evidence(start_s=float("inf"))})
    record = record.model_copy(update={"findings": (endless,)})
    with pytest.raises(InputError, match="a number that JSON cannot write"):
        fhir_r4(record, interpret(record))
