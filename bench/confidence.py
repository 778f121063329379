"""Fits the confidence of findings, and prints how well it is calibrated.

``python bench/confidence.py HEARD.jsonl GOLD [--write]``

HEARD.jsonl holds records of ``plessor hear … --format jsonl`` of recordings whose narrations
stand in the folder GOLD (``NAME.json``: text and findings). The model of speech is fitted by
ridge logistic regression; the reliability table is of findings in narrations that the fit did
not see (five folds by narration). ``--write`` keeps the weights of the fit to all of them in
the lexicon. The model of text is not fitted here: on narrations that the rules were made with
nearly every finding is right. Its weights are house; its constant is the precision on
narrations of other authors at first sight (0.95; two sets of 66 narrations together).
"""

from __future__ import annotations

import argparse
import datetime as dt
import itertools
import json
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
from plessor.pipeline.extract.confidence import marks_of
from plessor.pipeline.extract.extraction import walked
from plessor.pipeline.record import Word
from plessor.pipeline.transcript import Transcript

WEIGHTS = Path(__file__).resolve().parents[1] / "lexicon/data/calibration/confidence.json"
RIDGE = 3.0
FOLDS = 5
BINS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.975, 1.0)
Array = npt.NDArray[np.float64]
Row = tuple[str, dict[str, float], bool]


def expected(path: Path) -> set[tuple[str | None, ...]]:
    """The findings of a narration as (modality, segment, side, grade, status)."""
    rows = json.loads(path.read_text(encoding="utf-8"))["findings"]
    return {
        (m, s, side, grade, status)
        for m, s, spoken, grade, status in rows
        for side in (("left", "right") if spoken == "both" else (spoken,))
    }


def rows_of(name: str, transcript: Transcript, right: set[tuple[str | None, ...]]) -> Iterable[Row]:
    """The marks of each finding of a narration, and whether it is right."""
    pieces, _, walk = walked(transcript)
    for one in walk.found:
        d = one.draft
        first, last = pieces[one.start].word, pieces[max(one.end - 1, one.start)].word
        marks = marks_of(one, transcript.words[first : last + 1])
        yield name, marks, (d.modality, d.segment, d.side, d.grade, d.status) in right


def fit(names: Sequence[str], marks: Sequence[dict[str, float]], right: Array) -> Array:
    """Weights, the constant first, by Newton's method on the ridge logistic likelihood."""
    x = np.array([[1.0, *(m.get(n, 0.0) for n in names)] for m in marks])
    w = np.zeros(x.shape[1])
    penalty = np.full(x.shape[1], RIDGE)
    penalty[0] = 0.0
    for _ in range(60):
        p = 1.0 / (1.0 + np.exp(-x @ w))
        gradient = x.T @ (right - p) - penalty * w
        hessian = (x * (p * (1 - p))[:, None]).T @ x + np.diag(penalty + 1e-9)
        step = np.linalg.solve(hessian, gradient)
        w += step
        if np.abs(step).max() < 1e-8:
            break
    return w


def predict(names: Sequence[str], marks: Sequence[dict[str, float]], w: Array) -> Array:
    """Probabilities of findings with these marks."""
    x = np.array([[1.0, *(m.get(n, 0.0) for n in names)] for m in marks])
    return 1.0 / (1.0 + np.exp(-x @ w))


def report(title: str, rows: Sequence[Row]) -> dict[str, float]:
    """Print the reliability of a cross-validated fit; the weights of the fit to all rows."""
    names = sorted({n for _, m, _ in rows for n in m})
    narrations = sorted({n for n, _, _ in rows})
    fold = {n: i % FOLDS for i, n in enumerate(narrations)}
    marks = [m for _, m, _ in rows]
    right = np.array([float(r) for _, _, r in rows])
    folds = np.array([fold[n] for n, _, _ in rows])
    said = np.zeros(len(rows))
    for k in range(FOLDS):
        train, test = np.flatnonzero(folds != k), np.flatnonzero(folds == k)
        if len(test) and len(train):
            w = fit(names, [marks[i] for i in train], right[train])
            said[test] = predict(names, [marks[i] for i in test], w)
    print(
        f"{title}: {len(rows)} findings of {len(narrations)} narrations, {right.mean():.3f} right"
    )
    print("  confidence     findings   said   right")
    error = 0.0
    for low, high in itertools.pairwise(BINS):
        inside = (said >= low) & (said < high)
        if inside.any():
            a, b = said[inside].mean(), right[inside].mean()
            error += abs(a - b) * inside.mean()
            print(f"  {low:.3f}–{high:.3f}   {inside.sum():8d}   {a:.3f}   {b:.3f}")
    print(f"  expected calibration error {error:.3f}")
    w = fit(names, marks, right)
    return {"always": round(float(w[0]), 4)} | {
        n: round(float(v), 4) for n, v in zip(names, w[1:], strict=True)
    }


def main() -> None:
    """Fit the model of speech and print; write when asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("heard", type=Path)
    parser.add_argument("gold", type=Path)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    heard: list[Row] = []
    for line in args.heard.read_text(encoding="utf-8").splitlines():
        record = json.loads(line)
        name = Path(record["narration"]).name.split(".")[0]
        path = args.gold / f"{name}.json"
        if path.exists():
            words = tuple(Word.model_validate(w) for w in record["words"])
            heard += rows_of(name, Transcript(words), expected(path))
    weights = report("heard", heard)
    if args.write:
        kept = json.loads(WEIGHTS.read_text(encoding="utf-8"))
        kept |= {"heard": weights, "heard_made_on": dt.date.today().isoformat()}
        WEIGHTS.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
        print(f"Written to {WEIGHTS.name}.")


if __name__ == "__main__":
    main()
