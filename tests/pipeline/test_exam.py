"""From a source to its record: facts, provenance, and the same record whichever way it came."""

from __future__ import annotations

import datetime as dt
from importlib import metadata
from pathlib import Path

import numpy as np
import pytest
from plessor.lexicon import InputError, load
from plessor.pipeline.audio import SAMPLE_RATE, Sound
from plessor.pipeline.exam import ExamFacts, hear_sound, read_file, read_text
from plessor.pipeline.hearing import FakeRecogniser, HeardSegment, HeardWord
from plessor.pipeline.record import Record

SAID = "Power. Left wrist extension three. Right wrist extension five. Knee jerks two plus both."


def _sound(seconds: float = 10.0) -> Sound:
    samples = np.zeros(int(seconds * SAMPLE_RATE), dtype=np.float32)
    return Sound(samples, seconds, "0" * 64, "case.wav")


def _recogniser(text: str) -> FakeRecogniser:
    words = [HeardWord(w, i / 2, i / 2 + 0.4, 0.9) for i, w in enumerate(text.split())]
    return FakeRecogniser([[HeardSegment(tuple(words))]])


def test_exam_record_carries_the_facts_and_where_it_comes_from() -> None:
    facts = ExamFacts(age_months=75, examiner="A. Nyberg", date=dt.date(2024, 2, 29))
    record = read_text(SAID, narration="case", facts=facts)
    assert (record.narration, record.age_months) == ("case", 75)
    assert (record.examiner, record.date) == ("A. Nyberg", dt.date(2024, 2, 29))
    assert record.lexicon_version == load().version
    assert record.program_version == metadata.version("plessor")
    assert record.audio is record.model is None
    assert record.findings


def test_exam_guesses_no_fact() -> None:
    record = read_text(SAID, narration="case")
    assert record.age_months is record.examiner is record.date is None


def test_exam_keeps_every_word_in_order() -> None:
    record = read_text(SAID, narration="case")
    assert record.heard == SAID
    assert record.corrected == " ".join(word.text for word in record.words)


def test_exam_evidence_points_at_its_words() -> None:
    record = hear_sound(_sound(), recogniser=_recogniser(SAID))
    assert record.findings
    for finding in record.findings:
        evidence = finding.evidence
        assert evidence is not None
        words = record.words[evidence.first_word : evidence.last_word + 1]
        assert evidence.corrected == " ".join(word.text for word in words)
        assert evidence.start_s == words[0].start_s
        assert evidence.end_s == words[-1].end_s


def test_exam_hears_and_reads_the_same_findings() -> None:
    heard = hear_sound(_sound(), recogniser=_recogniser(SAID))
    read = read_text(SAID, narration="case.wav")

    def coded(record: Record) -> set[tuple[object, ...]]:
        return {(*f.key, f.grade, f.status) for f in record.findings}

    assert coded(heard) == coded(read)
    assert heard.heard == read.heard
    assert heard.narration == "case.wav"
    assert heard.model == "fake"
    assert heard.audio is not None
    assert (heard.audio.file, heard.audio.duration_s) == ("case.wav", 10.0)


def test_exam_record_round_trips() -> None:
    record = hear_sound(_sound(), recogniser=_recogniser(SAID))
    assert Record.model_validate_json(record.model_dump_json()) == record


def test_exam_file_is_named_after_the_file_without_its_folder(tmp_path: Path) -> None:
    (tmp_path / "case-1.txt").write_text(SAID)
    assert read_file(tmp_path / "case-1.txt") == read_text(SAID, narration="case-1.txt")


@pytest.mark.parametrize("text", ["", "  \n\n"])
def test_exam_refuses_a_text_without_words(text: str) -> None:
    with pytest.raises(InputError, match=r"^case: holds no words\.$"):
        read_text(text, narration="case")


def test_exam_refuses_a_recording_in_which_nobody_speaks() -> None:
    silent = FakeRecogniser(probabilities=np.zeros(400, dtype=np.float32))
    with pytest.raises(InputError, match=r"^case\.wav: no speech was found"):
        hear_sound(_sound(), recogniser=silent)


def test_exam_keeps_what_the_guards_took_out() -> None:
    """The loop is the case of SYSTRAN/faster-whisper #465; what is dropped must stay visible."""
    loop = " ".join(["and so on"] * 40)
    record = hear_sound(_sound(90), recogniser=_recogniser(f"{SAID} {loop}"))
    kept = record.heard.split()
    dropped = " ".join(d.text for d in record.dropped).split()
    assert dropped
    assert len(kept) + len(dropped) == len(SAID.split()) + len(loop.split())
    assert all(d.reason and d.start_s <= d.end_s for d in record.dropped)


def test_exam_tells_the_progress_to_its_end() -> None:
    told: list[tuple[float, float]] = []
    hear_sound(_sound(), recogniser=_recogniser(SAID), progress=lambda *seen: told.append(seen))
    assert told == sorted(told)
    assert told[-1] == (10.0, 10.0)
