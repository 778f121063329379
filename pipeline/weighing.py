"""How likely other words are in the sound than those that were written.

The recogniser's decoder gives a probability to any text, not only to the one it chose. Of two
wordings of a stretch, the difference of their log probabilities is the weight of evidence of
the sound for one against the other (Good 1950), with the words before as they were written.
It asks what the sound alone says; what the trade would say there is ``correct``'s part.

Only the changed tokens and the two after them are counted: further on, both readings say the
same (measured: to count all that follows tells right from wrong changes no better).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import ctranslate2  # type: ignore[import-untyped,unused-ignore]
import numpy as np
import numpy.typing as npt
from faster_whisper import BatchedInferencePipeline
from faster_whisper.tokenizer import Tokenizer

from .transcript import Weighed, Wording

#: Tokens after the change that are still counted.
_AFTER = 2
#: Wordings that are held against the sound at once; more costs memory and gains nothing.
_AT_ONCE = 8
#: Samples of one frame of features.
_HOP = 160
_LEAST = 1e-12

Logs = npt.NDArray[np.float64]


class KeepingPipeline(BatchedInferencePipeline):  # type: ignore[misc,unused-ignore]
    """The engine's pipeline; ``encoded`` holds what the encoder made of the last windows."""

    encoded: npt.NDArray[np.float32]

    def generate_segment_batched(self, features: Any, tokenizer: Any, options: Any) -> Any:
        """As the engine does it."""
        found = super().generate_segment_batched(features, tokenizer, options)
        self.encoded = np.asarray(found[0])
        return found


class _Asked(NamedTuple):
    """One wording as tokens: where it begins to differ, and where each reading joins again."""

    wording: Wording
    tokens: list[int]
    first: int
    old_end: int
    new_end: int


class Scale:
    """The sound of one window, ready to be asked.

    ``encoded`` is the encoder's output for it, ``length`` its samples.
    """

    def __init__(self, engine: Any, encoded: npt.NDArray[np.float32], length: int) -> None:
        self._model = engine.model
        self._tokenizer = Tokenizer(
            engine.hf_tokenizer, engine.model.is_multilingual, task="transcribe", language="en"
        )
        self._encoded = encoded[None]
        self._frames = max(1, length // _HOP)

    def weigh(
        self, before: Sequence[str], words: Sequence[str], asked: Sequence[Wording]
    ) -> tuple[Weighed, ...]:
        """The weight of each wording against ``words``; ``before`` was said in the window too."""
        old = self._tokens([*before, *words])
        rows = [self._row(old, before, words, wording) for wording in asked]
        written = self._logs([old])[0]
        nats: dict[Wording, float] = {}
        by_length = sorted(rows, key=lambda row: len(row.tokens))
        for at in range(0, len(by_length), _AT_ONCE):
            block = by_length[at : at + _AT_ONCE]
            for row, logs in zip(block, self._logs([r.tokens for r in block]), strict=True):
                new = logs[row.first : row.new_end + _AFTER].sum()
                nats[row.wording] = float(new - written[row.first : row.old_end + _AFTER].sum())
        return tuple(Weighed(wording, nats[wording]) for wording in asked)

    def _row(
        self, old: list[int], before: Sequence[str], words: Sequence[str], wording: Wording
    ) -> _Asked:
        new = self._tokens(
            [*before, *words[: wording.first], wording.text, *words[wording.last + 1 :]]
        )
        shorter = min(len(old), len(new))
        first = next((i for i in range(shorter) if old[i] != new[i]), shorter)
        same = 0
        while same < shorter - first and old[-1 - same] == new[-1 - same]:
            same += 1
        new_end = len(new) - same
        return _Asked(wording, new[: new_end + _AFTER], first, len(old) - same, new_end)

    def _tokens(self, words: Sequence[str]) -> list[int]:
        return list(self._tokenizer.encode(" " + " ".join(words)))

    def _logs(self, texts: Sequence[list[int]]) -> list[Logs]:
        """The log probability of every token of each text."""
        encoded = ctranslate2.StorageView.from_array(np.repeat(self._encoded, len(texts), axis=0))
        found = self._model.align(
            encoded, self._tokenizer.sot_sequence, list(texts), [self._frames] * len(texts)
        )
        return [np.log(np.maximum(_LEAST, np.asarray(f.text_token_probs))) for f in found]
