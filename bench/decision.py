"""Estimates the weights of ``lexicon/data/sounds/decision.csv`` from what was said and heard.

    python bench/decision.py HEARD.jsonl … [--write]

Each line of HEARD.jsonl is an invented narration that was spoken and recognised: ``said``,
``words`` (text, start s, end s, probability), ``weighed`` (first word, last word, wording,
nats), ``voice`` and, when the narration is line N of ``said.txt``, ``line`` N: its words are
then left out of the model of trade talk, so that the weights are not estimated on sentences
that the model has seen.
There are weights for transcripts of which the recogniser was asked again, and for others.

``prose.txt``, ordinary English that no recogniser had a hand in, teaches what to leave alone.
Every change that is proposed (``rivals.py``, which goes by the weights that there are, so that a
second run may improve on a first) is made and unmade in the corrected text: it is right
when taking it back makes the text worse (word errors, missed terms, and false terms twice).
The weights are those of a logistic regression with a small ridge, fitted by Newton's method.
"""

from __future__ import annotations

import argparse
import json
import random
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import phrases  # same folder
from hearing import Terms, folded, tally  # same folder
from plessor.lexicon import load
from plessor.lexicon.files import read_rows
from plessor.pipeline.correct.context import Context
from plessor.pipeline.correct.correction import CorrectOptions
from plessor.pipeline.correct.doubts import listen
from plessor.pipeline.correct.edges import build
from plessor.pipeline.correct.marks import MARKS, marks_of
from plessor.pipeline.correct.rivals import likeliest
from plessor.pipeline.correct.targets import Hearing, hearing
from plessor.pipeline.correct.units import tokens_of, units_of
from plessor.pipeline.transcript import Weighed, Wording

RIDGE = 1.0
OUT = Path(__file__).resolve().parent.parent / "lexicon/data/sounds/decision.csv"


def knowledge() -> list[Hearing]:
    """What correction knows when a third of ``said.txt`` is left out, for each third, and all."""
    ruled = phrases.formulas()
    terms = load().terms
    words = sorted({w for t in terms for s in t.spoken for w in tokens_of(s)})
    out = []
    for third in (0, 1, 2, None):
        runs, members = phrases.counts(phrases.told(third) * 3 + ruled)
        for _, row in read_rows("sounds/classes.csv"):
            members.setdefault((row["class"], row["word"]), 0)
        out.append(hearing(terms, talk=Context(runs, members, words)))
    return out


def ordinary_prose() -> list[dict]:
    """The lines of ``prose.txt``, alone and two by two, as if heard without an error."""
    rnd = random.Random(5)
    text = (Path(__file__).with_name("prose.txt")).read_text(encoding="utf-8").splitlines()
    out = []
    for k in range(len(text)):
        said = " ".join(text[k : k + 1 + k % 2])
        words = [(w, 0.0, 0.0, rnd.choice((0.5, 0.8, 0.95, 0.99))) for w in said.split()]
        out.append({"said": said, "words": words, "voice": "prose"})
    return out


def examples(
    lines: list[dict], terms: Terms, known: list[Hearing], *, listened: bool
) -> Iterator[tuple[int, list[float], float, float]]:
    """For every change its line, its marks, whether it is right, and how much that matters."""
    for number, one in enumerate(lines):
        third = one.get("line")
        units = units_of([w[0].strip() for w in one["words"]])
        sure = [one["words"][u.word][3] for u in units]
        knows = known[3 if third is None else third % 3]
        lattice = build(units, sure, knows, CorrectOptions().weights)
        weighed = [Weighed(Wording(a, b, t), nats) for a, b, t, nats in one.get("weighed", ())]
        listen(lattice, [w[0].strip() for w in one["words"]], weighed if listened else None)
        changes = likeliest(lattice)
        said = folded(one["said"])

        def cost(skip: int, units=units, changes=changes, said=said) -> float:
            text, at = [], 0
            for k, change in enumerate(changes):
                text += [u.text for u in units[at : change.first]]
                kept = [u.text for u in units[change.first : change.last]]
                text += kept if k == skip else list(change.tokens)
                at = change.last
            text += [u.text for u in units[at:]]
            got = tally(said, folded(" ".join(text)), terms)
            return got["errors"] + got["terms"] - got["right"] + 2 * got["false"]

        whole = cost(-1)
        for k, change in enumerate(changes):
            if change.edge.size == 0:
                continue
            gained = cost(k) - whole
            marks = marks_of(change, lattice)
            right = float(gained > 0)
            yield number, [marks[m] for m in MARKS], right, max(0.4, min(3.0, abs(gained)))


def fit(x: np.ndarray, y: np.ndarray, weight: np.ndarray, ridge: float = RIDGE) -> np.ndarray:
    """Logistic regression by Newton's method; x (n, k), y and weight (n,)."""
    w = np.zeros(x.shape[1])
    penalty = np.full(x.shape[1], ridge)
    penalty[0] = 1e-6
    for _ in range(60):
        p = 1 / (1 + np.exp(-np.clip(x @ w, -30, 30)))
        gradient = x.T @ (weight * (p - y)) + penalty * w
        curvature = (x * (weight * p * (1 - p))[:, None]).T @ x + np.diag(penalty)
        step = np.linalg.solve(curvature, gradient)
        w -= step
        if np.abs(step).max() < 1e-6:
            break
    return w


def _separation(guess: np.ndarray, y: np.ndarray) -> float:
    """The chance that a right change is given a higher chance than a wrong one."""
    rank = np.argsort(np.argsort(guess)) + 1
    right = y > 0
    n = right.sum()
    return float((rank[right].sum() - n * (n + 1) / 2) / (n * (~right).sum()))


def fitted(lines: list[dict], terms: Terms, known: list[Hearing], *, listened: bool) -> np.ndarray:
    """Print how the weights do on narrations left out of the fit, and give those of all."""
    rows = examples(lines, terms, known, listened=listened)
    numbers, *columns = zip(*rows, strict=True)
    x, y, weight = (np.array(c) for c in columns)
    by_text = {text: k for k, text in enumerate(dict.fromkeys(one["said"] for one in lines))}
    part = np.array([by_text[lines[n]["said"]] % 5 for n in numbers])
    guess = np.zeros(len(y))
    for k in range(5):
        w = fit(x[part != k], y[part != k], weight[part != k])
        guess[part == k] = 1 / (1 + np.exp(-x[part == k] @ w))
    print("\nwith the sound asked again" if listened else "\nfrom the words alone")
    print(f"{len(y)} changes, {y.mean():.2f} of them right, {_separation(guess, y):.3f} apart")
    for line in (0.3, 0.4, 0.5, 0.6, 0.7):
        made = guess >= line
        print(
            f"line {line}: {made.sum()} made, {y[made].mean():.3f} right, "
            f"{y[~made].sum():.0f} right ones left"
        )
    return fit(x, y, weight)


def main() -> None:
    """Print the weights and how they do on narrations left out of the fit."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("heard", nargs="+", type=Path)
    parser.add_argument("--write", action="store_true")
    args = parser.parse_args()
    lines = [json.loads(s) for path in args.heard for s in path.read_text().splitlines()]
    lines += ordinary_prose()
    terms = Terms.of(s for t in load().terms for s in t.spoken)
    known = knowledge()
    alone, asked = (fitted(lines, terms, known, listened=way) for way in (False, True))
    for name, one, other in zip(MARKS, alone, asked, strict=True):
        print(f"{name:>10} {one:+.2f} {other:+.2f}  {MARKS[name]}")
    if args.write:
        rows = zip(MARKS, alone, asked, strict=True)
        text = "".join(f"{name},{one:.3f},{other:.3f}\n" for name, one, other in rows)
        OUT.write_text("mark,weight,listened\n" + text, encoding="utf-8")


if __name__ == "__main__":
    main()
