"""Fits the weights by which ``pipeline/extract/marks.py`` puts missing marks back.

Learns from punctuated narrations, all invented: ``bench/marks.txt``, ``bench/said.txt``, ordinary
prose (``bench/prose.txt``), the examples of the rules of talk, sentences of ``bench/grammar.py``
and the narrations of ``tests/narrations``. Each is read as written, without marks, and with
marks lost at random; every gap between words is an example of the mark that was written there.
Multinomial logistic regression with AdaGrad (Duchi, Hazan and Singer 2011, J Mach Learn Res
12:2121-2159) and an L2 penalty. Writes ``lexicon/data/marks/weights.tsv`` (a feature, and what it
adds to a stop, a comma and a colon against no mark) and ``words.txt``.

    python bench/marks_fit.py [--without PATTERN]

``--without`` leaves out narrations whose file name matches, and writes nothing: it prints how
well their marks are found instead.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
from collections.abc import Iterator, Mapping, Sequence, Set
from pathlib import Path

import numpy as np
from grammar import sentence  # same folder
from plessor.lexicon import atoms
from plessor.lexicon.cues import read_cues
from plessor.lexicon.words import load_words
from plessor.pipeline.extract.gaps import MARKS, Line, pair_features, tokens_of
from plessor.pipeline.extract.language import found_in
from plessor.pipeline.extract.segments import Segment

HERE = Path(__file__).resolve().parent
OUT = HERE.parent / "lexicon/data/marks"
LABELS = ("", ".", ",", ":")
OF_MARK = {"": 0, ".": 1, ";": 1, "!": 1, "?": 1, ",": 2, ":": 3}
SEED = 1
EPOCHS = 12
#: The weights are the mean of so many epochs.
AVERAGED = 4
PENALTY = 3.0
RATE = 0.15
BATCH = 512
#: How often a word, and a feature, must occur to count.
OFTEN = 10
SEEN = 7
#: How often a sentence's end is passed over when the sentence before is described, as happens.
NOISE = 0.2
#: How often a recogniser's comma stands where nobody would write one.
STRAY = 0.06
#: Weights below this are left out of the file.
SMALL = 0.03

Example = tuple[list[str], int]


def texts(without: str | None = None) -> list[str]:
    """The narrations, each as one text."""
    rnd = random.Random(SEED)
    out = (HERE / "said.txt").read_text().splitlines()
    out += [t for t in (HERE / "marks.txt").read_text().splitlines() if t and t[0] != "#"]
    prose = (HERE / "prose.txt").read_text().splitlines()
    out += [" ".join(prose[i : i + 5]) for i in range(0, len(prose), 5)]
    examples = [e for cue in read_cues() for e in (*cue.match, *cue.no_match)]
    for _ in range(2):
        rnd.shuffle(examples)
        out += [" ".join(examples[i : i + 8]) for i in range(0, len(examples), 8)]
    for _ in range(100):
        formulas = (sentence(rnd) for _ in range(8))
        out.append(" ".join(f"{f[0].upper()}{f[1:]}." for f in formulas))
    for path in sorted((HERE.parent / "tests/narrations").glob("own-*.json")):
        if without is None or not path.match(without):
            out.append(json.loads(path.read_text())["text"])
    return out


def lost(written: Sequence[str], rnd: random.Random, way: str) -> list[str]:
    """Atoms with their marks lost: all, or stops as commas, or as commas or nothing.

    ``stray`` loses none and puts commas anywhere.
    """
    if way == "as":
        return list(written)
    if way == "none":
        return [t for t in written if t not in MARKS]
    if way == "stray":
        return [t for a in written for t in ((a, ",") if rnd.random() < STRAY else (a,))]
    if way == "commas":
        return ["," if t in ".:;" else t for t in written]
    return ["," if t in MARKS else t for t in written if t not in MARKS or rnd.random() < 0.67]


def line_of(seen: Sequence[str], words: Set[str]) -> Line:
    """The tokens of some atoms as ``extract`` sees them."""
    mentions, cues_at = found_in(seen)
    return Line(tokens_of(seen, mentions, words)[0], cues_at)


def examples(
    text: str, words: Set[str], rnd: random.Random, ways: Sequence[str], noise: float
) -> Iterator[Example]:
    """The features of every gap of a narration and the number of the mark written there."""
    written = [a.text for a in atoms(text.split())]
    marks: list[str] = []  # before each word
    mark = ""
    for atom in written:
        if atom in MARKS:
            mark = atom if atom != "," or not mark else mark
        else:
            marks.append(mark)
            mark = mark if atom in load_words().hesitations else ""
    for way in ways:
        seen = lost(written, rnd, way)
        number, count = [], 0
        for atom in seen:
            number.append(count)
            count += atom not in MARKS
        line = line_of(seen, words)
        segment = Segment()
        for i, token in enumerate(line.tokens):
            own = (token.kind, token.first, line.sorts[i], line.cues[i])
            if i:
                label = OF_MARK[marks[number[token.start]]]
                around = pair_features(*line.pair(i)) + line.features(i)
                yield around + segment.features(*own, line.waiting(i)[0]), label
                ends = label in (1, 3)
                if (ends and rnd.random() >= noise) or (label == 2 and rnd.random() < noise):
                    segment = Segment()
            segment = segment.with_token(*own)


def fit(read: Sequence[str]) -> tuple[frozenset[str], dict[str, np.ndarray]]:
    """The words that count as themselves, and the weights of the features."""
    rnd = random.Random(SEED)
    counted = collections.Counter(a.text for t in read for a in atoms(t.split()))
    words = frozenset(w for w, n in counted.items() if n >= OFTEN and w not in MARKS)
    gaps: list[Example] = []
    for text in read:
        ways = ("as", "none", "none", "commas", "some", "stray")
        gaps += examples(text, words, rnd, ways, NOISE)
    counts = collections.Counter(f for features, _ in gaps for f in features)
    ids = {f: i for i, f in enumerate(f for f, n in counts.items() if n >= SEEN)}
    unknown, width = len(ids), max(len(features) for features, _ in gaps)
    table = np.full((len(gaps), width), unknown)
    for row, (features, _) in enumerate(gaps):
        table[row, : len(features)] = [ids.get(f, unknown) for f in features]
    labels = np.array([label for _, label in gaps])
    used = np.bincount(table.ravel(), minlength=unknown + 1)
    weights = np.zeros((unknown + 1, len(LABELS)))
    squares = np.full_like(weights, 1e-3)
    mean = np.zeros_like(weights)
    order = np.random.default_rng(SEED)
    for epoch in range(EPOCHS):
        shuffled = order.permutation(len(gaps))
        for low in range(0, len(gaps), BATCH):
            rows = shuffled[low : low + BATCH]
            own = table[rows]
            scores = weights[own].sum(1)
            error = np.exp(scores - scores.max(1, keepdims=True))
            error /= error.sum(1, keepdims=True)
            error[np.arange(len(rows)), labels[rows]] -= 1
            touched, at = np.unique(own, return_inverse=True)
            at = at.ravel()
            slope = np.stack(
                [
                    np.bincount(at, np.repeat(error[:, k], width), len(touched))
                    for k in range(len(LABELS))
                ],
                axis=1,
            )
            share = np.bincount(at, minlength=len(touched)) / used[touched]
            slope += PENALTY * weights[touched] * share[:, None]
            squares[touched] += slope**2
            weights[touched] -= RATE * slope / np.sqrt(squares[touched])
            weights[unknown] = 0
        if epoch >= EPOCHS - AVERAGED:
            mean += weights / AVERAGED
    return words, {f: mean[i, 1:] - mean[i, 0] for f, i in ids.items()}


def write(words: Set[str], weights: Mapping[str, np.ndarray]) -> int:
    """Writes the two files; gives back how many features there are."""
    kept = {f: w for f, w in sorted(weights.items()) if np.abs(w).max() >= SMALL}
    rows = ("\t".join([f, *(f"{v:.2f}" for v in w)]) + "\n" for f, w in kept.items())
    (OUT / "weights.tsv").write_text("".join(rows))
    (OUT / "words.txt").write_text("".join(f"{w}\n" for w in sorted(words)))
    return len(kept)


def main() -> None:
    """Fit, and write or measure."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--without", help="narrations to leave out and to measure")
    without = options.parse_args().without
    words, weights = fit(texts(without))
    if without is None:
        print(f"{write(words, weights):,} features, {len(words):,} words")
        return
    confusion = np.zeros((len(LABELS), len(LABELS)), int)
    for path in sorted((HERE.parent / "tests/narrations").glob(without)):
        text = json.loads(path.read_text())["text"]
        for features, label in examples(text, words, random.Random(SEED), ["none"], 0):
            scores = sum((weights[f] for f in features if f in weights), np.zeros(3))
            confusion[label, int(np.argmax([0, *scores]))] += 1
    ends = confusion[[1, 3]][:, [1, 3]].sum()
    print(f"stops: precision {ends / confusion[:, [1, 3]].sum():.3f}", end=", ")
    print(f"recall {ends / confusion[[1, 3]].sum():.3f}")


if __name__ == "__main__":
    main()
