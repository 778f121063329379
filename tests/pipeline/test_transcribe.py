"""From sound to words, with a fake recogniser; and twice with the real one."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from plessor.lexicon import InputError
from plessor.pipeline import transcribe as transcribing
from plessor.pipeline.audio import Sound, load_audio
from plessor.pipeline.hearing import FRAME, FRAME_S, HeardSegment, HeardWord
from plessor.pipeline.models import FoundModel
from plessor.pipeline.transcribe import (
    FakeRecogniser,
    SpeechOptions,
    TranscribeOptions,
    load_recogniser,
    transcribe,
)
from plessor.pipeline.whisper import WhisperRecogniser

SAMPLE = Path(__file__).resolve().parents[2] / "samples/normal-upper-limbs.opus"


def sound(seconds: float) -> Sound:
    samples = np.zeros(round(seconds * 16_000), dtype=np.float32)
    return Sound(samples, len(samples) / 16_000, "0" * 64, "made.wav")


def segment(*words: tuple[str, float, float], no_speech: float = 0.1) -> HeardSegment:
    return HeardSegment(
        tuple(HeardWord(text, start_s, end_s, 0.9) for text, start_s, end_s in words),
        logprob=-0.3,
        no_speech=no_speech,
    )


def test_transcribe_gives_words_with_seconds_and_the_models_name() -> None:
    fake = FakeRecogniser([[segment(("Tone", 0.5, 0.8), ("normal.", 0.8, 1.25))]], name="fake-1")
    heard = transcribe(sound(3), fake)
    assert [(w.text, w.start_s, w.end_s, w.probability) for w in heard.words] == [
        ("Tone", 0.5, 0.8, 0.9),
        ("normal.", 0.8, 1.25, 0.9),
    ]
    assert (heard.duration_s, heard.model, heard.dropped) == (3.0, "fake-1", ())
    assert heard.heard == "Tone normal."


def test_transcribe_does_not_ask_where_nobody_speaks() -> None:
    fake = FakeRecogniser([[segment(("You", 0.5, 0.8))]], np.full(94, 0.3, np.float32))
    heard = transcribe(sound(3), fake)
    assert heard.words == () and fake.asked == []


def test_transcribe_of_no_sound_is_empty() -> None:
    assert transcribe(sound(0), FakeRecogniser()).words == ()


def test_transcribe_clips_words_to_the_recording() -> None:
    fake = FakeRecogniser([[segment(("Tone", -0.2, 0.8), ("normal.", 2.8, 3.4))]])
    heard = transcribe(sound(3), fake)
    assert [(w.start_s, w.end_s) for w in heard.words] == [(0.0, 0.8), (2.8, 3.0)]


def test_transcribe_trims_a_pause_off_a_word() -> None:
    speech = np.zeros(round(8 / FRAME_S), np.float32)
    speech[round(6 / FRAME_S) :] = 0.9
    fake = FakeRecogniser([[segment(("Tone", 0.4, 6.5), ("normal.", 6.5, 7.0))]], speech)
    first, second = transcribe(sound(8), fake).words
    assert first.start_s == pytest.approx(6.0, abs=0.04) and first.end_s == 6.5
    assert (second.start_s, second.end_s) == (6.5, 7.0)


def test_transcribe_keeps_what_the_guards_drop() -> None:
    script = [
        [
            segment(("Gait", 0.5, 0.8), ("normal.", 0.8, 1.2)),
            segment(("Goodbye.", 2.0, 2.4), no_speech=0.95),
        ]
    ]
    heard = transcribe(sound(3), FakeRecogniser(script))
    assert heard.heard == "Gait normal."
    (dropped,) = heard.dropped
    assert (dropped.text, dropped.start_s, dropped.end_s) == ("Goodbye.", 2.0, 2.4)
    unguarded = transcribe(
        sound(3), FakeRecogniser(script), options=TranscribeOptions(guards=False)
    )
    assert unguarded.heard == "Gait normal. Goodbye." and unguarded.dropped == ()


def test_transcribe_reports_progress_to_the_end() -> None:
    told: list[tuple[float, float]] = []
    script = [[segment(("Tone", 0.5, 0.8)), segment(("normal.", 2.0, 3.5))]]
    transcribe(sound(3), FakeRecogniser(script), progress=lambda *seconds: told.append(seconds))
    assert told == [(0.8, 3.0), (3.0, 3.0), (3.0, 3.0)]


def test_transcribe_hears_a_long_recording_in_blocks_cut_at_pauses() -> None:
    class Blocks(FakeRecogniser):
        def speech(self, samples: np.ndarray) -> np.ndarray:
            speech = np.ones(-(-len(samples) // FRAME), np.float32)
            speech[round(8 / FRAME_S) : round(8.4 / FRAME_S)] = 0.0  # a pause in every block
            return speech

    script = [[segment(("one", 1, 1.2))], [segment(("two", 1, 1.2))], [segment(("three", 1, 1.2))]]
    fake = Blocks(script)
    options = TranscribeOptions(block_s=10, initial_prompt="Shown once.")
    heard = transcribe(sound(24), fake, options=options)
    assert sum(count for count, _ in fake.asked) == 24 * 16_000  # not a sample is left out
    cuts_s = [count / 16_000 for count, _ in fake.asked]
    assert cuts_s == pytest.approx([8.2, 8.2, 7.6], abs=0.1)  # the middle of each pause
    assert [(w.text, w.start_s) for w in heard.words] == [
        ("one", 1.0),
        ("two", pytest.approx(1.0 + cuts_s[0], abs=0.01)),
        ("three", pytest.approx(1.0 + cuts_s[0] + cuts_s[1], abs=0.01)),
    ]
    assert [o.initial_prompt for _, o in fake.asked] == ["Shown once.", None, None]


def test_transcribe_cuts_speech_without_a_pause_all_the_same() -> None:
    fake = FakeRecogniser()
    transcribe(sound(25), fake, options=TranscribeOptions(block_s=10))
    assert sum(count for count, _ in fake.asked) == 25 * 16_000
    assert all(count <= 160_256 for count, _ in fake.asked)


@pytest.mark.parametrize(
    ("given", "shown"),
    [(None, ("measured", "words")), ((), ()), (("gait",), ("gait",))],
)
def test_transcribe_shows_the_measured_hotwords_unless_told(
    monkeypatch: pytest.MonkeyPatch, given: tuple[str, ...] | None, shown: tuple[str, ...]
) -> None:
    monkeypatch.setattr(transcribing, "measured_hotwords", lambda model: ("measured", "words"))
    fake = FakeRecogniser()
    transcribe(sound(2), fake, options=TranscribeOptions(hotwords=given))
    assert fake.asked[0][1].hotwords == shown


class Engine:
    """Stands for faster_whisper.WhisperModel: keeps how it was called, gives fixed segments."""

    def __init__(self, *pieces: tuple[str, float, float, float]) -> None:
        words = [SimpleNamespace(word=w, start=a, end=b, probability=p) for w, a, b, p in pieces]
        self.segments = [SimpleNamespace(words=words, avg_logprob=-0.2, no_speech_prob=0.1)]
        self.called: dict[str, Any] = {}

    def transcribe(self, samples: np.ndarray, **settings: Any) -> tuple[Any, None]:
        self.called = settings
        return iter(self.segments), None


def test_whisper_puts_split_words_together() -> None:
    # As faster-whisper splits them: a piece without a leading blank belongs to the word before.
    engine = Engine(
        (" 14", 0.0, 0.4, 0.9), ("-year", 0.4, 0.6, 0.8), ("-old,", 0.6, 0.9, 0.95),
        (" 4", 1.0, 1.2, 0.7), ("/5", 1.2, 1.5, 0.6),
        (" ", 1.5, 1.5, 0.1), (" brisk.", 1.6, 2.0, 1.0),
    )  # fmt: skip
    recogniser = WhisperRecogniser(FoundModel("m", Path()), engine)
    (heard,) = recogniser.hear(sound(2).samples, options=TranscribeOptions())
    assert [(w.text, w.start_s, w.end_s, w.probability) for w in heard.words] == [
        ("14-year-old,", 0.0, 0.9, 0.8),
        ("4/5", 1.0, 1.5, 0.6),
        ("brisk.", 1.6, 2.0, 1.0),
    ]


def test_whisper_hears_the_same_every_time_and_drops_nothing_unseen() -> None:
    engine = Engine()
    options = TranscribeOptions(hotwords=("gait", "clonus"), speech=SpeechOptions(pad_ms=500))
    list(WhisperRecogniser(FoundModel("m", Path()), engine).hear(sound(2).samples, options=options))
    called = engine.called
    assert called["temperature"] == 0.0 and called["condition_on_previous_text"] is False
    # The engine would skip a whole window of 30 s by these (faster-whisper, generate_segments).
    assert called["no_speech_threshold"] is None and called["log_prob_threshold"] is None
    assert called["hotwords"] == "gait, clonus" and called["initial_prompt"] is None
    # Every field of VadOptions is given: SYSTRAN/faster-whisper PR #1409.
    assert vars(called["vad_parameters"]) == {
        "threshold": 0.5,
        "neg_threshold": 0.35,
        "min_speech_duration_ms": 0,
        "max_speech_duration_s": float("inf"),
        "min_silence_duration_ms": 2000,
        "speech_pad_ms": 500,
    }


def test_whisper_folder_with_a_broken_model_is_refused(tmp_path: Path) -> None:
    for name in ("model.bin", "config.json", "tokenizer.json", "vocabulary.txt"):
        (tmp_path / name).write_text("{}")
    with pytest.raises(InputError, match="the model in it cannot be loaded"):
        load_recogniser(tmp_path)


@pytest.mark.slow
def test_transcribe_hears_nothing_in_noise_and_silence() -> None:
    rng = np.random.default_rng(3)
    hiss = rng.standard_normal(16_000 * 12) * 0.1
    hum = 0.1 * np.sin(2 * np.pi * 50 * np.arange(16_000 * 8) / 16_000)
    samples = np.concatenate([hiss, np.zeros(16_000 * 8), hum]).astype(np.float32)
    made = Sound(samples, len(samples) / 16_000, "0" * 64, "noise.wav")
    recogniser = load_recogniser("default")
    assert transcribe(made, recogniser).words == ()
    # With speech detection off the recogniser is asked, and the guards take out what it invents.
    off = TranscribeOptions(speech=SpeechOptions(threshold=0.0, neg_threshold=0.0))
    heard = transcribe(made, recogniser, options=off)
    assert heard.words == () and heard.dropped


@pytest.mark.slow
def test_transcribe_hears_a_sample_in_order_and_the_same_twice() -> None:
    whole = load_audio(SAMPLE)
    part = Sound(whole.samples[: 16_000 * 15], 15.0, whole.sha256, whole.file)
    recogniser = load_recogniser("default")
    heard = transcribe(part, recogniser)
    assert transcribe(part, recogniser) == heard
    assert heard.model == "tiny.en" and heard.dropped == ()
    starts = [w.start_s for w in heard.words if w.start_s is not None]
    assert len(starts) == len(heard.words) > 15
    assert all(a <= b for a, b in pairwise(starts)) and starts[-1] <= 15.0
    said = re.findall(r"\w+", SAMPLE.with_suffix(".txt").read_text().lower())[: len(heard.words)]
    known = set(re.findall(r"\w+", heard.heard.lower()))
    assert sum(w in known for w in said) / len(said) > 0.6  # bare word errors of tiny.en: 10 %
