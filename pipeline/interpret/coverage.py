"""How much of the expected examination was done, step by step and side by side.

The steps are data (``rules/coverage.toml``). What the age norms do not ask of a child of
this age is not called missing, and nothing that was not examined is called normal.
"""

from __future__ import annotations

from collections.abc import Iterable

from ...lexicon.rules import Examination, Step
from ..record import Finding
from .grading import Case, norm_row, rule_row
from .models import Coverage, SideState, StepCoverage, StepState
from .scope import is_one_of, limbs_of, speaks_for

_TABLE = "rules/coverage.toml"
_ORDER: tuple[SideState, ...] = ("not_done", "not_examined", "not_assessable", "done")
_STATES: dict[str, SideState] = {
    "observed": "done",
    "not_assessable": "not_assessable",
    "not_examined": "not_examined",
}
_EXAMINATION_OF: dict[str, Examination] = {
    "upper_limb": "upper_limbs",
    "lower_limb": "lower_limbs",
}


def judge_coverage(case: Case, examination: Examination | None) -> Coverage | None:
    """The coverage of ``examination``, or of the one that the findings speak of.

    None when no examination was chosen and the record has no findings.
    """
    chosen = examination is not None
    if examination is None:
        if not case.findings:
            return None
        examination = infer_examination(case)
    steps = (
        step
        for step in case.rules.steps
        if (examination == "full" or examination in step.examinations)
        and case.is_within_age(None, step.below_months)
    )
    return Coverage(
        examination=examination,
        chosen=chosen,
        steps=tuple(_judged(case, step) for step in steps),
    )


def infer_examination(case: Case) -> Examination:
    """The examination that was meant: of the limb that was examined, else ``full``.

    A limb was examined when its findings belong to two groups or more (a plantar response
    beside an examination of the arms does not make one of the legs). Findings of the whole
    body, the trunk and the face do not tell; gait tells only when nothing else does.
    """
    attempted = [f for f in case.findings if f.status != "not_examined"] or list(case.findings)
    groups: dict[str, set[str]] = {}
    for finding in attempted:
        group = case.lexicon.vocabulary.group(finding.modality)
        limbs = limbs_of(case, finding)
        if group != "gait" and len(limbs) == 1:
            groups.setdefault(next(iter(limbs)), set()).add(group)
    examined = [limb for limb, of in groups.items() if len(of) > 1] or list(groups)
    if len(examined) == 1:
        return _EXAMINATION_OF[examined[0]]
    is_gait = [case.lexicon.vocabulary.group(f.modality) == "gait" for f in attempted]
    return "lower_limbs" if all(is_gait) else "full"


def _judged(case: Case, step: Step) -> StepCoverage:
    found = [i for i, f in enumerate(case.findings) if _counts(case, step, f)]
    findings = [case.findings[i] for i in found]
    left = _best(f for f in findings if f.side not in ("right", "unstated"))
    right = _best(f for f in findings if f.side not in ("left", "unstated"))
    unsided = _best(f for f in findings if f.side == "unstated")
    state: StepState
    if not step.paired:
        state = _best(findings)
    elif (left == "done") != (right == "done"):
        state = "one_side_only"
    else:
        state = max(left, right, unsided, key=_ORDER.index)
    rows = [rule_row(_TABLE, step)]
    if state == "not_done" and not case.is_within_age(step.from_months, None):
        norms = case.norms(step.norm)
        if norms:
            state = "not_expected"
            rows.extend(map(norm_row, norms))
    return StepCoverage(
        step=step.id,
        title=step.title,
        short=step.short,
        group=step.group,
        state=state,
        left=left if step.paired else None,
        right=right if step.paired else None,
        side_not_stated=step.paired
        and unsided == "done"
        and not (left == "done" and right == "done"),
        findings=tuple(found),
        rows=tuple(rows),
    )


def _counts(case: Case, step: Step, finding: Finding) -> bool:
    is_step = is_one_of(case, finding, step.modalities, step.groups)
    is_denied = finding.status != "observed" and finding.modality in step.denied_by
    return (is_step or is_denied) and speaks_for(case, finding, step.places)


def _best(findings: Iterable[Finding]) -> SideState:
    return max((_STATES[f.status] for f in findings), key=_ORDER.index, default="not_done")
