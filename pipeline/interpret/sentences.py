"""The interpretation in sentences, each with all that it rests on.

What was and was not examined, how left stands to right, what to be careful about, and which
taught facts the tables contradict. Never a diagnosis.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ...lexicon.labels import name, place_name
from .grading import Case
from .models import (
    Caution,
    ClaimCheck,
    Comparison,
    Coverage,
    Sentence,
    StepCoverage,
    StepState,
)
from .wording import all_findings, all_rows, capital, listed

_EXAMINATIONS = {
    "upper_limbs": "the upper limbs",
    "lower_limbs": "the lower limbs",
    "full": "upper and lower limbs",
}
_LEADS: dict[StepState, str] = {
    "done": "Done",
    "one_side_only": "On one side only",
    "not_assessable": "Could not be assessed, as said",
    "not_examined": "Not examined, as said",
    "not_done": "Not recorded",
    "not_expected": "Not recorded, and not expected at this age",
}


def say(
    case: Case,
    *,
    summary: Iterable[Sentence],
    coverage: Coverage | None,
    comparisons: Iterable[Comparison],
    measures: Iterable[Sentence],
    cautions: Iterable[Caution],
    checks: Iterable[ClaimCheck],
) -> tuple[Sentence, ...]:
    """All sentences: urgent cautions, then the summary, then the parts one by one."""
    warnings = [
        Sentence(kind="caution", text=c.text, urgent=c.urgent, findings=c.findings, rows=c.rows)
        for c in cautions
    ]
    return (
        *(w for w in warnings if w.urgent),
        *summary,
        *_coverage(case, coverage),
        *_comparisons(case, tuple(comparisons)),
        *measures,
        *(w for w in warnings if not w.urgent),
        *(
            Sentence(kind="claim", text=c.text, claims=(c.claim,), rows=c.rows)
            for c in checks
            if c.result == "contradicts"
        ),
    )


def _coverage(case: Case, coverage: Coverage | None) -> Iterator[Sentence]:
    if coverage is None:
        yield Sentence(
            kind="coverage",
            text="No findings were recorded, so nothing is said about what was examined.",
        )
        return
    how = "as chosen" if coverage.chosen else "taken from what was recorded"
    age = (
        "" if case.record.age_months is not None else " No age is known, so every step is expected."
    )
    yield Sentence(
        kind="coverage",
        text=f"Held against an examination of {_EXAMINATIONS[coverage.examination]}, {how}.{age}",
    )
    for state, lead in _LEADS.items():
        steps = [step for step in coverage.steps if step.state == state]
        if steps:
            yield Sentence(
                kind="coverage",
                text=f"{lead}: {_grouped(case, steps)}.",
                findings=all_findings(s.findings for s in steps),
                rows=all_rows(s.rows for s in steps),
            )


def _grouped(case: Case, steps: list[StepCoverage]) -> str:
    groups: dict[str, list[str]] = {group: [] for group in case.lexicon.vocabulary.groups}
    for step in steps:
        groups[step.group].append(_step_words(step))
    return "; ".join(
        f"{name('group', group)} ({', '.join(words)})" for group, words in groups.items() if words
    )


def _step_words(step: StepCoverage) -> str:
    if step.state == "one_side_only":
        side, other = ("left", step.right) if step.left == "done" else ("right", step.left)
        unsaid = " or unstated" if step.side_not_stated else ""
        why = "" if other in (None, "not_done") else f", other side {name('status', str(other))}"
        return f"{step.short} on the {side}{unsaid}{why}"
    return f"{step.short}, side not stated" if step.side_not_stated else step.short


def _comparisons(case: Case, comparisons: tuple[Comparison, ...]) -> Iterator[Sentence]:
    if not comparisons:
        return
    same = sum(c.relation == "same" for c in comparisons)
    alike = {0: "none of them", len(comparisons): "all"}.get(same, str(same))
    yield Sentence(
        kind="comparison",
        text=f"The two sides can be compared in {len(comparisons)} "
        f"{'place' if len(comparisons) == 1 else 'places'}: {alike} the same.",
        findings=all_findings(c.findings for c in comparisons),
        rows=all_rows(c.rows for c in comparisons),
    )
    for c in comparisons:
        if c.size in ("more_than_one_step", "not_sized"):
            yield Sentence(
                kind="comparison",
                text=f"{capital(place_name(c.modality, c.segment))}: {_difference(case, c)}.",
                findings=c.findings,
                rows=c.rows,
            )
    small: dict[str, list[Comparison]] = {}
    for c in comparisons:
        if c.size == "one_step":
            small.setdefault(case.scale(c.modality).id, []).append(c)
    for scale, differences in small.items():
        yield _one_step(case, scale, differences)


def _one_step(case: Case, scale: str, differences: list[Comparison]) -> Sentence:
    places = (f"{place_name(c.modality, c.segment)} {_less(case, c)}" for c in differences)
    ways = {(c.modality, c.relation) for c in differences}
    together = len(differences) > 2 and len(ways) == 1
    return Sentence(
        kind="comparison",
        text=f"Different by one step at most, which is within examiner variation "
        f"({case.rules.scales[scale].agreement}): {listed(places)}."
        + (" They all point the same way." if together else ""),
        findings=all_findings(c.findings for c in differences),
        rows=all_rows(c.rows for c in differences),
    )


def _difference(case: Case, c: Comparison) -> str:
    if c.size == "more_than_one_step":
        return f"{_less(case, c)}, by more than one step"
    sides = dict.fromkeys(case.findings[i].side for i in c.findings)  # in the order spoken
    words = ", ".join(f"{_graded(c, side)} on the {side}" for side in sides)
    return f"{words}; the two may mean the same" if c.relation == "unclear" else words


def _less(case: Case, c: Comparison) -> str:
    low, high = ("left", "right") if c.relation == "left_less" else ("right", "left")
    word = case.scale(c.modality).lower
    return f"{word} on the {low} ({_graded(c, low)}) than on the {high} ({_graded(c, high)})"


def _graded(c: Comparison, side: str) -> str:
    grade, at = (c.left, c.left_at) if side == "left" else (c.right, c.right_at)
    given_for = "" if at == c.segment else f" for the {name('segment', at)}"
    return name("grade", grade) + given_for
