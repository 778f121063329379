"""``plessor hear``: recordings to records, with a fake in the recogniser's place."""

from __future__ import annotations

import hashlib
import io
import json
import sys

import pytest
from plessor.cli import progress
from plessor.lexicon import MissingError, load
from plessor.pipeline import transcribe

SAID = "Left wrist extension three. Right wrist extension five."


@pytest.fixture
def heard(recogniser, said):
    recogniser.script = [said(SAID)] * 3
    return recogniser


def test_hear_prints_one_record_a_line_with_both_texts(plessor, heard, write_sound) -> None:
    """The contract of programs that score many recordings in one run."""
    paths = [write_sound("case-1.heart.flac", seconds=4), write_sound("case-2.wav", seconds=4)]
    ran = plessor("hear", *paths, "--format", "jsonl")
    assert (ran.code, ran.err) == (0, "")
    lines = [json.loads(line) for line in ran.out.splitlines()]
    assert [line["narration"] for line in lines] == ["case-1.heart.flac", "case-2.wav"]
    for line, path in zip(lines, paths, strict=True):
        assert line["heard"] == line["corrected"] == SAID
        assert line["audio"]["file"] == path.name
        assert line["audio"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
        assert line["audio"]["duration_s"] == pytest.approx(4, abs=0.01)
        assert line["model"] == "fake"
        assert line["lexicon_version"] == load().version
        assert [(f["side"], f["grade"]) for f in line["findings"]] == [
            ("left", "3"),
            ("right", "5"),
        ]
        first = line["findings"][0]["evidence"]
        assert (first["start_s"], first["end_s"]) == (0.0, 1.9)


def test_hear_passes_the_model_and_what_may_be_fetched(plessor, write_sound, monkeypatch) -> None:
    asked = []

    def load_recogniser(ref, *, allow_download):
        asked.append((ref, allow_download))
        raise MissingError("The model is not on this machine.")

    monkeypatch.setattr(transcribe, "load_recogniser", load_recogniser)
    sound = write_sound("a.wav")
    for arguments in ([], ["--model", "base"], ["-m", "x/y", "--allow-download"]):
        ran = plessor("hear", sound, sound, *arguments)
        assert (ran.code, ran.out) == (MissingError.exit_code, "") == (3, "")
        assert ran.sentence == "plessor: The model is not on this machine."
    assert asked == [("default", False), ("base", False), ("x/y", True)]


def test_hear_loads_one_model_for_many_recordings(plessor, said, write_sound, monkeypatch) -> None:
    fake = transcribe.FakeRecogniser([said(SAID)] * 2)
    loads = []
    monkeypatch.setattr(transcribe, "load_recogniser", lambda *_, **__: loads.append(1) or fake)
    sound = write_sound("a.wav", seconds=4)
    assert plessor("hear", sound, sound, "-f", "jsonl").code == 0
    assert loads == [1]


def test_hear_goes_on_after_a_bad_recording(plessor, heard, write_sound, tmp_path) -> None:
    (tmp_path / "bad.wav").write_text("no sound at all")
    ran = plessor(
        *("hear", tmp_path / "bad.wav", write_sound("a.wav", seconds=4), tmp_path),
        *("--format", "jsonl", "--out", tmp_path / "out.jsonl"),
    )
    assert ran.code == 1
    assert len(ran.err.splitlines()) == 3  # two faults, and where the rest was written
    assert len((tmp_path / "out.jsonl").read_text().splitlines()) == 1


@pytest.mark.parametrize(
    ("arguments", "terminal", "shown"),
    [([], True, True), ([], False, False), (["--quiet"], True, False)],
)
def test_hear_shows_a_bar_to_a_person_at_a_terminal(
    plessor, heard, write_sound, monkeypatch, arguments, terminal, shown
) -> None:
    monkeypatch.setattr(progress, "LONG_S", 3.0)
    stderr = io.StringIO()
    stderr.isatty = lambda: terminal
    monkeypatch.setattr(sys, "stderr", stderr)
    monkeypatch.setenv("TERM", "xterm")
    assert plessor("hear", write_sound("a.wav", seconds=4), "-f", "json", *arguments).code == 0
    assert ("of 4 s" in stderr.getvalue()) is shown


def test_hear_shows_no_bar_for_a_short_recording(monkeypatch) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with progress.bar("a.wav", duration_s=5, quiet=False) as told:
        assert told is None
