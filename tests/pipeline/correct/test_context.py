"""How well a word fits its neighbours."""

from __future__ import annotations

import pytest
from plessor.lexicon.files import names, read_rows
from plessor.pipeline.correct.context import START, Context, ordinary, read_context, surroundings


@pytest.fixture(scope="module")
def context() -> Context:
    return read_context()


def p(context: Context, before: str, word: str) -> float:
    kinds = [START, START, *(context.kind(w) for w in before.split())]
    return context.trade(kinds[-2], kinds[-1], word, 0.1)


@pytest.mark.parametrize(
    ("before", "fits", "not_so"),
    [
        ("elbow flexion", "four", "gait"),
        ("knee and ankle", "jerks", "tone"),
        ("plantars are", "downgoing", "waddling"),
        ("power is five out of", "five", "normal"),
        ("no", "clonus", "five"),
    ],
)
def test_context_expects_the_formulas_of_an_examination(
    context: Context, before: str, fits: str, not_so: str
) -> None:
    assert p(context, before, fits) > 3 * p(context, before, not_so)


def test_context_probabilities_of_classes_add_up_to_one_at_most(context: Context) -> None:
    kinds = set(context.class_of.values())
    for first, second in ((START, START), ("JOINT", "MOVE"), ("on", "the")):
        total = sum(context.class_probability(first, second, k, 0.1) for k in kinds)
        assert 0.5 < total <= 1.0001


def test_ordinary_knows_english_and_nothing_else() -> None:
    # wordfreq 3.1.1: "the" is about one word in twenty; a made-up word is none
    assert 0.03 < ordinary("the") < 0.08
    assert ordinary("dysparecogenesia") == 0


def test_surroundings_of_prose_and_of_findings() -> None:
    assert max(surroundings([False] * 40)) < 0.1
    assert min(surroundings([True] * 40)) > 0.7
    assert surroundings([]) == []


def test_sound_tables_name_their_source() -> None:
    for name in ("pronunciations", "homophones", "spellings", "opposites"):
        file = f"sounds/{name}.csv"
        assert file in names("sounds", ".csv")
        assert all(row["source"] for _, row in read_rows(file))


def test_mishearings_were_seen_in_two_sentences_at_least() -> None:
    rows = [row for _, row in read_rows("sounds/heard_as.csv")]
    assert rows
    assert all(int(row["sentences"]) >= 2 and row["voices"] for row in rows)
