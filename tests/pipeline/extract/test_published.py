"""Published lists of wording, and published scales, against what is made of them.

NegEx and ConText are lists of the wording by which clinical reports deny a thing, put it in the
past, suppose it, or say it of somebody else. A sentence of ours stands for every entry that can
be said in an examination; entries about pictures and pathology are left out.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

Found = Callable[[str], set[str]]

# NegEx (Chapman et al. 2001, J Biomed Inform 34:301-310), pre- and post-condition phrases as
# listed by the authors (github.com/chapmanbe/negex, NegExTerms.md).
DENIED = [
    "Absence of wasting in the left hand.",
    "I cannot see wasting of the left hand.",
    "Checked for wasting of the left hand.",
    "He denied weakness of the left arm.",
    "She denies weakness of the left arm.",
    "Evaluate for wasting of the left hand.",
    "Examination fails to reveal wasting of the left hand.",
    "The left hand is free of wasting.",
    "Negative for wasting of the left hand.",
    "He never developed wasting of the left hand.",
    "He never had wasting of the left hand.",
    "No wasting of the left hand.",
    "No abnormal movements of the left hand.",
    "No evidence of wasting of the left hand.",
    "No new wasting of the left hand.",
    "No other evidence of wasting of the left hand.",
    "No new evidence of wasting of the left hand.",
    "No evidence to suggest wasting of the left hand.",
    "No findings of wasting in the left hand.",
    "No findings to indicate wasting of the left hand.",
    "No sign of wasting of the left hand.",
    "No signs of wasting of the left hand.",
    "No significant wasting of the left hand.",
    "No suggestion of wasting of the left hand.",
    "No suspicious wasting of the left hand.",
    "The left hand is not wasted.",
    "Wasting of the left hand does not appear.",
    "I did not appreciate wasting of the left hand.",
    "It is not associated with wasting of the left hand.",
    "The left hand does not demonstrate wasting.",
    "The left hand does not exhibit wasting.",
    "I do not feel spasticity in the left leg.",
    "He has not had wasting of the left hand.",
    "The left hand does not have wasting.",
    "He is not known to have wasting of the left hand.",
    "Inspection did not reveal wasting of the left hand.",
    "I do not see wasting of the left hand.",
    "There does not seem to be wasting of the left hand.",
    "Tone is normal rather than increased in the left leg.",
    "Test for clonus at the left ankle.",
    "To exclude clonus at the left ankle.",
    "The left hand is unremarkable for wasting.",
    "A left hand with no wasting.",
    "Without wasting of the left hand.",
    "Without any evidence of wasting of the left hand.",
    "Without evidence of wasting of the left hand.",
    "Without indication of wasting of the left hand.",
    "Without sign of wasting of the left hand.",
    "This rules out wasting of the left hand.",
    "We ruled out wasting of the left hand.",
    "Rule out wasting of the left hand.",
    "Wasting of the left hand is unlikely.",
    "The left hand is wasting free.",
    "Wasting of the left hand was ruled out.",
    "Wasting of the left hand has been ruled out.",
]

# ConText (Harkema et al. 2009, J Biomed Inform 42:839-851), historical triggers as listed by the
# authors (github.com/chapmanbe/negex, genConText/history_triggers.txt).
HISTORICAL = [
    "History of weakness of the left arm.",
    "In the past for weakness of the left arm he was seen elsewhere.",
    "Status post wasting of the left hand.",
]

# The same, hypothetical triggers (genConText/hypothetical_triggers.txt).
HYPOTHETICAL = [
    "If the left plantar is extensor we scan.",
    "Return if the left arm is weak.",
    "Returning if the left arm is weak.",
    "Should he have weakness of the left arm, we scan.",
    "Should she have weakness of the left arm, we scan.",
    "Should there be weakness of the left arm, we scan.",
    "Should the left arm become weak, we scan.",
    "Call if there is weakness of the left arm.",
    "Come back for weakness of the left arm.",
    "Come back to us with any weakness of the left arm.",
    "Look out for weakness of the left arm.",
]

# The same paper, experiences of somebody else; which kin are named is ours.
SOMEBODY_ELSE = [
    "His mother has weakness of the left arm.",
    "Her father had wasting of both calves.",
    "His brother has absent ankle jerks.",
    "Her sister has weakness of the left arm.",
    "His aunt has wasting of the left hand.",
    "An uncle had wasting of both calves.",
    "His grandmother has a tremor of both hands.",
    "Her grandfather had a tremor of both hands.",
    "Family history of wasting in both calves.",
    "There is a family history of weakness in the legs.",
    "His cousin has weakness of the legs.",
]

HEALTHY = {"absent", "normal", "flexor", "5"}


@pytest.mark.parametrize("said", [*DENIED, *HISTORICAL, *HYPOTHETICAL, *SOMEBODY_ELSE])
def test_a_published_cue_keeps_the_sign_from_being_found(found: Found, said: str) -> None:
    # Denied is not present; past, supposed and other people's signs are none of this child's.
    got = found(said)
    if said not in DENIED:
        assert got == set()
    assert {row.split()[-1] for row in got} <= HEALTHY, got


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        # NegEx pseudo-negations: "without difficulty" denies nothing.
        ("Heel walking was done without difficulty.", "heel_walking none none normal"),
        # ConText terminators: "but", "today", "currently" end the reach of a cue.
        ("Last year the knee jerk was absent but today the left knee jerk is two plus.",
         "reflex knee_jerk left normal"),
        ("No wasting of the left hand but there is fasciculation of the left hand.",
         "wasting hand left absent; fasciculation hand left present"),
    ],
)  # fmt: skip
def test_a_published_exception_still_gives_the_finding(
    found: Found, rows: Found, said: str, wanted: str
) -> None:
    assert found(said) == rows(wanted)


# Medical Research Council 1976, Aids to the Examination of the Peripheral Nervous System,
# Memorandum No. 45: no contraction, flicker or trace, gravity eliminated, against gravity,
# against gravity and resistance, normal power; 4 may be divided into 4-, 4 and 4+.
MRC = [
    ("Left hip flexion is grade zero.", "power hip_flexion left 0"),
    ("Left hip flexion is grade one.", "power hip_flexion left 1"),
    ("Left hip flexion is grade two.", "power hip_flexion left 2"),
    ("Left hip flexion is grade three.", "power hip_flexion left 3"),
    ("Left hip flexion is grade four.", "power hip_flexion left 4"),
    ("Left hip flexion is grade five.", "power hip_flexion left 5"),
    ("Left hip flexion is a flicker of contraction.", "power hip_flexion left 1"),
    ("Left hip flexion is four minus.", "power hip_flexion left 4-"),
    ("Left hip flexion is four plus.", "power hip_flexion left 4+"),
    ("Left hip flexion is of normal power.", "power hip_flexion left normal"),
]  # fmt: skip

# NINDS Myotatic Reflex Scale (Hallett 1993, Neurology 43:2723): 0 reflex absent; 1 small, less
# than normal, includes a trace response or one brought out only with reinforcement; 2 and 3 in
# the lower and upper half of the normal range; 4 enhanced, more than normal. The annotation
# guide departs from it for 3+, which is bedside talk for brisk.
NINDS = [
    ("Left knee jerk is zero.", "reflex knee_jerk left absent"),
    ("Left knee reflex is absent.", "reflex knee_jerk left absent"),
    ("Left knee jerk is one plus.", "reflex knee_jerk left reduced"),
    ("Left knee jerk is a trace.", "reflex knee_jerk left reduced"),
    ("Left knee jerk only with reinforcement.", "reflex knee_jerk left reduced"),
    ("Left knee jerk is two.", "reflex knee_jerk left normal"),
    ("Left knee jerk is four.", "reflex knee_jerk left increased"),
]

# Bohannon and Smith 1987, Phys Ther 67:206-207: 0 no increase in muscle tone, 1 slight increase,
# 1+, 2 more marked, 3 considerable, 4 rigid.
ASHWORTH = [
    ("Modified Ashworth zero at the left ankle.", "tone ankle left normal"),
    ("Modified Ashworth one at the left ankle.", "tone ankle left increased"),
    ("Modified Ashworth one plus at the left ankle.", "tone ankle left increased"),
    ("Modified Ashworth two at the left ankle.", "tone ankle left increased"),
    ("Ashworth three at the left ankle.", "tone ankle left increased"),
    ("Ashworth is four at the left ankle.", "tone ankle left increased"),
    ("Tone is not increased at the left ankle.", "tone ankle left normal"),
]

# ISNCSCI worksheet (ASIA and ISCoS), sensory: 0 absent, 1 altered, 2 normal, NT not testable;
# key muscles C5 elbow flexors, C6 wrist extensors, C7 elbow extensors, C8 finger flexors,
# T1 finger abductors, L2 hip flexors, L3 knee extensors, L4 ankle dorsiflexors, L5 long toe
# extensors, S1 ankle plantar flexors.
ISNCSCI = [
    ("Light touch at L four on the left is zero.", "light_touch L4 left absent"),
    ("Light touch at L four on the left is one.", "light_touch L4 left reduced"),
    ("Light touch at L four on the left is two.", "light_touch L4 left normal"),
    ("Light touch at L four on the left is absent.", "light_touch L4 left absent"),
    ("Light touch at L four on the left is impaired.", "light_touch L4 left reduced"),
    ("Light touch at L four on the left is normal.", "light_touch L4 left normal"),
    ("Light touch at L four on the left is not testable.", "light_touch L4 left not_assessable"),
    ("Left elbow flexors three.", "power elbow_flexion left 3"),
    ("Left wrist extensors three.", "power wrist_extension left 3"),
    ("Left elbow extensors three.", "power elbow_extension left 3"),
    ("Left finger flexors three.", "power finger_flexion left 3"),
    ("Left finger abductors three.", "power finger_abduction left 3"),
    ("Left hip flexors three.", "power hip_flexion left 3"),
    ("Left knee extensors three.", "power knee_extension left 3"),
    ("Left ankle dorsiflexors three.", "power ankle_dorsiflexion left 3"),
    ("Left long toe extensors three.", "power great_toe_extension left 3"),
    ("Left ankle plantar flexors three.", "power ankle_plantarflexion left 3"),
]


@pytest.mark.parametrize(("said", "wanted"), [*MRC, *NINDS, *ASHWORTH, *ISNCSCI])
def test_published_scales_give_their_grades(
    found: Found, rows: Found, said: str, wanted: str
) -> None:
    assert found(said) == rows(wanted)


# Definitions worded as the scales word them.
@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("Grade zero means no contraction.", "grade_meaning mrc 0"),
        ("Grade one is a flicker or trace of contraction.", "grade_meaning mrc 1"),
        ("Grade two is active movement with gravity eliminated.", "grade_meaning mrc 2"),
        ("Grade three is active movement against gravity.", "grade_meaning mrc 3"),
        ("Grade four is active movement against gravity and resistance.", "grade_meaning mrc 4"),
        ("Grade five is normal power.", "grade_meaning mrc 5"),
        ("For a reflex, zero means absent.", "grade_meaning reflex absent"),
        ("For a reflex, two means a normal response.", "grade_meaning reflex normal"),
        ("On the Ashworth scale, zero means no increase in tone.", "grade_meaning tone normal"),
        ("On the Ashworth scale, two means a more marked increase in tone.",
         "grade_meaning tone increased"),
    ],
)  # fmt: skip
def test_published_definitions_are_claims_and_no_findings(
    claimed: Found, found: Found, said: str, wanted: str
) -> None:
    assert claimed(said) == {wanted}
    assert found(said) == set()
