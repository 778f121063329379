"""The next test: informative, not done yet, and the one that handbooks name.

Foot drop: inversion parts the common fibular nerve from the L5 root (Epomedicine, Foot drop:
differentials). Expected information: Lindley 1956, Ann Math Stat 27:986-1005; the slow twin
computes it from Bayes' rule directly.
"""

import numpy as np
import pytest
from plessor.pipeline.interpret import interpret
from plessor.pipeline.interpret.localise.next_test import chances, information, leading_forms, plan
from plessor.pipeline.record import Record

FOOT_DROP = (
    "power ankle_dorsiflexion left 2; power great_toe_extension left 2;"
    " power knee_extension left 5;"
    "light_touch dorsum_of_foot left reduced; reflex knee_jerk both normal;"
    " reflex ankle_jerk both normal;"
    "plantar_response none both flexor;"
    " power ankle_dorsiflexion right 5; power ankle_plantarflexion left 5"
)


def suggested(findings, age_months=480):
    return interpret(Record(narration="x", age_months=age_months, findings=findings)).next_tests


def test_foot_drop_asks_for_what_parts_nerve_from_root(written) -> None:
    tests = suggested(written(FOOT_DROP))
    assert len(tests) == 3
    keys = {"ankle_inversion", "ankle_eversion", "hip_abduction", "knee_flexion"}
    assert keys & {t.segment for t in tests}
    assert "would separate" in tests[0].text and tests[0].separates


def test_tests_are_ordered_and_at_different_places(written) -> None:
    tests = suggested(written(FOOT_DROP))
    bits = [t.information_bits for t in tests]
    assert bits == sorted(bits, reverse=True) and all(b > 0 for b in bits)
    assert len({(t.modality, t.segment) for t in tests}) == 3


def test_what_was_done_or_could_not_be_judged_is_not_asked_for(written) -> None:
    first = suggested(written(FOOT_DROP))[0]
    for grade in ("not_assessable", "5" if first.modality == "power" else "normal"):
        done = f"; {first.modality} {first.segment} {first.side} {grade}"
        again = suggested(written(FOOT_DROP + done))
        assert (first.modality, first.segment, first.side) not in {
            (t.modality, t.segment, t.side) for t in again
        }


def test_what_was_left_out_may_be_asked_for(written) -> None:
    first = suggested(written(FOOT_DROP))[0]
    left_out = f"; {first.modality} {first.segment} {first.side} not_examined"
    assert suggested(written(FOOT_DROP + left_out))[0] == first


def test_a_region_graded_as_a_whole_is_done(written) -> None:
    tests = suggested(written(FOOT_DROP + "; power lower_limb left 5; power lower_limb right 5"))
    assert not [t for t in tests if t.modality == "power" and "ankle" in t.segment]


def test_information_is_the_expected_fall_of_entropy(model, located) -> None:
    posterior = located(FOOT_DROP)
    forms, by_form = leading_forms(model, posterior.joint.sum(0))
    steps = np.arange(0, len(plan(model).steps), 29)
    reports = chances(model, 480, steps, forms)
    fast = information(model.site_of[forms], by_form, reports)

    def entropy(weights: np.ndarray) -> float:
        shares = np.bincount(model.site_of[forms], weights) / max(weights.sum(), 1e-300)
        return float(-(shares[shares > 0] * np.log2(shares[shares > 0])).sum())

    assert reports.sum(0) == pytest.approx(1, abs=1e-6)
    for i in range(len(steps)):
        after = sum(
            (by_form * reports[r, i]).sum() * entropy(by_form * reports[r, i]) for r in range(3)
        )
        assert fast[i] == pytest.approx(max(0.0, entropy(by_form) - after), abs=1e-6)


def test_nothing_observed_gives_no_place_and_no_test() -> None:
    result = interpret(Record(narration="x", age_months=60, findings=()))
    assert result.sites == () and result.next_tests == () and result.two_sites is None
