"""How grades weigh, and a slow twin of the arithmetic.

Grades of power: Medical Research Council 1976, Memorandum No. 45 (4 moves against resistance,
3 against gravity only, 0 not at all). Reflexes: NINDS scale (Hallett 1993, Neurology 43:2723).
Ages: the rows of age_norms.csv named beside each case.
"""

import numpy as np
import pytest
from plessor.pipeline.interpret.localise.damage import SiteKey
from plessor.pipeline.interpret.localise.likelihood import log_likelihoods, rates_at
from plessor.pipeline.interpret.localise.reading import grade_chances, read_findings


def ratio(model, finding, key: SiteKey, age_months: int | None = 480) -> float:
    """Best log-likelihood ratio (natural) of a site's forms against nothing abnormal."""
    (terms, *_others) = log_likelihoods(model, read_findings(model, finding), age_months)
    forms = [i for i, h in enumerate(model.hypotheses) if h.key == key]
    return float(terms[0, forms].max() - terms[0, 0])


def test_the_weaker_the_grade_the_stronger_the_evidence(model, written) -> None:
    key = SiteKey("nerve", "common_fibular", "left")
    found = [
        ratio(model, written(f"power ankle_dorsiflexion left {grade}"), key)
        for grade in ("5", "5-", "4+", "4", "3")
    ]
    assert found == sorted(found) and found[0] < 0 < found[2] < found[3]
    assert found[2] < found[4] / 1.5  # 4+ is weak evidence beside 3


@pytest.mark.parametrize(
    ("finding", "site", "young", "old"),
    [  # age_norms.csv: plantar_response 0-12 and 24-; grasp 0-3 and 6-; clonus 0-2 and 8-
        ("plantar_response none left extensor", ("hemisphere", None, "right"), 6, 60),
        ("clonus ankle left present", ("bilateral_hemisphere", None, "none"), 1, 60),
        ("finger_nose none left impaired", ("cerebellum", None, "left"), 50, 200),
        ("tandem_gait none none impaired", ("cerebellar_midline", None, "none"), 40, 200),
        ("vibration great_toe left reduced", ("polyneuropathy", None, "none"), 900, 300),
    ],
)
def test_a_sign_weighs_less_at_an_age_that_has_it_in_health(
    model, written, finding, site, young, old
) -> None:
    key = SiteKey(*site)
    assert ratio(model, written(finding), key, young) < 0.6 * ratio(
        model, written(finding), key, old
    )


def test_brisk_reflexes_on_both_sides_alone_stay_normal(ranked) -> None:
    brisk = "reflex knee_jerk both increased; reflex biceps_jerk both increased"
    plain = "; plantar_response none both flexor; tone lower_limb both normal"
    assert ranked(brisk + plain, 90)[0].site == "normal"


def test_a_possible_finding_counts_less(model, written) -> None:
    (finding,) = written("power ankle_dorsiflexion left 3")
    possible = finding.model_copy(update={"certainty": "possible"})
    key = SiteKey("nerve", "common_fibular", "left")
    assert 0 < ratio(model, [possible], key) < ratio(model, [finding], key)


def test_what_was_not_examined_is_not_read(model, written) -> None:
    short = "power grip left not_examined; reflex knee_jerk both not_assessable"
    assert read_findings(model, written(short)) == []


def test_a_region_leaves_out_the_parts_that_were_graded_themselves(model, written) -> None:
    short = "power upper_limb left 5; power wrist_extension left 4; power upper_limb right 5"
    left, wrist, right = read_findings(model, written(short))
    assert "wrist_extension" not in left.leaves and wrist.leaves == ("wrist_extension",)
    assert "wrist_extension" in right.leaves


def test_a_repeated_finding_counts_once(model, written) -> None:
    once = read_findings(model, written("power grip left 4"))
    twice = read_findings(model, written("power grip left 4; power grip left 4"))
    assert sum(r.weight for r in twice) == pytest.approx(once[0].weight)


def test_slow_twin_agrees(model, written) -> None:
    """The arithmetic written out for one column and one hypothesis at a time."""
    findings = written(
        "power wrist_extension left 4; reflex triceps_jerk right absent; pinprick T8 left normal;"
        "tone lower_limb right increased; finger_nose none left impaired;"
        "hoffmann_sign none left present"
    )
    readings = read_findings(model, findings)
    fast = log_likelihoods(model, readings, 480)[0]
    rates, odds = rates_at(model.space, 480), model.odds
    for i, (finding, reading) in enumerate(zip(findings, readings, strict=True)):
        key, column = (finding.modality, reading.leaves[0]), reading.columns[0]
        given = grade_chances(model, finding.modality)[finding.grade]
        grades = len(model.space.lexicon.vocabulary.grades(finding.modality))
        group = model.space.lexicon.vocabulary.group(finding.modality)
        wrong = odds.weight["wrong"] / grades
        low, high = rates.down.get(key, 0.0), rates.up.get(key, 0.0)
        high *= 1 - low
        for h in range(0, len(model.hypotheses), 37):
            less = model.down[column, h]
            more = model.up[column, h] * (1 - less)
            slope = odds.marked["slope"] if finding.modality == "reflex" else model.slope[h]
            marked = less * max(slope * less, odds.marked["health"])
            free = 1 - low
            chances = (
                marked * free + low * odds.marked["health"],
                (less - marked) * free + low * (1 - odds.marked["health"]),
                (1 - less - more) * (1 - low - high),
                more * (1 - low - high) + (1 - less) * high,
            )
            slow = sum(g * c for g, c in zip(given, chances, strict=True))
            slow = slow * (1 - wrong) + wrong
            slow = odds.weight[group] * np.log(slow)
            assert fast[i, h] == pytest.approx(slow, abs=1e-4)


def test_what_health_does_on_both_sides_counts_as_one_cause(model, written) -> None:
    # age_norms.csv: what is accepted in health is "the same on both sides".
    both = read_findings(model, written("tremor hand both present"))
    one = read_findings(model, written("tremor hand left present"))
    normal_both = log_likelihoods(model, both, 480)[0][:, 0].sum()
    normal_one = log_likelihoods(model, one, 480)[0][:, 0].sum()
    assert 1.7 * normal_one < normal_both < normal_one


def test_chances_of_the_grades_add_up(model) -> None:
    vocabulary = model.space.lexicon.vocabulary
    for modality in vocabulary.modalities:
        if modality == "gait":
            continue
        chances = grade_chances(model, modality)
        # Words and numbers are two ways to write the same; so are "present" and its stages.
        words = {g for g in chances if g.isalpha()} if modality == "power" else {"present"}
        numbers = {g for g in chances if g not in words} if len(chances) > 2 else {*chances}
        ways = (words | {"absent"} if "mild" in chances else words, numbers)
        for kind in range(4):
            for way in ways if modality == "power" or "mild" in chances else ({*chances},):
                assert sum(chances[grade][kind] for grade in way) == pytest.approx(1, abs=0.02)
