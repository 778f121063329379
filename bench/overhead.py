"""How much longer the whole way takes than the bare recogniser: wall time, same run.

``python bench/overhead.py [RECORDING] [--model NAME] [--times N]`` takes turns between bare
faster-whisper (decode, load, transcribe with one temperature and beam 5) and Plessor from
file to record, loading the model each time, and prints the ratio of the medians. At most 1.3
on a recording of a minute is wanted. Imports are counted for neither.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from plessor.pipeline.exam import hear_file
from plessor.pipeline.models import find_model
from plessor.pipeline.transcribe import load_recogniser
from plessor.pipeline.whisper import available_cores

SAMPLE = Path(__file__).resolve().parents[1] / "samples/hemiplegic-child.opus"
WANTED = 1.3


def bare(path: Path, folder: Path) -> str:
    """What faster-whisper alone makes of a file."""
    from faster_whisper import WhisperModel
    from faster_whisper.vad import VadOptions

    engine = WhisperModel(
        str(folder), device="cpu", compute_type="int8", cpu_threads=available_cores()
    )
    segments, _ = engine.transcribe(
        str(path),
        language="en",
        beam_size=5,
        temperature=0.0,
        condition_on_previous_text=False,
        word_timestamps=True,
        vad_filter=True,
        vad_parameters=VadOptions(),  # its defaults, as a first user would have them
    )
    return " ".join(s.text.strip() for s in segments)


def timed(work: Callable[[], object]) -> float:
    """The seconds that ``work`` takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> int:
    """Measure, print, and return 1 when the ratio is above what is wanted."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("recording", nargs="?", type=Path, default=SAMPLE)
    parser.add_argument("--model", default="default")
    parser.add_argument("--times", type=int, default=5)
    chosen = parser.parse_args()
    folder = find_model(chosen.model).folder

    def alone() -> str:
        return bare(chosen.recording, folder)

    def whole() -> object:
        return hear_file(chosen.recording, recogniser=load_recogniser(chosen.model))

    first_s = timed(whole), timed(alone)  # imports, caches of the disk and of the lexicon
    turns = [(timed(alone), timed(whole)) for _ in range(chosen.times)]
    alone_s, whole_s = (statistics.median(side) for side in zip(*turns, strict=True))
    ratio = whole_s / alone_s
    print(f"bare faster-whisper  {alone_s:6.2f} s")
    print(
        f"Plessor              {whole_s:6.2f} s (the first time, with imports, {first_s[0]:.2f} s)"
    )
    print(f"ratio                {ratio:6.2f}   (at most {WANTED} is wanted)")
    return int(ratio > WANTED)


if __name__ == "__main__":
    raise SystemExit(main())
