"""Does localisation find the site? Vignettes, recovery, next tests, sensitivity to assumptions.

``python bench/localise.py [vignettes] [recovery] [tests] [sensitivity] [--folder F]…`` prints
the parts named, or all. Vignettes: the share whose expected site is first, and among the first
three, by folder. Recovery: examinations drawn from every site with 5 per cent wrong findings
and half the steps missing. Tests: cases solved after so many tests, when tests follow "next
test", the usual short examination and then all else from head to toe, or chance;
``--plot FILE`` draws it. Sensitivity: every
assumption halved and doubled (as odds, where it is a chance), and how many vignettes keep
their first place.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import Counter, defaultdict
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from assumptions import changed
from curves import svg
from patients import Patient, draw, is_right
from plessor.lexicon.odds import load_odds
from plessor.pipeline.interpret.localise.damage import SiteKey
from plessor.pipeline.interpret.localise.likelihood import log_likelihoods
from plessor.pipeline.interpret.localise.model import Model, build_model, load_model
from plessor.pipeline.interpret.localise.next_test import chances, information, leading_forms, plan
from plessor.pipeline.interpret.localise.posterior import localise, log_prior_at, log_shares
from plessor.pipeline.interpret.localise.reading import read_findings
from plessor.pipeline.record import Finding

HERE = Path(__file__).resolve().parent
FOLDERS = (HERE.parent / "tests/vignettes", HERE.parents[1] / "shared/gold/vignettes")
WRONG, MISSING, SEED = 0.05, 0.5, 20240
MOST_TESTS, CASES = 200, 110

Key = tuple[str, str | None, str]


def main() -> None:
    """Print the parts that were asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("parts", nargs="*", default=[])
    parser.add_argument("--folder", type=Path, action="append")
    parser.add_argument("--plot", type=Path)
    parser.add_argument("--draws", type=int, default=2)
    parser.add_argument("--cases", type=int, default=CASES)
    options = parser.parse_args()
    parts = options.parts or ["vignettes", "recovery", "tests", "sensitivity"]
    folders = [f for f in options.folder or FOLDERS if f.exists()]
    model = load_model()
    if "vignettes" in parts:
        for folder in folders:
            report_vignettes(model, folder)
    if "recovery" in parts:
        report_recovery(model, options.draws)
    if "tests" in parts:
        report_tests(model, options.cases, options.plot)
    if "sensitivity" in parts:
        report_sensitivity(folders)


# --- vignettes -------------------------------------------------------------------------------


def read_vignettes(folder: Path) -> list[dict]:
    """The vignettes of a folder, by name."""
    return [json.loads(path.read_text()) for path in sorted(folder.glob("*.json"))]


def findings_of(vignette: dict) -> tuple[Finding, ...]:
    """The findings, "both" as two."""
    return tuple(
        Finding(modality=m, segment=s, side=one, grade=g, status=status)
        for m, s, side, g, status in vignette["findings"]
        for one in (("left", "right") if side == "both" else (side,))
    )


def ranked(model: Model, vignette: dict) -> list[Key]:
    """The sites of a vignette, most probable first."""
    found = localise(model, findings_of(vignette), vignette["age_months"])
    order = (-found.probability).argsort(kind="stable")[:5]
    return [_key(model.sites[i]) for i in order]


def _key(site: SiteKey) -> Key:
    return site.site, site.which, "none" if site.side == "both" else site.side


def accepted(vignette: dict) -> set[Key]:
    """The sites that are right in first place."""
    sites = [vignette["expect"], *vignette["accept"]]
    return {_key(SiteKey(s["site"], s["which"], s["side"])) for s in sites}


def report_vignettes(model: Model, folder: Path) -> None:
    """First and first three, the normals, the time."""
    vignettes = read_vignettes(folder)
    first = three = normals = calm = 0
    seconds = []
    for vignette in vignettes:
        start = time.perf_counter()
        found, right = ranked(model, vignette), accepted(vignette)
        seconds.append(time.perf_counter() - start)
        first += found[0] in right
        three += any(site in right for site in found[:3])
        if vignette["expect"]["site"] == "normal":
            normals, calm = normals + 1, calm + (found[0] in right)
        if found[0] not in right:
            print(f"  {vignette['id']}: {sorted(right, key=str)} expected, got {found[:3]}")
    n = len(vignettes)
    print(
        f"vignettes in {folder.parent.name}/{folder.name}: {n}, first {first / n:.3f}, first three "
        f"{three / n:.3f}, normals {calm}/{normals}, {1000 * np.mean(seconds):.1f} ms each, "
        f"{1000 * max(seconds):.1f} ms the slowest"
    )


# --- recovery --------------------------------------------------------------------------------


def report_recovery(model: Model, draws: int) -> None:
    """The site among the first three: every kind alike, which of it as common as it is, and
    every single site alike (some show in one or two steps only, so half of them are missed)."""
    sites = np.arange(len(model.sites))
    prior = np.add.reduceat(np.exp(log_prior_at(model, 480)), model.starts)
    rng = np.random.default_rng(SEED)
    kinds = list(dict.fromkeys(s.site for s in model.sites))
    by_kind = []
    for kind in kinds:
        part = np.array([i for i in sites if model.sites[i].site == kind])
        share = prior[part] / prior[part].sum()
        by_kind += [int(i) for i in rng.choice(part, size=10 * draws, p=share)]
    print(
        "recovery, 5 per cent wrong, half the steps missing (first, first three, within a segment)"
    )
    print(" every kind alike")
    _report_drawn(model, by_kind, rng, each=True)
    print(" every site alike")
    _report_drawn(model, [int(i) for i in sites for _ in range(draws)], rng, each=False)


def _report_drawn(
    model: Model, drawn: Sequence[int], rng: np.random.Generator, *, each: bool
) -> None:
    levels = model.space.lexicon.vocabulary.levels
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    for site in drawn:
        patient = draw(model, site, rng, wrong=WRONG)
        keep = rng.random(len(patient.findings)) >= MISSING
        seen = [f for f, kept in zip(patient.findings, keep, strict=True) if kept]
        found = localise(model, seen, patient.age_months).probability
        order = [model.sites[i] for i in (-found).argsort(kind="stable")[:3]]
        shown = "all"
        for name in (patient.site.site, shown):
            count = counts[name]
            count["drawn"] += 1
            count["first"] += order[0] == patient.site
            count["three"] += patient.site in order
            count["near"] += any(is_right(s, patient.site, levels, near=True) for s in order)
    for kind, count in counts.items():
        if each or kind in ("all", "root", "nerve", "plexus"):
            print(f"  {kind:24}" + _shares(count))


def _shares(count: Counter[str]) -> str:
    n = count["drawn"]
    return f"{n:5d}  " + "  ".join(f"{count[k] / n:.3f}" for k in ("first", "three", "near"))


# --- next test -------------------------------------------------------------------------------


def report_tests(model: Model, cases: int, plot: Path | None) -> None:
    """The share of cases solved after so many tests, by the order of the tests."""
    rng = np.random.default_rng(SEED)
    kinds = sorted({s.site for s in model.sites} - {"normal"})
    curves = {name: np.zeros(MOST_TESTS + 1) for name in ("next test", "head to toe", "random")}
    for case in range(cases):
        kind = kinds[case % len(kinds)]
        of_kind = [i for i, s in enumerate(model.sites) if s.site == kind]
        patient = draw(model, int(rng.choice(of_kind)), rng, wrong=WRONG)
        logs = Evidence(model, patient)
        curves["next test"] += logs.follow(None)
        curves["head to toe"] += logs.follow(head_to_toe(model))
        curves["random"] += logs.follow([int(i) for i in rng.permutation(len(patient.findings))])
    print(f"cases solved (site first; a cord level within a segment) of {cases}, by tests done")
    for name, curve in curves.items():
        shown = "  ".join(
            f"{n}: {curve[n] / cases:.2f}" for n in (5, 10, 15, 20, 30, 40, 60, 100, 200)
        )
        print(f"  {name:12} {shown}")
    for goal in (0.5, 0.6, 0.7, 0.8):
        needed = {name: _first_at(curve / cases, goal) for name, curve in curves.items()}
        print(f"  tests for {goal:.0%} solved: " + ", ".join(f"{k} {v}" for k, v in needed.items()))
    if plot:
        plot.write_text(svg({name: curve / cases for name, curve in curves.items()}))


def _first_at(curve: np.ndarray, goal: float) -> str:
    reached = np.flatnonzero(curve >= goal)
    return str(int(reached[0])) if len(reached) else f"over {MOST_TESTS}"


class Evidence:
    """The log-likelihoods of every finding of a patient, to be taken in any order."""

    def __init__(self, model: Model, patient: Patient) -> None:
        self.model, self.patient = model, patient
        readings = [read_findings(model, [f])[0] for f in patient.findings]
        self.terms = np.stack(log_likelihoods(model, readings, patient.age_months))
        prior = log_prior_at(model, patient.age_months)
        self.start = prior + log_shares(model, patient.age_months)[:, None]
        every = np.arange(len(model.hypotheses))
        self.reports = chances(model, patient.age_months, np.arange(len(readings)), every)

    def follow(self, order: Sequence[int] | None) -> np.ndarray:
        """1 where the site is found after so many tests; ``None`` follows the next test."""
        levels = self.model.space.lexicon.vocabulary.levels
        log_joint, done = self.start.copy(), np.zeros(len(self.patient.findings), bool)
        solved = np.zeros(MOST_TESTS + 1)
        for count in range(MOST_TESTS + 1):
            joint = np.exp(log_joint - log_joint.max())
            by_form = joint.sum(0) / joint.sum()
            by_site = np.add.reduceat(by_form, self.model.starts)
            first = self.model.sites[int(by_site.argmax())]
            solved[count] = is_right(first, self.patient.site, levels, near=True)
            if count < MOST_TESTS:
                step = order[count] if order is not None else self.best(by_form, done)
                done[step] = True
                log_joint = log_joint + self.terms[:, step]
        return solved

    def best(self, by_form: np.ndarray, done: np.ndarray) -> int:
        """The open step that is expected to tell most."""
        forms, weights = leading_forms(self.model, by_form)
        reports = self.reports[:, :, forms]
        bits = information(self.model.site_of[forms], weights, reports)
        bits[done] = -1
        return int(bits.argmax())


#: The usual short examination: tone, the key muscles of ISNCSCI and shoulder abduction, jerks
#: and plantar responses, coordination, pinprick at the ISNCSCI points of the limbs and of T4 and
#: T10, vibration at the toe, gait. What is not named follows from head to toe.
SHORT = {
    "tone": ("upper_limb", "lower_limb"),
    "power": ("shoulder_abduction", "elbow_flexion", "wrist_extension", "elbow_extension",
              "finger_flexion", "finger_abduction", "hip_flexion", "knee_extension",
              "ankle_dorsiflexion", "great_toe_extension", "ankle_plantarflexion"),
    "reflex": ("biceps_jerk", "triceps_jerk", "supinator_jerk", "knee_jerk", "ankle_jerk"),
    "plantar_response": ("none",),
    "finger_nose": ("none",),
    "heel_shin": ("none",),
    "pinprick": ("C5", "C6", "C7", "C8", "T1", "T4", "T10", "L2", "L3", "L4", "L5", "S1"),
    "vibration": ("great_toe",),
    "romberg_sign": ("none",),
    "tandem_gait": ("none",),
}  # fmt: skip


def head_to_toe(model: Model) -> list[int]:
    """The short examination, then the rest: inspection, tone, power, reflexes, coordination,
    sensation, gait, each from above down."""
    groups = ("inspection", "tone", "power", "reflexes", "coordination", "sensation", "gait")
    vocabulary, steps = model.space.lexicon.vocabulary, plan(model).steps
    return sorted(
        range(len(steps)),
        key=lambda i: (
            steps[i].segment not in SHORT.get(steps[i].modality, ()),
            groups.index(vocabulary.group(steps[i].modality)),
        ),
    )


# --- sensitivity -----------------------------------------------------------------------------


def report_sensitivity(folders: list[Path]) -> None:
    """First places under every assumption halved and doubled."""
    vignettes = [v for folder in folders for v in read_vignettes(folder)]
    base = load_model()
    before = [ranked(base, v)[0] for v in vignettes]
    right = [accepted(v) for v in vignettes]
    n = len(vignettes)
    print(f"sensitivity, {n} vignettes: first place kept, and right, with each assumption changed")
    kept_all, right_all = [], []
    for name, factor, odds in changed(load_odds()):
        model = build_model(odds)
        now = [ranked(model, v)[0] for v in vignettes]
        kept = sum(a == b for a, b in zip(before, now, strict=True)) / n
        good = sum(a in ok for a, ok in zip(now, right, strict=True)) / n
        kept_all.append(kept)
        right_all.append(good)
        print(f"  {name:22} x{factor:<4} kept {kept:.3f}  right {good:.3f}")
    print(
        f"  kept: mean {np.mean(kept_all):.3f}, least {min(kept_all):.3f}; "
        f"right: mean {np.mean(right_all):.3f}, least {min(right_all):.3f}"
    )


if __name__ == "__main__":
    main()
