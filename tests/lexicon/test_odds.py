"""The numbers of localisation: all sourced, in bounds, and as published where they are.

Published rates: ankle jerks and vibration over 60, Vrancken et al. 2006, J Neurol 253:578-589 (23
and 29 per cent); abdominal reflexes, Campbell, DeJong's The Neurologic Examination (15 per cent of
65 young people) and Neurology 1957;7:459 (34.5 per cent above 50); cremasteric reflex, Caesar and
Kaplan 1994, J Urol 152:779-780 (present in 45 per cent at 1 to 30 months).
"""

import pytest
from plessor.lexicon import load
from plessor.lexicon.odds import Numbers, load_odds, odds_faults

ODDS = load_odds()


def rate(modality: str, age_months: int) -> tuple[float, float]:
    """Less and more than normal in health, of the last entry without places that fits."""
    fitting = [
        r
        for r in ODDS.rate
        if modality in r.modalities and r.holds_at(age_months) and not r.segments
    ]
    return fitting[-1].down, fitting[-1].up


@pytest.mark.parametrize(
    ("modality", "age_months", "down"),
    [
        ("abdominal_reflex", 240, 0.15),
        ("abdominal_reflex", 660, 0.345),
        ("cremasteric_reflex", 12, 0.55),
        ("cremasteric_reflex", 100, 0.28),
    ],
)
def test_published_rates_are_kept(modality, age_months, down) -> None:
    assert rate(modality, age_months)[0] == pytest.approx(down)


def test_age_takes_ankle_jerks_and_vibration_about_as_often_as_published() -> None:
    (aged,) = (c for c in ODDS.constitution if c.id == "aged")
    assert aged.from_months == 720
    for modality, segment, published in (
        ("reflex", "ankle_jerk", 0.23),
        ("vibration", "great_toe", 0.29),
    ):
        (result,) = (r for r in aged.results if modality in r.modalities)
        own = [
            r.down
            for r in ODDS.rate
            if modality in r.modalities and segment in r.segments and r.holds_at(800)
        ][-1]
        total = aged.share * (1 - (1 - own) * (1 - result.down)) + (1 - aged.share) * own
        assert total == pytest.approx(published, abs=0.05)


@pytest.mark.parametrize(
    ("modality", "earlier", "later", "which"),
    [  # age_norms.csv: what is accepted of the young is rare in the old
        ("plantar_response", 6, 36, 1),
        ("clonus", 1, 12, 1),
        ("romberg_sign", 48, 120, 1),
        ("tandem_gait", 48, 120, 0),
        ("heel_shin", 60, 120, 0),
        ("stereognosis", 60, 120, 0),
        ("gowers_sign", 12, 48, 1),
    ],
)
def test_rates_fall_with_age_as_the_norms_say(modality, earlier, later, which) -> None:
    assert rate(modality, earlier)[which] > 3 * rate(modality, later)[which]


def test_every_modality_but_free_words_has_a_rate_in_adults() -> None:
    rated = {m for r in ODDS.rate for m in r.modalities if r.holds_at(480)}
    assert rated == {*load().vocabulary.modalities}


def test_every_number_is_named_an_assumption_or_sourced() -> None:
    entries = [getattr(ODDS, name) for name in type(ODDS).model_fields]
    for entry in (e for item in entries for e in (item if isinstance(item, tuple) else (item,))):
        assert entry.source and entry.source_kind


def test_the_shares_add_up() -> None:
    assert sum(ODDS.prior.values.values()) < 1.2
    degrees = ODDS.peripheral
    assert degrees["full"] + degrees["mild"] + degrees["sensory"] == pytest.approx(1)
    for site in {f.site for f in ODDS.form}:
        for sided in (False, True):
            weights = [f.weight for f in ODDS.form if f.site == site and f.sided is sided]
            assert not weights or sum(weights) == pytest.approx(1, abs=0.03), site


def test_a_site_without_prior_is_a_fault() -> None:
    values = {k: v for k, v in ODDS.prior.values.items() if k != "root"}
    odds = ODDS.model_copy(update={"prior": ODDS.prior.model_copy(update={"values": values})})
    assert list(odds_faults(odds, load())) == ["prior: root is missing"]


def test_an_unknown_place_in_a_form_is_a_fault() -> None:
    form = ODDS.form[0]
    both = form.both.model_copy(update={"muscle": {"elbows": 0.5}})
    odds = ODDS.model_copy(update={"form": (form.model_copy(update={"both": both}),)})
    assert list(odds_faults(odds, load())) == [f"form {form.id}: unknown place “elbows”"]


def test_numbers_are_read_by_name() -> None:
    assert isinstance(ODDS.strength, Numbers) and ODDS.strength["strong"] > ODDS.strength["weak"]
