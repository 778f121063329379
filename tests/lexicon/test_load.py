"""The loader finds every fault of the data at once."""

import dataclasses

import pytest
from plessor.lexicon import Dermatome, Lexicon, Term, load
from plessor.lexicon.load import faults_of


def a_term(**changes: object) -> Term:
    fields = {
        "kind": "segment",
        "code": "knee_jerk",
        "spoken": ("knee jerk",),
        "plural": (),
        "implies": None,
        "segment": None,
        "scale": None,
        "source": "somebody",
        "source_kind": "house",
        "note": "",
        "place": "terms/made.csv:2",
    }
    return Term(**{**fields, **changes})


def test_load_gives_one_lexicon_without_faults() -> None:
    assert load() is load()
    assert list(faults_of(load())) == []
    assert len(load().version) == 12


def test_faults_are_all_told_at_once() -> None:
    good = load()
    thumb = next(row for row in good.tables.dermatomes if row.site == "thumb")
    broken = Lexicon(
        vocabulary=good.vocabulary,
        terms=(
            a_term(),
            a_term(code="knee_jirk", spoken=("kneejerk",), place="terms/made.csv:3"),
            a_term(place="terms/made.csv:4", kind="muscle", code="elbow_flexion", source=""),
            a_term(place="terms/made.csv:5", spoken=()),
            a_term(place="terms/made.csv:6", kind="nonsense"),
            a_term(place="terms/made.csv:7", spoken=("Knee-jerk",)),
        ),
        tables=dataclasses.replace(
            good.tables,
            dermatomes=(dataclasses.replace(thumb, level="C9", site_kind="region", source=""),),
        ),
        version="",
    )
    faults = list(faults_of(broken))
    assert [f.partition(": ")[0] for f in faults] == [
        "terms/made.csv:3",
        "terms/made.csv:4",
        "terms/made.csv:5",
        "terms/made.csv:6",
        "terms/made.csv:7",
        "reference/dermatomes.csv",
        "reference/dermatomes.csv",
    ]
    assert "did you mean “knee_jerk”?" in faults[0]
    assert "terms/made.csv:2 already" in faults[4]
    assert "C9" in faults[5]
    assert "no source" in faults[6]


@pytest.mark.parametrize("kind", ["modality", "segment", "side", "muscle", "grade"])
def test_faults_tell_of_an_unknown_code_of_every_kind(kind: str) -> None:
    term = a_term(kind=kind, code="no_such_code", spoken=("no such code",))
    faults = list(faults_of(dataclasses.replace(load(), terms=(term,))))
    assert len(faults) == 1
    assert "no_such_code" in faults[0]


def test_every_row_of_the_tables_can_be_held_by_its_type() -> None:
    assert all(
        isinstance(row, Dermatome) and row.rank in (1, 2) for row in load().tables.dermatomes
    )
