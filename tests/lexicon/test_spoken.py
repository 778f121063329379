"""The spoken form: one spelling for everything that is compared."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from plessor.lexicon import atoms, load, spoken_form


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("C5", "C5"),
        ("c-5", "C5"),
        ("C five", "C5"),
        ("see five", "see 5"),
        ("T-twelve", "T12"),
        ("C9", "c 9"),  # no such level
        ("C1", "c 1"),  # C1 has no skin and is not in the vocabulary
        ("L4/5", "L4 and L5"),
        ("C5-T1", "C5 to T1"),
        ("5/5", "5 out of 5"),
        ("4+/5", "4 plus out of 5"),
        ("4-/5", "4 minus out of 5"),
        ("four plus", "4 plus"),
        ("3-", "3 minus"),
        ("2+", "2 plus"),
        ("and/or", "and / or"),
        ("finger-nose", "finger nose"),
        ("Babinski’s sign.", "babinskis sign ."),
        ("D.I.P. joint", "d i p joint"),
        ("05", "5"),
        ("", ""),
    ],
)
def test_spoken_form_of_what_recognisers_write(written: str, spoken: str) -> None:
    assert " ".join(spoken_form(written)) == spoken


@pytest.mark.parametrize("written", ["C five", "C-5", "c5", "C 5", "C5"])
def test_spoken_form_is_one_for_all_spellings_of_a_level(written: str) -> None:
    assert spoken_form(written) == ("C5",)


@given(st.lists(st.text()))
@example(["c", "²"])  # a digit to str.isdigit, not to int
@example(["1" * 5000])  # longer than int() reads
@example(["c", "1" * 5000])
@example(["L4/²"])
def test_atoms_of_any_text_name_their_words_in_order(words: list[str]) -> None:
    found = [atom.word for atom in atoms(words)]
    assert found == sorted(found)
    assert all(0 <= index < len(words) for index in found)


@given(st.lists(st.text()))
def test_atoms_are_never_empty_and_hold_no_space(words: list[str]) -> None:
    assert all(atom.text and not any(c.isspace() for c in atom.text) for atom in atoms(words))


@given(st.lists(st.sampled_from(["C5", "T12", "4", "plus", "jerk", "tone", ",", "out", "of"])))
def test_spoken_form_of_a_spoken_form_is_itself(parts: list[str]) -> None:
    once = spoken_form(" ".join(parts))
    assert spoken_form(" ".join(once)) == once


def test_spoken_form_of_every_term_is_itself() -> None:
    for term in load().terms:
        for form in term.forms:
            assert spoken_form(" ".join(form)) == form, term.place
