"""Is anything invented? Non-speech and speech without a word of the trade, heard and counted.

``python bench/controls.py [--model NAME] [--human FOLDER]`` prints a table: words written by
the recogniser, words that the guards dropped, words left, terms of the lexicon left that were
not said, and for speech the word error rate without and with guards. Each sound is heard with
speech detection as the program does it, and again with detection switched off, so that the
guards are measured alone. FOLDER holds recordings of people reading and NAME.txt beside each.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

import jiwer
import numpy as np
import numpy.typing as npt
import voices
from plessor.lexicon import load, spoken_form
from plessor.pipeline.audio import SAMPLE_RATE, Sound, load_audio
from plessor.pipeline.transcribe import (
    Recogniser,
    SpeechOptions,
    TranscribeOptions,
    load_recogniser,
    transcribe,
)

HUMAN = Path(__file__).resolve().parents[2] / "shared/gold/controls"
DETECTION_OFF = SpeechOptions(threshold=0.0)
SECONDS = 45

PROSE = (
    "The bakery on the corner opens at six, and by half past the queue reaches the bridge. "
    "My neighbour buys the same brown loaf every morning and complains about the price.",
    "We took the slow train along the coast because the fast one was full. A boy across the "
    "aisle counted lighthouses, and he had reached eleven when the rain hid the sea.",
    "Three of the apple trees need pruning before the frost. The ladder is behind the shed, "
    "but somebody borrowed the saw last autumn and it has not come home.",
    "The choir rehearses on Thursdays in the old school. Bring a pencil, please, and do not "
    "park in front of the gate, since the caretaker leaves at nine.",
    "For the soup, fry two onions slowly in butter, add the carrots and a little thyme, and "
    "let it simmer until the window steams. It tastes better the next day.",
)


@dataclass(frozen=True)
class Heard:
    """One sound: what was said in it (None: nothing) and what became of it."""

    name: str
    seconds: float
    said: str | None
    raw: str
    kept: str


def non_speech() -> dict[str, npt.NDArray[np.float32]]:
    """Sounds without a voice, 45 s each, RMS levels in dB below full scale."""
    rng = np.random.default_rng(7)
    n = SECONDS * SAMPLE_RATE
    t = np.arange(n) / SAMPLE_RATE
    notes = 220 * 2 ** (rng.choice([0, 2, 4, 5, 7, 9, 11, 12], n // 8000 + 1) / 12)
    pitch = np.repeat(notes, 8000)[:n]
    decay = np.exp(-3 * (np.arange(n) % 8000) / SAMPLE_RATE)
    hum = sum(a * np.sin(2 * np.pi * f * t) for f, a in ((50, 1.0), (100, 0.5), (150, 0.3)))
    pulses = (np.cumsum(pitch / 2) / SAMPLE_RATE % 1 < 0.05).astype(float)
    spectrum, f = np.fft.rfft(pulses), np.fft.rfftfreq(n, 1 / SAMPLE_RATE)
    vowel = sum(np.exp(-(((f - centre) / 90) ** 2)) for centre in (700, 1200, 2600))
    sounds: dict[str, tuple[npt.NDArray[np.float64], float]] = {
        "dither": (rng.standard_normal(n), -80),
        "white noise": (rng.standard_normal(n), -30),
        "loud white noise": (rng.standard_normal(n), -12),
        "pink noise": (voices.pink(n, rng=rng), -25),
        "mains hum": (np.asarray(hum), -25),
        "plucked tones": (
            sum(np.sin(2 * np.pi * np.cumsum(pitch * h) / SAMPLE_RATE) / h for h in (1, 2, 3))
            * decay,
            -20,
        ),
        "sung vowel": (np.fft.irfft(spectrum * vowel, n) * (np.sin(9 * t) > -0.3), -20),
        "murmur": (voices.pink(n, rng=rng) * (0.5 + 0.5 * np.sin(2 * np.pi * 4 * t)) ** 2, -20),
        "clicks": ((rng.random(n) < 2 / SAMPLE_RATE) + 1e-5, -40),
    }
    out = {"silence": np.zeros(n, dtype=np.float32)}
    for name, (wave, level) in sounds.items():
        wave = wave / np.sqrt(np.mean(wave**2)) * 10 ** (level / 20)
        out[name] = np.clip(wave, -1, 1).astype(np.float32)
    return out


def speech(human: Path | None) -> dict[str, tuple[npt.NDArray[np.float32], str]]:
    """Prose by every voice here, the same in a room and with 20 s of noise in it, and people."""
    out: dict[str, tuple[npt.NDArray[np.float32], str]] = {}
    rng = np.random.default_rng(11)
    for number, (name, speak) in enumerate(voices.voices().items()):
        parts = [speak(text) for text in PROSE]
        rest = np.zeros(SAMPLE_RATE // 2, dtype=np.float32)
        whole = np.concatenate([p for part in parts for p in (part, rest)])
        text = " ".join(PROSE)
        out[name] = whole, text
        if number % 2 == 0:
            out[f"{name}, room"] = voices.in_room(whole, seed=number), text
            noise = voices.pink(20 * SAMPLE_RATE, rng=rng).astype(np.float32) * 0.05
            out[f"{name}, noise between"] = (
                np.concatenate([parts[0], noise, parts[1], noise]),
                (f"{PROSE[0]} {PROSE[1]}"),
            )
    for path in sorted(human.iterdir()) if human else ():
        words = path.with_suffix(".txt")
        if path.suffix in (".wav", ".flac") and words.is_file():
            out[f"people/{path.stem}"] = load_audio(path).samples, words.read_text()
    return out


def hear(
    name: str,
    samples: npt.NDArray[np.float32],
    said: str | None,
    recogniser: Recogniser,
    options: TranscribeOptions,
) -> Heard:
    """Hear one sound once and read off what the recogniser wrote and what the guards left."""
    seconds = len(samples) / SAMPLE_RATE
    sound = Sound(samples, seconds, "0" * 64, name)
    result = transcribe(sound, recogniser, options=options)
    kept = result.heard
    # What was dropped goes back to its second, to give the text without guards.
    pieces = [(w.start_s or 0.0, w.text) for w in result.words]
    pieces += [(d.start_s, d.text) for d in result.dropped]
    pieces.sort(key=lambda piece: piece[0])
    return Heard(name, seconds, said, " ".join(text for _, text in pieces), kept)


def table(rows: list[Heard]) -> None:
    """Print one line a sound, people together, and the sums."""
    forms = {form for term in load().terms for form in term.forms}
    print(
        f"  {'':<34}{'s':>6}{'written':>9}{'dropped':>9}{'left':>6}{'terms':>7}  WER bare, guarded"
    )
    grouped: dict[str, list[Heard]] = {}
    for row in rows:
        group = row.name.split("/")[0]
        for name in (group, "all speech" if row.said else "all non-speech"):
            grouped.setdefault(name, []).append(row)
    for name in sorted(grouped, key=lambda n: n.startswith("all")):
        members = grouped[name]
        written = sum(len(m.raw.split()) for m in members)
        left = sum(len(m.kept.split()) for m in members)
        invented = [t for m in members for t in _terms(m.kept, forms) - _terms(m.said or "", forms)]
        line = f"  {name:<34}{sum(m.seconds for m in members):>6.0f}{written:>9}{written - left:>9}"
        line += f"{left:>6}{len(invented):>7}"
        if said := [m for m in members if m.said]:
            line += f"  {_wer(said, 'raw'):.3f}, {_wer(said, 'kept'):.3f}"
        print(line + "".join(f"  “{' '.join(term)}”" for term in invented))


def _wer(rows: list[Heard], field: str) -> float:
    said = [" ".join(_plain(r.said or "")) for r in rows]
    return float(jiwer.wer(said, [" ".join(_plain(getattr(r, field))) or "-" for r in rows]))


def _plain(text: str) -> list[str]:
    return [a for a in spoken_form(text.replace("-", " ")) if re.search(r"\w", a)]


def _terms(text: str, forms: set[tuple[str, ...]]) -> Counter[tuple[str, ...]]:
    words = _plain(text)
    return Counter(
        tuple(words[i:j])
        for i in range(len(words))
        for j in range(i + 1, min(i + 6, len(words)) + 1)
        if tuple(words[i:j]) in forms
    )


def main() -> None:
    """Measure and print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--model", default="default")
    parser.add_argument("--human", type=Path, default=HUMAN if HUMAN.is_dir() else None)
    chosen = parser.parse_args()
    recogniser = load_recogniser(chosen.model)
    sounds = [(n, s, None) for n, s in non_speech().items()]
    talk = [(n, s, t) for n, (s, t) in speech(chosen.human).items()]
    options = TranscribeOptions()
    print(f"{recogniser.name}, speech detection as in use")
    table([hear(n, s, t, recogniser, options) for n, s, t in [*sounds, *talk]])
    off = replace(options, speech=DETECTION_OFF)
    mixed = [x for x in talk if "between" in x[0]]
    print(f"{recogniser.name}, speech detection off: the guards alone")
    table([hear(n, s, t, recogniser, off) for n, s, t in [*sounds, *mixed]])


if __name__ == "__main__":
    main()
