"""From sound to words, with a fake recogniser; and twice with the real one."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from plessor.lexicon import InputError
from plessor.pipeline import transcribe as transcribing
from plessor.pipeline.audio import Sound, load_audio
from plessor.pipeline.hearing import FRAME_S, HeardSegment, HeardWord
from plessor.pipeline.models import FoundModel
from plessor.pipeline.transcribe import (
    FakeRecogniser,
    SpeechOptions,
    TranscribeOptions,
    load_recogniser,
    transcribe,
)
from plessor.pipeline.transcript import Weighed, Wording
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
    fake = FakeRecogniser([[segment(("Tone", 0.0, 0.9), ("normal.", 0.9, 1.4))]], speech)
    first, second = transcribe(sound(8), fake).words
    # The window begins 0.4 s before the speech; the word does not.
    assert first.start_s == pytest.approx(5.6, abs=0.04)
    assert second.end_s == pytest.approx(7.0, abs=0.04)
    long = FakeRecogniser([[segment(("Tone", 0.0, 1.9))]], speech)
    (word,) = transcribe(sound(8), long).words
    assert word.start_s == pytest.approx(6.0, abs=0.04)


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
    script = [[segment(("Tone", 0.5, 0.8)), segment(("normal.", 2.0, 2.5))]]
    transcribe(sound(3), FakeRecogniser(script), progress=lambda *seconds: told.append(seconds))
    assert told[-1] == (3.0, 3.0)
    assert all(done <= whole for done, whole in told)


def test_transcribe_puts_the_words_of_each_window_at_their_second() -> None:
    speech = np.ones(round(24 / FRAME_S), np.float32)
    for pause_s in (8.0, 16.0):
        speech[round(pause_s / FRAME_S) : round((pause_s + 0.4) / FRAME_S)] = 0.0
    script = [[segment(("one", 1, 1.2))], [segment(("two", 1, 1.2))], [segment(("three", 1, 1.2))]]
    fake = FakeRecogniser(script, speech)
    options = TranscribeOptions(speech=SpeechOptions(window_s=10, pad_s=0.1), again=False)
    heard = transcribe(sound(24), fake, options=options)
    assert [w.text for w in heard.words] == ["one", "two", "three"]
    starts = [w.start_s for w in heard.words]
    assert starts == pytest.approx([1.0, 9.3, 17.3], abs=0.15)


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


def spoken(text: str, seconds: float) -> HeardSegment:
    """A segment whose words follow one another evenly over ``seconds``."""
    words = text.split()
    step = seconds / len(words)
    return segment(*((w, k * step, (k + 1) * step) for k, w in enumerate(words)))


def test_transcribe_hears_a_window_again_whose_end_was_left_out() -> None:
    script = [
        [spoken("tone is normal", 3)],
        [spoken("tone is normal", 2.5)],
        [spoken("power five throughout", 2.4)],
    ]
    speech = np.ones(round(6 / FRAME_S), np.float32)
    speech[round(2.5 / FRAME_S) : round(2.6 / FRAME_S)] = 0.0
    fake = FakeRecogniser(script, speech)
    heard = transcribe(sound(6), fake)
    assert heard.corrected == "tone is normal power five throughout"
    assert heard.words[3].start_s == pytest.approx(2.55, abs=0.05)
    whole, first, second = (length for length, _ in fake.asked)
    assert first + second == whole and first == pytest.approx(2.55 * 16_000, abs=800)


@pytest.mark.parametrize("said_s", [5.4, 6.0])
def test_transcribe_hears_a_window_once_that_was_written_to_its_end(said_s: float) -> None:
    fake = FakeRecogniser([[spoken("tone is normal", said_s)]])
    assert transcribe(sound(6), fake).corrected == "tone is normal"
    assert len(fake.asked) == 1


def test_transcribe_keeps_the_first_hearing_when_the_second_finds_less() -> None:
    fake = FakeRecogniser([[spoken("tone is normal", 3)], [spoken("tone", 1)], []])
    assert transcribe(sound(6), fake).corrected == "tone is normal"


def test_transcribe_weighs_other_wordings_of_the_words_that_stay() -> None:
    words = segment(("...", 0.1, 0.2), ("Tony's", 0.5, 0.9), ("normal.", 0.9, 1.3))

    def doubts(words: Sequence[HeardWord]) -> list[Wording]:
        assert [w.text for w in words] == ["...", "Tony's", "normal."]
        return [Wording(1, 1, "Tone is"), Wording(0, 1, "Tonus")]

    fake = FakeRecogniser([[words]], likes={"Tone is": 1.5})
    heard = transcribe(sound(2), fake, options=TranscribeOptions(again=False), doubts=doubts)
    # The full stops are no word and are dropped: words count without them.
    assert heard.corrected == "Tony's normal."
    assert heard.weighed == (Weighed(Wording(0, 0, "Tone is"), 1.5),)


class Engine:
    """Stands for faster-whisper's batched pipeline: keeps how it was called, gives one answer."""

    def __init__(self, *pieces: tuple[str, float, float, float]) -> None:
        words = [SimpleNamespace(word=w, start=a, end=b, probability=p) for w, a, b, p in pieces]
        self.segments = [SimpleNamespace(words=words, avg_logprob=-0.2, no_speech_prob=0.1, seek=0)]
        self.called: dict[str, Any] = {}

    def __call__(self, engine: object) -> Engine:
        return self

    def transcribe(self, samples: np.ndarray, **settings: Any) -> tuple[Any, None]:
        self.called = settings
        return iter(self.segments), None


def test_whisper_puts_split_words_together(monkeypatch: pytest.MonkeyPatch) -> None:
    # As faster-whisper splits them: a piece without a leading blank belongs to the word before,
    # unless a hyphen ties it to a number: nobody says the hyphen.
    engine = Engine(
        (" 14", 0.0, 0.4, 0.9), ("-year", 0.4, 0.6, 0.8), ("-old,", 0.6, 0.9, 0.95),
        (" 4", 1.0, 1.2, 0.7), ("/5", 1.2, 1.5, 0.6),
        (" ", 1.5, 1.5, 0.1), (" brisk.", 1.6, 2.0, 1.0),
    )  # fmt: skip
    monkeypatch.setattr("plessor.pipeline.weighing.KeepingPipeline", engine)
    recogniser = WhisperRecogniser(FoundModel("m", Path()), engine)
    ((heard,),) = recogniser.hear([sound(2).samples], options=TranscribeOptions())
    assert [(w.text, w.start_s, w.end_s, w.probability) for w in heard.words] == [
        ("14", 0.0, 0.4, 0.9), ("year", 0.4, 0.6, 0.8), ("old,", 0.6, 0.9, 0.95),
        ("4/5", 1.0, 1.5, 0.6),
        ("brisk.", 1.6, 2.0, 1.0),
    ]  # fmt: skip


def test_whisper_hears_the_same_every_time_and_drops_nothing_unseen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    engine = Engine()
    monkeypatch.setattr("plessor.pipeline.weighing.KeepingPipeline", engine)
    options = TranscribeOptions(hotwords=("gait", "clonus"))
    recogniser = WhisperRecogniser(FoundModel("m", Path()), engine)
    list(recogniser.hear([sound(2).samples], options=options))
    called = engine.called
    assert called["temperature"] == 0.0  # other temperatures draw at random
    # What is speech was settled before; the engine is not to leave anything out.
    assert called["vad_filter"] is False
    assert called["clip_timestamps"] == [{"start": 0.0, "end": 2.0}]
    assert called["hotwords"] == "Gait, clonus." and called["initial_prompt"] is None


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
    off = TranscribeOptions(speech=SpeechOptions(threshold=0.0))
    assert transcribe(made, recogniser, options=off).words == ()


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
