"""Weights of evidence in decibans: ten times the common logarithm of a likelihood ratio.

Good 1950, Probability and the Weighing of Evidence: weights add up, and a ratio of ten is ten
decibans (one ban). The example is the textbook's own arithmetic, not ours.
"""

import math

import pytest
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record

FOOT_DROP = (
    "power ankle_dorsiflexion left 1; power great_toe_extension left 1;"
    " power ankle_eversion left 2;"
    "power ankle_inversion left 5; power hip_abduction left 5; reflex ankle_jerk left normal;"
    "pinprick dorsum_of_foot left reduced; pinprick sole left normal"
)


@pytest.fixture
def foot_drop(written):
    return interpret(Record(narration="x", age_months=480, findings=written(FOOT_DROP)))


def test_weights_name_their_findings_and_rows(foot_drop) -> None:
    site = foot_drop.sites[0]
    assert (site.site, site.which, site.side) == ("nerve", "common_fibular", "left")
    assert {i for w in site.evidence for i in w.findings} == set(range(8))
    for weight in site.evidence:
        tables = {row.table for row in weight.rows}
        assert "reference/nerves.csv" in tables and all(row.source for row in weight.rows)
    sizes = [max(abs(w.decibans), abs(w.against_next)) for w in site.evidence]
    assert sizes == sorted(sizes, reverse=True)


def test_normal_inversion_speaks_for_the_nerve_against_the_root(written) -> None:
    # Epomedicine, Foot drop: differentials: inversion parts the fibular nerve from L5.
    record = Record(narration="x", age_months=480, findings=written(FOOT_DROP))
    nerve, second = interpret(record).sites[:2]
    (inversion,) = (
        w for w in nerve.evidence if record.findings[w.findings[0]].segment == "ankle_inversion"
    )
    assert second.site != "nerve" or second.which != nerve.which
    root = next(s for s in interpret(record).sites if s.site == "root")
    (there,) = (w for w in root.evidence if w.findings == inversion.findings)
    assert there.decibans < -1 < inversion.decibans + 1


def test_weights_account_for_the_odds_against_normal(foot_drop, model, located) -> None:
    # With one form that carries the posterior, the weights add up to posterior over prior odds.
    site = foot_drop.sites[0]
    normal = located(FOOT_DROP).probability[0]
    number = [(k.site, k.which, k.side) for k in model.sites].index(
        (site.site, site.which, site.side)
    )
    before, after = located("").probability, located(FOOT_DROP).probability
    whole = 10 * math.log10(after[number] / normal / (before[number] / before[0]))
    assert sum(w.decibans for w in site.evidence) == pytest.approx(whole, abs=6)


def test_unexplained_findings_are_named(written) -> None:
    short = FOOT_DROP + "; rigidity upper_limb right present"
    record = Record(narration="x", age_months=480, findings=written(short))
    site = interpret(record).sites[0]
    assert [record.findings[i].modality for i in site.unexplained] == ["rigidity"]
