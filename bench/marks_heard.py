"""Fits the weights by which ``pipeline/extract/heard.py`` judges the marks that were recognised.

    python bench/marks_heard.py HEARD.jsonl … [--write]

Each line of HEARD.jsonl is an invented narration that was spoken and recognised: ``said``,
``words`` (text, start s, end s, probability), ``weighed`` (first word, last word, wording,
nats) and ``line``, its number in ``said.txt``. The words are corrected as ever and laid beside
those said, whose marks are what should be found. What the words speak for is told by weights
fitted as ``marks_fit.py`` does, without the third of ``said.txt`` that the narration is of, so
that nothing is judged by a sentence that the weights have seen. For a comma and for a stop that was
written, a multinomial logistic regression with a small ridge says what it stands for: a stop, a
comma or nothing. Printed is how often it is right on the third left out, beside taking every
mark as written, and the F1 of findings against those of the text as said. ``--write`` puts the
weights into ``lexicon/data/marks/heard.csv``.
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import marks_fit  # same folder
import numpy as np
from plessor.lexicon import atoms
from plessor.pipeline.correct import correct
from plessor.pipeline.extract import evidence, extract, heard, marks
from plessor.pipeline.extract.evidence import Scores
from plessor.pipeline.extract.gaps import Line, tokens_of
from plessor.pipeline.extract.language import closed, found_in
from plessor.pipeline.extract.marks import Marked
from plessor.pipeline.extract.segments import Segment
from plessor.pipeline.transcript import Transcript, Weighed, Wording, from_heard, from_text
from rapidfuzz.distance import Levenshtein

OUT = marks_fit.OUT / "heard.csv"
THIRDS = 3
RIDGE = 1.0
LABELS = ("", ".", ",")
NAMES = {",": "comma", ".": "stop"}
DIGITS = {
    word: str(n)
    for n, word in enumerate(
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    )
}
Example = tuple[str, list[float], int]


def transcripts(lines: Sequence[dict]) -> list[Transcript]:
    """The narrations, corrected as the program does it."""
    out = []
    for one in lines:
        raw = from_heard([(t.strip(), *rest) for t, *rest in one["words"]])
        weighed = tuple(Weighed(Wording(a, b, t), nats) for a, b, t, nats in one["weighed"])
        out.append(correct(replace(raw, weighed=weighed)).transcript)
    return out


def folded(word: str) -> str:
    """A word without its marks; numbers as digits."""
    word = re.sub(r"[^a-z0-9]", "", word.lower())
    return DIGITS.get(word, word)


def mark_of(word: str) -> str:
    """The mark that a written word ends with."""
    found = re.search(r"[.,:;?!]+$", word)
    return "" if not found else "," if found[0] == "," else "."


def marks_said(said: str, transcript: Transcript) -> list[str]:
    """The mark that was said after each word, as the words heard lie beside those said."""
    words = [w for w in said.split() if folded(w)]
    places = [i for i, w in enumerate(transcript.words) if folded(w.text)]
    out = [""] * len(transcript.words)
    row = [folded(transcript.words[i].text) for i in places]
    for change in Levenshtein.opcodes([folded(w) for w in words], row):
        for k in range(change.src_end - change.src_start):
            most = change.dest_end - change.dest_start - 1
            at = change.dest_start + min(k, most)
            mark = mark_of(words[change.src_start + k])
            if mark and 0 <= at < len(places) and out[places[at]] != ".":
                out[places[at]] = mark
    return out


def examples(transcript: Transcript, said: Sequence[str]) -> Iterator[Example]:
    """For each mark written what it is judged by, and the number of the mark that was said."""
    pieces = tuple(atoms([w.text for w in transcript.words]))
    own, _ = found_in([a.text for a in pieces])
    marked = closed(Marked(pieces, frozenset(), frozenset()), own)
    texts = [a.text for a in marked.atoms]
    mentions, cues = found_in(texts)
    tokens, gaps = tokens_of(texts, mentions, evidence.known_words())
    sure = [heard.sureness(transcript.words[a.word].probability) for a in marked.atoms]
    line, segment = Line(tokens, cues), Segment()
    rates = heard.rates_of(line, gaps, sure) if gaps else None
    for i, token in enumerate(tokens):
        if i:
            last, first = tokens[i - 1].end - 1, token.start
            between = {said[k] for k in range(marked.atoms[last].word, marked.atoms[first].word)}
            label = "." if "." in between else "," if "," in between else ""
            gap = gaps[i - 1]
            if gap.mark and rates is not None:
                scores = evidence.scores_before(line, i, segment, pair_cut=None, cut=0)
                values = heard.features(scores, rates, sure[last], sure[first])
                yield heard.written(gap), list(values), LABELS.index(label)
            segment = segment.ended() if label == "." else segment
        segment = segment.with_token(token.kind, token.first, line.sorts[i], line.cues[i])


def taught(third: int) -> tuple[frozenset[str], Mapping[str, Scores]]:
    """What the words speak for, without a third of ``said.txt``."""
    told = (marks_fit.HERE / "said.txt").read_text().splitlines()
    left_out = set(told[third::THIRDS])
    words, weights = marks_fit.fit([t for t in marks_fit.texts() if t not in left_out])
    small = marks_fit.SMALL
    return words, {
        f: Scores(*map(float, w)) for f, w in weights.items() if np.abs(w).max() >= small
    }


def use(words: frozenset[str], weights: Mapping[str, Scores]) -> None:
    """Let the extraction read with these weights."""
    evidence._pair_scores.cache_clear()
    evidence._segment_scores.cache_clear()
    evidence._weights = lambda: weights
    evidence.known_words = marks.known_words = lambda: words


def fit(rows: Sequence[Example], mark: str) -> np.ndarray:
    """Weights (2, k) of a stop and of a comma against no mark, by Newton's method."""
    x = np.array([values for written, values, _ in rows if written == mark])
    y = np.eye(3)[[label for written, _, label in rows if written == mark]][:, 1:]
    k = x.shape[1]
    w = np.zeros((2, k))
    for _ in range(50):
        z = np.exp(np.clip(x @ w.T, -30, 30))
        p = z / (1 + z.sum(1, keepdims=True))
        slope = ((p - y).T @ x + RIDGE * w).ravel()
        curve = RIDGE * np.eye(2 * k)
        for a in range(2):
            for b in range(2):
                share = p[:, a] * ((a == b) - p[:, b])
                curve[a * k : a * k + k, b * k : b * k + k] += (x * share[:, None]).T @ x
        step = np.linalg.solve(curve, slope).reshape(2, k)
        w -= step
        if np.abs(step).max() < 1e-6:
            break
    return w


def table(rows: Sequence[Example]) -> str:
    """The weights as a CSV file."""
    out = ["written,feature,stop,comma"]
    for mark, name in NAMES.items():
        stop, comma = fit(rows, mark)
        out += [
            f"{name},{feature},{a:.3f},{b:.3f}"
            for feature, a, b in zip(heard.FEATURES, stop, comma, strict=True)
        ]
    return "\n".join(out) + "\n"


def right(weights: Mapping[str, np.ndarray], rows: Sequence[Example]) -> np.ndarray:
    """How many of some marks are right as judged, as written, and how many there are."""
    out = np.zeros(3, int)
    for mark, values, label in rows:
        scores = [0.0, *(weights[mark] @ values)]
        out += (int(np.argmax(scores)) == label, LABELS.index(mark) == label, 1)
    return out


def found(transcript: Transcript) -> set[tuple]:
    """The findings in their five codes."""
    rows = extract(transcript).findings
    return {(f.modality, f.segment, f.side, f.grade, f.status) for f in rows}


def main() -> None:
    """Print how well marks are judged, and write the weights."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("heard", nargs="+", type=Path)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    lines = [json.loads(s) for path in args.heard for s in path.read_text().splitlines()]
    corrected = transcripts(lines)
    said = [marks_said(one["said"], t) for one, t in zip(lines, corrected, strict=True)]
    wanted = {text: found(from_text(text)) for text in {one["said"] for one in lines}}
    knows = [taught(third) for third in range(THIRDS)]
    rows: list[list[Example]] = [[] for _ in knows]
    for third, known in enumerate(knows):
        use(*known)
        for one, transcript, told in zip(lines, corrected, said, strict=True):
            if one["line"] % THIRDS == third:
                rows[third] += examples(transcript, told)
    total, counts = np.zeros(3, int), np.zeros(2, int)
    for third, known in enumerate(knows):
        others = [r for k, own in enumerate(rows) if k != third for r in own]
        weights = {mark: fit(others, mark) for mark in NAMES}
        total += right(weights, rows[third])
        use(*known)
        by_mark = {m: tuple(tuple(map(float, row)) for row in w) for m, w in weights.items()}
        heard._weights = lambda by_mark=by_mark: by_mark
        for one, transcript in zip(lines, corrected, strict=True):
            if one["line"] % THIRDS == third:
                have, want = found(transcript), wanted[one["said"]]
                counts += (2 * len(have & want), len(have) + len(want))
    judged, as_written, count = total
    print(f"{count} marks: {judged / count:.3f} judged right, {as_written / count:.3f} as written")
    print(f"F1 of findings {counts[0] / counts[1]:.4f}")
    if args.write:
        OUT.write_text(table([r for own in rows for r in own]), encoding="utf-8")


if __name__ == "__main__":
    main()
