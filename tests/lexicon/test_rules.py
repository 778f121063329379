"""The rules of interpretation: the loader refuses bad data, all faults at once."""

import pytest
from plessor.lexicon import DataError, load
from plessor.lexicon.files import read_text
from plessor.lexicon.rules import FILES, Step, load_rules, rules_from

COVERAGE, GRADES, CAUTIONS = (read_text(name) for name in FILES)


def faults(coverage: str = COVERAGE, grades: str = GRADES, cautions: str = CAUTIONS) -> list[str]:
    with pytest.raises(DataError) as caught:
        rules_from(coverage, grades, cautions, lexicon=load())
    head, *lines = str(caught.value).splitlines()
    assert head.startswith(f"The rules have {len(lines)} fault(s)")
    return lines


def test_rules_of_the_package_have_no_faults() -> None:
    rules = load_rules()
    assert rules is load_rules()
    assert set(rules.scales) == set(load().vocabulary.scales)
    assert rules.standing


BAD_STEP = """
[[step]]
id = "made"
title = "made"
short = "made"
examinations = ["upper_limbs"]
group = "powr"
modalities = ["power"]
places = ["elbow_flexon"]
norm = "tandem_gait"
from_months = 61
source = ""
source_kind = "house"
"""


def test_a_step_without_a_source_is_refused_before_its_codes_are_read() -> None:
    (fault,) = faults(coverage=COVERAGE + BAD_STEP)
    assert fault.startswith("rules/coverage.toml: step made: source: ")


def test_all_faults_of_all_files_are_told_at_once() -> None:
    coverage = COVERAGE + BAD_STEP.replace('source = ""', 'source = "somebody"')
    grades = GRADES.replace('normal = ["flexor"]', 'normal = ["flexer"]')
    cautions = CAUTIONS.replace("sign ({what})", "sign ({who})", 1)
    found = faults(coverage, grades, cautions)
    for words in (
        "step made: unknown “powr”; did you mean “power”?",
        "step made: unknown “elbow_flexon”; did you mean “elbow_flexion”?",
        "step made: no row of age_norms.csv for tandem_gait begins at 61",
        "scale plantar: unknown “flexer”; did you mean “flexor”?",
        "caution brisk_reflexes_alone: text may hold {what} only",
    ):
        assert any(words in fault for fault in found), words


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("urgent = true", "urgnt = true"), "urgnt: Extra inputs are not permitted"),
        (('id = "saddle_loss"', 'id = "plantar_infant"'), "the id stands there twice"),
        (('kind = "same_limb"', 'kind = "same_leg"'), "kind: Input should be"),
        (("standing = ", "standng = "), "the sentence “standing” is missing"),
        (('places = ["trunk"]', 'places = ["trnk"]'), "unknown “trnk”; did you mean “trunk”?"),
        (('grades = ["extensor"]', 'grades = ["extensr"]'), "did you mean “extensor”?"),
        (("ages = { power", "ages = { pwer"), "unknown “pwer”; did you mean “power”?"),
        (("[[caution]]", "[[caution]"), "is not TOML"),
    ],
)
def test_a_fault_of_the_cautions_is_named(change: tuple[str, str], words: str) -> None:
    assert any(words in fault for fault in faults(cautions=CAUTIONS.replace(*change, 1)))


def test_a_scale_cannot_be_missing() -> None:
    missing = GRADES.replace('id = "gait"', 'id = "gate"', 1)
    found = faults(grades=missing)
    assert any("scale gait: is missing" in fault for fault in found)
    assert any("unknown “gate”" in fault for fault in found)


def test_every_rule_has_a_source_and_every_step_something_to_count() -> None:
    rules = load_rules()
    for rule in (*rules.steps, *rules.scales.values(), *rules.accepted, *rules.cautions):
        assert rule.source and rule.source_kind
        if isinstance(rule, Step):
            assert rule.modalities or rule.groups
