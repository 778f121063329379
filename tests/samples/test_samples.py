"""The samples are whole: valid records, the annotation rules kept, audio that decodes.

What extraction makes of them is tested elsewhere.
"""

from __future__ import annotations

import importlib.util
import json
import re
import sys
from pathlib import Path
from types import ModuleType

import av
import numpy as np
import pytest
from plessor.lexicon import load
from plessor.pipeline.record import Record

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = (
    "c7-picture",
    "hemiplegic-child",
    "normal-upper-limbs",
    "proximal-myopathy",
    "teaching-demonstration",
    "uncooperative-toddler",
)
# Annotation rules: gait and station take no side; unpaired parts take the midline.
SIDELESS = {"gait", "heel_walking", "toe_walking", "tandem_gait", "gowers_sign", "romberg_sign"}
UNPAIRED = {"neck_flexion", "neck_extension", "neck", "trunk", "spine", "tongue", "jaw_jerk"}


def record_of(name: str) -> Record:
    return Record.model_validate_json((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def text_of(name: str) -> str:
    return (SAMPLES / f"{name}.txt").read_text(encoding="utf-8")


def test_samples_are_the_six_named() -> None:
    for kind in ("txt", "json", "opus"):
        assert tuple(sorted(p.stem for p in SAMPLES.glob(f"*.{kind}"))) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_expected_record_is_valid_and_minimal(name: str) -> None:
    record = record_of(name)
    assert record.narration == name
    assert record.age_months
    raw = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    assert set(raw) == {"narration", "age_months", "findings", "claims"}
    keys = [f.key for f in record.findings]
    assert len(keys) == len(set(keys)), "one thing at one place and side is recorded once"


@pytest.mark.parametrize("name", NAMES)
def test_expected_sides_follow_the_annotation_rules(name: str) -> None:
    for finding in record_of(name).findings:
        if finding.modality in SIDELESS:
            assert finding.side == "none"
        elif finding.segment in UNPAIRED:
            assert finding.side == "midline"
        else:
            assert finding.side in {"left", "right"}


@pytest.mark.parametrize("name", NAMES)
def test_narration_is_a_minute_of_words_without_digits(name: str) -> None:
    text = text_of(name)
    assert 110 <= len(text.split()) <= 175
    assert not re.search(r"\d", text)


def test_teaching_demonstration_has_taught_facts_and_no_finding() -> None:
    record = record_of("teaching-demonstration")
    assert not record.findings
    tables = load().tables
    dermatomes = {(row.site, row.level) for row in tables.dermatomes}
    for claim in record.claims:
        # The tables cite ISNCSCI and the textbooks row by row.
        if claim.kind == "dermatome":
            assert (claim.subject, claim.value) in dermatomes
        elif claim.kind == "myotome":
            assert claim.value in tables.movements[claim.subject].roots
        elif claim.kind == "reflex_root":
            assert claim.value in tables.reflexes[claim.subject].roots
    assert {c.kind for c in record.claims} == {
        "dermatome",
        "myotome",
        "reflex_root",
        "grade_meaning",
    }


def test_toddler_holds_both_kinds_of_missing() -> None:
    statuses = {f.status for f in record_of("uncooperative-toddler").findings}
    assert statuses == {"observed", "not_examined", "not_assessable"}


@pytest.mark.parametrize("name", NAMES)
def test_audio_decodes_and_lasts_about_a_minute(name: str) -> None:
    with av.open(str(SAMPLES / f"{name}.opus")) as container:
        stream = container.streams.audio[0]
        assert stream.codec_context.name in {"opus", "libopus"}
        assert stream.layout.name == "mono"
        frames = [f.to_ndarray().astype(np.float64) for f in container.decode(stream)]
        rate_hz = stream.codec_context.sample_rate
    samples = np.concatenate([f.reshape(-1) for f in frames])
    assert 40 <= len(samples) / rate_hz <= 90
    assert 0.3 < np.abs(samples).max() <= 1.2, "neither faint nor clipped"
    # Speech rests: a tenth of the time at least is much quieter than the loudest tenth.
    level = np.sqrt((samples[: len(samples) // 480 * 480].reshape(-1, 480) ** 2).mean(axis=1))
    low, high = np.quantile(level, (0.1, 0.9))
    assert low < high / 10


def test_every_sample_has_a_reader_and_respelled_words_are_spoken() -> None:
    module = _make_audio()
    assert tuple(sorted(module.READERS)) == NAMES
    words = " ".join(text_of(n) for n in NAMES).lower()
    for table in module.SAY_AS.values():
        assert all(word in words for word in table)


def _make_audio() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_audio", SAMPLES / "make_audio.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    # dataclasses look their module up by name
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module
