"""What holds for any text at all, and for any words of the trade in any order."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import atoms, load
from plessor.lexicon.cues import read_cues, read_markers
from plessor.lexicon.terms import wordings
from plessor.pipeline.extract import Extraction, extract
from plessor.pipeline.transcript import Transcript, from_heard, from_text

FOLDER = Path(__file__).resolve().parents[2] / "narrations"
calmly = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)


@cache
def trade_words() -> frozenset[str]:
    """Every word of a term of the lexicon that is no side, and the bare motions."""
    motions = ["flexion", "extension", "abduction", "adduction", "flexors", "extensors"]
    terms = (term for term in load().terms if term.kind != "side")
    return frozenset((*(atom for t in terms for form in t.forms for atom in form), *motions))


@cache
def phrases() -> tuple[str, ...]:
    """Wordings of the lexicon and of the rules, and what else is said between them."""
    terms = [wording for term in load().terms for wording in term.spoken]
    rules = [w for rule in (*read_cues(), *read_markers().values()) for p in rule.phrases
             for w in wordings(p)]  # fmt: skip
    marks = [",", ".", ";", ":", "?", "!", "-", "/", "\n"]
    numbers = ["four plus", "3-/5", "two", "C five", "L4", "T 1", "to", "99", "4/5", "out of five"]
    return tuple(terms + rules + 40 * marks + 20 * numbers)


def trade_talk() -> st.SearchStrategy[str]:
    return st.lists(st.sampled_from(phrases()), max_size=25).map(" ".join)


def is_told(text: str) -> bool:
    return bool(trade_words() & {a.text for a in atoms(text.split())})


def assert_whole(read: Extraction, transcript: Transcript) -> None:
    """The evidence lies in the words, and every finding rests on a word of the trade."""
    count = len(transcript.words)
    for part in (*read.findings, *read.claims, *read.unresolved):
        evidence = part.evidence
        assert evidence is not None
        assert 0 <= evidence.first_word <= evidence.last_word < count
        said = [w.text for w in transcript.words[evidence.first_word : evidence.last_word + 1]]
        assert evidence.corrected == " ".join(said)
    for finding in read.findings:
        assert finding.evidence is not None
        assert 0 < finding.confidence <= 1
    keys = [(f.key, f.grade, f.status) for f in read.findings]
    assert len(keys) == len(set(keys)), "a finding twice"


@calmly
@given(st.text(max_size=200))
def test_any_text_is_read_without_fault(text: str) -> None:
    transcript = from_text(text)
    read = extract(transcript)
    assert_whole(read, transcript)
    if not is_told(text):
        assert read.findings == ()


@calmly
@given(trade_talk())
def test_trade_words_in_any_order_are_read_without_fault(text: str) -> None:
    transcript = from_text(text)
    read = extract(transcript)
    assert_whole(read, transcript)
    assert extract(transcript) == read, "the same words, another record"


@calmly
@given(
    st.lists(st.tuples(st.sampled_from(phrases()), st.floats(0, 5), st.floats(0, 1)), max_size=15)
)
def test_times_and_probabilities_of_any_kind_are_read_without_fault(
    heard: list[tuple[str, float, float]],
) -> None:
    words, now_s = [], 0.0
    for phrase, pause_s, probability in heard:
        for word in phrase.split():
            words.append((word, now_s, now_s + 0.3, probability))
            now_s += 0.3
        now_s += pause_s
    transcript = from_heard(words)
    read = extract(transcript)
    assert_whole(read, transcript)
    for part in (*read.findings, *read.claims, *read.unresolved):
        assert part.evidence is not None and part.evidence.start_s is not None
        assert part.evidence.end_s is not None
        assert part.evidence.start_s <= part.evidence.end_s


PLAIN = "she he came in with a teddy and cried then ate some lunch before the bus . , ?"


@calmly
@given(st.lists(st.sampled_from(PLAIN.split()), max_size=40))
def test_text_without_trade_words_gives_nothing(words: list[str]) -> None:
    read = extract(from_text(" ".join(words)))
    assert (read.findings, read.claims, read.unresolved) == ((), (), ())


@pytest.mark.parametrize("text", ["", " \n\t ", ".", "…", "?!;:,"])
def test_nothing_said_gives_nothing(text: str) -> None:
    read = extract(from_text(text))
    assert (read.findings, read.claims, read.unresolved) == ((), (), ())


def _narrations() -> list[Path]:
    return sorted(FOLDER.glob("*.json"))


@pytest.mark.parametrize("path", _narrations(), ids=lambda path: path.stem)
def test_findings_of_a_narration_rest_on_words_that_say_something(path: Path) -> None:
    # "Five throughout." and "None." count: what they are said of stands in the words before.
    transcript = from_text(json.loads(path.read_text(encoding="utf-8"))["text"])
    read = extract(transcript)
    assert_whole(read, transcript)
    steering = {form for marker in read_markers().values() for form in marker.forms()}
    single = {form[0] for form in steering if len(form) == 1}
    for finding in read.findings:
        assert finding.evidence is not None
        said = {a.text for a in atoms(finding.evidence.corrected.split())}
        told = said & (trade_words() | single | set(load().vocabulary.levels))
        assert told or any(a.isdecimal() for a in said), finding.evidence.corrected


def test_an_utterance_that_grades_what_is_examined_is_accounted_for() -> None:
    """It becomes a finding or a claim, is listed as unresolved, or is taken back at once."""
    lost = []
    for path in _narrations():
        transcript = from_text(json.loads(path.read_text(encoding="utf-8"))["text"])
        read = extract(transcript)
        covered = {
            word
            for part in (*read.findings, *read.claims, *read.unresolved)
            if part.evidence is not None
            for word in range(part.evidence.first_word, part.evidence.last_word + 1)
        }
        for utterance, after in pairwise((*read.utterances, None)):
            assert utterance is not None
            sorts = {m.sort for m in utterance.mentions}
            words = {read.atoms[i].word for i in range(utterance.start, utterance.end)}
            taken_back = after is not None and any(
                m.marker in ("correction", "retract", "other_way") for m in after.mentions
            )
            if {"target", "grade"} <= sorts and not words & covered and not taken_back:
                said = " ".join(transcript.words[w].text for w in sorted(words))
                lost.append(f"{path.stem}: {said}")
    assert not lost, "\n".join(lost)


def test_a_number_of_any_length_is_read_without_fault() -> None:
    assert extract(from_text(f"Power {'9' * 5000} in the left arm.")).utterances


def test_reading_takes_time_in_proportion_to_length() -> None:
    """Ten times the words in at most twenty-five times the time, by the best of two."""
    text = " ".join(json.loads(p.read_text(encoding="utf-8"))["text"] for p in _narrations()[:8])
    once, tenfold = from_text(text), from_text(" ".join([text] * 10))

    def best_s(work: Callable[[], object]) -> float:
        times = []
        for _ in range(2):
            start = time.perf_counter()
            work()
            times.append(time.perf_counter() - start)
        return min(times)

    extract(once)
    assert best_s(lambda: extract(tenfold)) < 25 * best_s(lambda: extract(once))
