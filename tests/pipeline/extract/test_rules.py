"""The wording rules: every cue against its own sentences, every marker found, bad data refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from plessor.lexicon import DataError, atoms, cues
from plessor.lexicon.cues import SILENT_KINDS, Cue, read_cues, read_markers
from plessor.lexicon.files import read_text
from plessor.lexicon.spoken import spoken_form
from plessor.lexicon.terms import wordings
from plessor.pipeline.extract import Extraction
from plessor.pipeline.extract.grading import readings
from plessor.pipeline.extract.kinds import OBSERVED
from plessor.pipeline.extract.language import language
from spacy.tokens import Doc

CUES = read_cues()
MARKERS = tuple(read_markers().values())
CUES_FILE, MARKERS_FILE, READINGS_FILE = (
    f"rules/{name}.toml" for name in ("cues", "markers", "readings")
)


def shows(cue: Cue, result: Extraction) -> bool:
    """Whether the sentence is told as what the cue says it is."""
    if cue.scope == "status":
        return any(h.cue.kind == cue.kind for u in result.utterances for h in u.status_hits())
    if cue.scope == "certainty":
        return any(f.certainty == "possible" for f in result.findings)
    return any(cue.kind in u.kinds for u in result.utterances)


@pytest.mark.parametrize("cue", CUES, ids=lambda cue: cue.id)
def test_every_cue_tells_its_own_sentences(
    extraction: Callable[[str], Extraction], cue: Cue
) -> None:
    for sentence in cue.match:
        result = extraction(sentence)
        if cue.kind != "plain":
            assert any(h.cue.id == cue.id for u in result.utterances for h in u.hits), sentence
            assert shows(cue, result), sentence
        else:  # it only keeps other cues from taking these words for theirs
            assert all(kind == OBSERVED for u in result.utterances for kind in u.kinds), sentence
            assert result.findings, sentence
        if cue.kind in SILENT_KINDS:
            assert not any(f.status == "observed" for f in result.findings), sentence
    for sentence in cue.no_match:
        result = extraction(sentence)
        assert not any(h.cue.id == cue.id for u in result.utterances for h in u.hits), sentence
        assert not shows(cue, result), sentence
        assert result.findings, sentence


@pytest.mark.parametrize("cue", CUES, ids=lambda cue: cue.id)
def test_every_wording_of_a_cue_can_be_heard(cue: Cue) -> None:
    # A wording whose atoms are not what the same words come to in speech never matches.
    finder = dict(language().pipeline)["plessor_utterances"]
    for phrase in cue.phrases:
        for wording in wordings(phrase):
            said = [a.text for a in atoms([*wording.split(), "knee"])]
            hits = finder._cues(Doc(language().vocab, words=said))
            found = {(a, b): [c.id for c in labels] for a, b, labels in hits}
            assert cue.id in found.get((0, len(said) - 1), []), wording


@pytest.mark.parametrize("marker", MARKERS, ids=lambda marker: marker.id)
def test_every_wording_of_a_marker_is_found(marker: cues.Marker) -> None:
    finder = dict(language().pipeline)["plessor_mentions"]
    for form in marker.forms():
        doc = Doc(language().vocab, words=list(form))
        hits = {(a, b): labels for a, b, labels in finder._markers(doc)}
        assert marker.id in hits.get((0, len(form)), []), form


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., list[str]]]:
    """Reads the rules with one file put in the place of the installed one; gives the faults."""

    def read(name: str, text: str) -> list[str]:
        monkeypatch.setattr(cues, "read_text", lambda n: text if n == name else read_text(n))
        read_cues.cache_clear()
        read_markers.cache_clear()
        with pytest.raises(DataError) as caught:
            read_cues() if name == CUES_FILE else read_markers()
        return str(caught.value).splitlines()

    yield read
    monkeypatch.undo()
    read_cues.cache_clear()
    read_markers.cache_clear()


GOOD_CUE = """
[[cue]]
id = "made"
kind = "plan"
scope = "sentence"
phrases = ["some day"]
source = "house"
source_kind = "house"
match = ["Some day we look at the knee jerks."]
no_match = ["The knee jerks are absent."]
"""


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('scope = "sentence"', 'scope = "sentence"\nreach = 3', "made: reach: Extra inputs"),
        ('kind = "plan"', 'kind = "plann"', "made: kind: Input should be"),
        ('scope = "sentence"', 'scope = "page"', "made: scope: Input should be"),
        ('source = "house"', 'source = ""', "made: source: "),
        ('source_kind = "house"', 'source_kind = "rumour"', "made: source_kind: "),
        ('match = ["Some day we look at the knee jerks."]', "match = []", "made: match: "),
        ('no_match = ["The knee jerks are absent."]', "", "made: no_match: Field required"),
        ('id = "made"', 'id = "plan"', "plan: the id stands twice"),
        ('phrases = ["some day"]', 'phrases = ["-"]', "made: an empty wording"),
    ],
)
def test_a_fault_of_a_cue_is_named(
    broken: Callable[..., list[str]], old: str, new: str, words: str
) -> None:
    assert old in GOOD_CUE
    head, *faults = broken(CUES_FILE, read_text(CUES_FILE) + GOOD_CUE.replace(old, new))
    assert head.startswith(f"The rules have {len(faults)} fault(s)")
    assert any(fault.startswith(f"{CUES_FILE}: {words}") for fault in faults), faults


def test_all_faults_of_the_cues_are_told_at_once(broken: Callable[..., list[str]]) -> None:
    bad = GOOD_CUE.replace('kind = "plan"', 'kind = "plann"\ncolour = "red"')
    head, *faults = broken(CUES_FILE, bad + GOOD_CUE.replace('"house"', '""'))
    assert len(faults) >= 4, faults
    assert head.startswith(f"The rules have {len(faults)} fault(s)")


@pytest.mark.parametrize("text", ["[[marker]", "[[other]]\nid = 1\n"])
def test_a_file_that_is_no_list_of_rules_is_refused(
    broken: Callable[..., list[str]], text: str
) -> None:
    (line,) = broken(MARKERS_FILE, text)
    assert line.startswith(f"{MARKERS_FILE} cannot be read as rules: ")


def test_unknown_keys_and_repeats_of_markers_are_refused(
    broken: Callable[..., list[str]],
) -> None:
    bad = (
        '[[marker]]\nid = "one"\nphrases = ["one"]\nsource = "house"\nsource_kind = "house"\n'
        '[[marker]]\nid = "one"\nphrases = ["two"]\nsource = "house"\nsource_kind = "house"\n'
        '[[marker]]\nid = "three"\nphrase = ["x"]\nsource = "house"\nsource_kind = "house"\n'
    )
    _, *faults = broken(MARKERS_FILE, bad)
    assert f"{MARKERS_FILE}: one: the id stands twice" in faults
    assert any(f.startswith(f"{MARKERS_FILE}: three: phrase: Extra inputs") for f in faults)
    assert any(f.startswith(f"{MARKERS_FILE}: three: phrases: Field required") for f in faults)


def test_faults_of_the_readings_are_told_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    from plessor.pipeline.extract import grading

    text = read_text(READINGS_FILE)
    for old, new in (('"sign:absent" = "flexor"', '"sign:absent" = "flexer"'),
                     ('extensor = "flexor"', 'extensor = "flexr"')):  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    monkeypatch.setattr(grading, "read_text", lambda name: text)
    readings.cache_clear()
    try:
        with pytest.raises(DataError) as caught:
            readings()
    finally:
        monkeypatch.undo()
        readings.cache_clear()
    _, *faults = str(caught.value).splitlines()
    assert len(faults) == 2
    assert all("is no grade" in fault for fault in faults)


def test_wordings_are_the_same_in_speech_and_in_writing() -> None:
    assert spoken_form("didn't check") == spoken_form("DIDNT CHECK")
