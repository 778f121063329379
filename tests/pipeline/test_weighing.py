"""The weight of a wording: what the sound says, without what was expected anyway."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from plessor.pipeline import weighing
from plessor.pipeline.hearing import HeardWord
from plessor.pipeline.transcript import Wording
from plessor.pipeline.weighing import Scale

WORDS = tuple(
    HeardWord(text, k * 0.5, k * 0.5 + 0.4, 0.9)
    for k, text in enumerate(["left", "risk", "extension", "is", "four", "today", "she", "said"])
)


class FakeModel:
    """Gives each word the probability of a table, another one where there is no sound."""

    is_multilingual = False

    def __init__(self, sound: dict[str, float], silence: dict[str, float]) -> None:
        self.tables = {True: sound, False: silence}
        self.texts: list[list[str]] = []

    def align(self, encoded: Any, _: object, block: Sequence[Sequence[int]], __: object) -> Any:
        table = self.tables[bool(np.asarray(encoded).any())]
        texts = [[VOCABULARY[i] for i in ids] for ids in block]
        self.texts += texts
        return [SimpleNamespace(text_token_probs=[table.get(w, 0.5) for w in t]) for t in texts]


VOCABULARY: list[str] = []


class FakeTokenizer:
    """A token a word."""

    sot_sequence = (0,)

    def __init__(self, *_: object, **__: object) -> None: ...

    def encode(self, text: str) -> list[int]:
        VOCABULARY.extend(w for w in text.split() if w not in VOCABULARY)
        return [VOCABULARY.index(w) for w in text.split()]


def scale(
    monkeypatch: pytest.MonkeyPatch, sound: dict[str, float], silence: dict[str, float]
) -> tuple[Scale, FakeModel]:
    monkeypatch.setattr(weighing, "Tokenizer", FakeTokenizer)
    monkeypatch.setattr(
        weighing, "ctranslate2", SimpleNamespace(StorageView=SimpleNamespace(from_array=np.array))
    )
    model = FakeModel(sound, silence)
    engine = SimpleNamespace(model=model, hf_tokenizer=None)
    return Scale(engine, np.ones((400, 4), np.float32)), model


def test_weight_is_the_difference_of_log_probabilities(monkeypatch: pytest.MonkeyPatch) -> None:
    """Good 1950: the weight of evidence for one against another is the log of their ratio."""
    asked = Scale.weigh
    one, _ = scale(monkeypatch, {"risk": 0.1, "wrist": 0.4}, {})
    (told,) = asked(one, WORDS, [Wording(1, 1, "wrist")])
    assert told.nats == pytest.approx(np.log(4))


def test_what_was_expected_without_any_sound_is_taken_off(monkeypatch: pytest.MonkeyPatch) -> None:
    """A common word that silence brings up too is worth less than a rare one."""
    one, _ = scale(
        monkeypatch,
        {"risk": 0.1, "temperature": 0.4, "pinprick": 0.2},
        {"risk": 0.01, "temperature": 0.4, "pinprick": 0.001},
    )
    common, rare = one.weigh(WORDS, [Wording(1, 1, "temperature"), Wording(1, 1, "pinprick")])
    assert rare.nats > common.nats


def test_only_what_can_count_is_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two words after the change; a word far before it has no part in the expectation."""
    one, model = scale(monkeypatch, {}, {})
    one.weigh(WORDS, [Wording(4, 4, "three")])
    changed = [t for t in model.texts if "three" in t]
    assert all(t[-3:] == ["three", "today", "she"] for t in changed)
    assert min(len(t) for t in changed) == 6


def test_answers_come_in_the_order_of_the_questions(monkeypatch: pytest.MonkeyPatch) -> None:
    one, _ = scale(monkeypatch, {"risk": 0.1, "wrist": 0.4, "for": 0.3, "four": 0.3}, {})
    asked = [Wording(4, 4, "for"), Wording(1, 1, "wrist"), Wording(1, 2, "wrist extension")]
    told = one.weigh(WORDS, asked)
    assert [t.wording for t in told] == asked
    assert told[0].nats == pytest.approx(0.0) and told[1].nats > 1
