"""From findings to what they are read as: columns, grade and weight.

A grade speaks by its scale: power 4+ is weak evidence, 0 strong, a brisk reflex weighs
little where health is brisk as well. A region that was graded as a whole speaks for all its
parts: "normal" as if for the worst, "reduced" as if for the mean, and only for parts that have
no finding of their own. What was not examined or could not be judged says nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...record import Finding
from .model import Model
from .space import INSPECTED, SIDES, SUPERFICIAL

Mode = str  # "worst": one part is enough; "whole": all parts; "one": a part that is not named
_Key = tuple[str, str]


@dataclass(frozen=True)
class Reading:
    """What one finding is read as: columns, how they go together, its grade, its weight.

    ``grade`` holds the chance of the grade when the result is markedly less, slightly less,
    normal or more. ``weight`` is the power that the likelihood is raised to, ``wrong`` the
    chance of this grade by a slip, whatever the site.
    """

    finding: int
    modality: str
    side: str
    columns: tuple[int, ...]
    leaves: tuple[str, ...]
    mode: Mode
    grade: tuple[float, float, float, float]
    gait: str | None
    weight: float
    wrong: float


def read_findings(model: Model, findings: Sequence[Finding]) -> list[Reading]:
    """The readings of the observed findings; those that no column stands for are left out."""
    observed = [(i, f) for i, f in enumerate(findings) if f.grade is not None]
    leaves = {i: model.space.resolve(f.modality, f.segment) for i, f in observed}
    finer: dict[_Key, list[frozenset[str]]] = {}
    times: dict[tuple[str, str, str], int] = {}
    for i, f in observed:
        finer.setdefault((f.modality, f.side), []).append(frozenset(leaves[i]))
        times[f.key] = times.get(f.key, 0) + 1
    readings = []
    for i, f in observed:
        mine = frozenset(leaves[i])
        named = {leaf for part in finer[f.modality, f.side] if part < mine for leaf in part}
        left = tuple(leaf for leaf in leaves[i] if leaf not in named)
        if left:
            readings.append(_reading(model, i, f, left, 1 / times[f.key]))
    return readings


def _reading(
    model: Model, index: int, finding: Finding, leaves: tuple[str, ...], share: float
) -> Reading:
    space, weight = model.space, model.odds.weight
    is_gait = finding.modality == "gait"
    channel = space.channel(finding.modality)
    sides = [SIDES.index(finding.side)] if finding.side in SIDES else [0, 1]
    columns = tuple(space.column(channel, leaf, s) for leaf in leaves for s in sides)
    if finding.side == "unstated":
        mode = "one"
    elif channel in INSPECTED or (len(leaves) == 1 and len(sides) == 2):
        mode = "worst"
    else:
        mode = "whole"
    group = space.lexicon.vocabulary.group(finding.modality)
    power = weight[group] * share * finding.confidence
    if finding.certainty == "possible":
        power *= weight["possible"]
    return Reading(
        finding=index,
        modality=finding.modality,
        side=finding.side,
        columns=columns,
        leaves=leaves,
        mode=mode,
        grade=(0.0,) * 4
        if is_gait
        else grade_chances(model, finding.modality)[finding.grade or ""],
        gait=finding.grade if is_gait else None,
        weight=power,
        wrong=weight["wrong"] / len(space.lexicon.vocabulary.grades(finding.modality)),
    )


def grade_chances(model: Model, modality: str) -> dict[str, tuple[float, float, float, float]]:
    """The chances of each grade of a modality, as ``localisation.toml`` gives them."""
    scale = model.space.lexicon.vocabulary.modalities[modality].scale
    wanted = "superficial" if modality in SUPERFICIAL else scale
    return next(dict(g.values) for g in model.odds.grades if g.scale == wanted)
