"""The word lists of extraction: what is refused, and that every fault is told at once."""

from __future__ import annotations

import re

import pytest
from plessor.lexicon import DataError, load
from plessor.lexicon.files import read_text
from plessor.lexicon.words import FILE, load_words, words_from

# No outside source: the lists are our own, and so are the checks.


def faults_of(text: str) -> list[str]:
    with pytest.raises(DataError) as caught:
        words_from(text, vocabulary=load().vocabulary)
    return str(caught.value).splitlines()[1:]


def changed(old: str, new: str) -> str:
    text = read_text(FILE)
    assert text.count(old) == 1
    return text.replace(old, new)


def test_words_of_the_package_have_no_faults() -> None:
    assert load_words() == words_from(read_text(FILE), vocabulary=load().vocabulary)


def test_a_list_takes_in_the_lists_it_names() -> None:
    words = load_words()
    assert words.openers < words.opening_words < words.heading_fillers


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('id = "hesitations"', 'id = "hesitation"', "hesitations: Field required"),
        ('id = "hesitations"', 'id = "hesitation"', "hesitation: Extra inputs"),
        ('id = "joining"', 'id = "going"', "going: the id stands twice"),
        ('words = ["going", ', 'word = ["going", ', "going: word: Extra inputs"),
        ('words = ["going", "go", "goes"]', "words = []", "going: words: Tuple should have"),
        ('words = ["going", ', 'words = ["go", ', "going: “go” stands twice"),
        ('words = ["going", ', 'words = ["Going", ', "going: “Going” is not one atom"),
        ('words = ["going", ', 'words = ["don\'t go", ', "is not one atom as it is heard"),
        ('includes = ["list_words"]', 'includes = ["lists"]', "includes “lists”, which is no list"),
        ('codes = ["truncal_ataxia"]', 'codes = ["truncal"]', "unknown modality “truncal”"),
        ('knee = "knee_jerk"', 'knee = "knee"', "unknown segment:reflex “knee”"),
        ('kind = "grade:presence"', 'kind = "grade:presense"', "unknown kind “grade:presense”"),
        ("# Repairs and phrases", "[[wordz]]", "unknown table “wordz”"),
    ],
)
def test_words_with_a_fault_are_refused(old: str, new: str, fault: str) -> None:
    faults = faults_of(changed(old, new))
    assert any(fault in f for f in faults), faults


def test_all_faults_of_words_are_told_at_once() -> None:
    text = changed('words = ["going", ', 'words = ["go", ').replace('"knee_jerk"', '"knee"', 1)
    assert len(faults_of(text)) == 2


def test_words_that_are_no_toml_are_refused() -> None:
    assert re.search("is not TOML", faults_of("words = [")[0])
