"""What must hold of any posterior, for any examination."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret.localise.damage import SiteKey
from plessor.pipeline.interpret.localise.likelihood import log_likelihoods
from plessor.pipeline.interpret.localise.model import load_model
from plessor.pipeline.interpret.localise.posterior import localise
from plessor.pipeline.interpret.localise.reading import read_findings
from plessor.pipeline.record import Finding

MODEL = load_model()
VOCABULARY = MODEL.space.lexicon.vocabulary
OTHER = {"left": "right", "right": "left"}
quickly = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
SIDELESS = ("gait", "tandem_gait", "gowers_sign", "romberg_sign")


@st.composite
def findings(draw, fine: bool = False) -> Finding:
    """Any finding; ``fine``: at one leaf and one side."""
    modality = draw(st.sampled_from(sorted(VOCABULARY.modalities)))
    segments = [
        s
        for s in VOCABULARY.segment_kinds
        if VOCABULARY.takes(modality, s)
        and (not fine or len(MODEL.space.resolve(modality, s)) == 1)
    ] or ["none"]
    segment = draw(st.sampled_from(segments))
    side = "none" if modality in SIDELESS else draw(st.sampled_from(["left", "right"]))
    grade = draw(st.sampled_from(VOCABULARY.grades(modality)))
    return Finding(modality=modality, segment=segment, side=side, grade=grade)


examinations = st.lists(findings(), max_size=12)
ages = st.one_of(st.none(), st.integers(0, 1000))


def mirrored(key: SiteKey) -> SiteKey:
    return SiteKey(key.site, key.which, OTHER.get(key.side, key.side))


@quickly
@given(examinations, ages)
def test_the_posterior_adds_up_to_one(examination, age_months) -> None:
    found = localise(MODEL, examination, age_months).probability
    assert found.sum() == pytest.approx(1.0) and (found >= 0).all()


@quickly
@given(examinations, ages)
def test_exchanging_the_sides_exchanges_the_sites(examination, age_months) -> None:
    other = [f.model_copy(update={"side": OTHER.get(f.side, f.side)}) for f in examination]
    here = localise(MODEL, examination, age_months).probability
    there = localise(MODEL, other, age_months).probability
    number = {key: i for i, key in enumerate(MODEL.sites)}
    swapped = there[[number[mirrored(key)] for key in MODEL.sites]]
    np.testing.assert_allclose(here, swapped, rtol=2e-3, atol=1e-7)


def test_the_order_of_contradicting_findings_changes_nothing() -> None:
    examination = [
        Finding(modality="abdominal_reflex", segment="none", side=side, grade=grade)
        for side, grade in (("left", "absent"), ("left", "present"), ("right", "absent"))
    ]
    there = [examination[1], examination[0], examination[2]]
    np.testing.assert_allclose(
        localise(MODEL, examination, None).probability,
        localise(MODEL, there, None).probability,
        rtol=1e-4,
    )


@quickly
@given(examinations, st.randoms(use_true_random=False), ages)
def test_the_order_of_the_findings_changes_nothing(examination, random, age_months) -> None:
    shuffled = random.sample(examination, len(examination))
    np.testing.assert_allclose(
        localise(MODEL, examination, age_months).probability,
        localise(MODEL, shuffled, age_months).probability,
        rtol=2e-3,
        atol=1e-7,
    )


@quickly
@given(
    examinations, ages, st.sampled_from(["left", "right"]), st.sampled_from(["absent", "present"])
)
def test_what_no_site_changes_moves_nothing(examination, age_months, side, grade) -> None:
    # A scar is what no site of a lesion predicts; what was not examined tells nothing.
    scar = Finding(modality="scar", segment="face", side=side, grade=grade)
    silent = Finding(modality="power", segment="grip", side=side, grade=None, status="not_examined")
    without = [f for f in examination if f.modality != "scar"]
    np.testing.assert_allclose(
        localise(MODEL, without, age_months).probability,
        localise(MODEL, [*without, scar, silent], age_months).probability,
        rtol=2e-3,
        atol=1e-7,
    )


@quickly
@given(st.lists(findings(fine=True), max_size=8), findings(fine=True), ages)
def test_a_finding_that_a_site_predicts_never_lowers_it_against_normal(
    examination, extra, age_months
) -> None:
    examination = [f for f in examination if f.key != extra.key]
    readings = read_findings(MODEL, [extra])
    if not readings:
        return
    terms = np.stack(log_likelihoods(MODEL, readings, age_months))[:, 0]
    # What health could make of it, whatever else was found: the likeliest constitution, and
    # the same on the other side already.
    agree = MODEL.odds.both_sides[VOCABULARY.group(extra.modality)]
    weight = readings[0].weight
    healthy = weight * np.log(agree + (1 - agree) * np.exp(terms[:, 0].max() / weight))
    before = localise(MODEL, examination, age_months).probability
    after = localise(MODEL, [*examination, extra], age_months).probability
    ends = [*MODEL.starts[1:], len(MODEL.hypotheses)]
    for site, (start, end) in enumerate(zip(MODEL.starts, ends, strict=True)):
        # Predicted: likelier than that under every form and every constitution of the site.
        if site and terms[:, start:end].min() > healthy + 0.01 and before[site] > 1e-12:
            assert after[site] * before[0] >= before[site] * after[0] * (1 - 2e-3)


def test_without_findings_the_prior_stands() -> None:
    found = localise(MODEL, [], 480).probability
    assert found.argmax() == 0 and MODEL.sites[0].site == "normal"


def test_a_finding_of_an_unstated_side_tells_no_side_apart() -> None:
    finding = Finding(modality="power", segment="knee_extension", side="unstated", grade="2")
    found = localise(MODEL, [finding], 480).probability
    number = {key: i for i, key in enumerate(MODEL.sites)}
    left = found[number[SiteKey("nerve", "femoral", "left")]]
    assert left == pytest.approx(found[number[SiteKey("nerve", "femoral", "right")]], rel=1e-3)
    assert left > localise(MODEL, [], 480).probability[number[SiteKey("nerve", "femoral", "left")]]


def test_signs_of_one_side_alone_speak_for_a_site_of_that_side(ranked) -> None:
    # Short notes name the side that is abnormal; the pictures of conditions.csv, radiculopathy_s1
    # and bpbi_upper, are given for one side.
    left = "reflex ankle_jerk left absent; light_touch little_toe left reduced"
    left += "; power toe_flexion left 4"
    assert ranked(left)[0] == SiteKey("root", "S1", "left")
    assert ranked(left.replace("left", "right"))[0] == SiteKey("root", "S1", "right")
    both = left + ";" + left.replace("left", "right")
    assert ranked(both)[0].side in ("none", "both")
