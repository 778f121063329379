"""From a record to what follows from it: one function, one result."""

from __future__ import annotations

from dataclasses import dataclass

from ...lexicon import InputError, nearest
from ...lexicon.rules import EXAMINATIONS, Examination
from ..record import Record
from .cautioning import warn, withheld_findings
from .claims import check_claims
from .comparison import compare_sides
from .coverage import judge_coverage
from .grading import open_case
from .hpo import name_phenotypes
from .models import Interpretation
from .sentences import say


@dataclass(frozen=True, kw_only=True)
class InterpretOptions:
    """``examination`` is what the examination should hold; None: taken from the findings."""

    examination: Examination | None = None

    def __post_init__(self) -> None:
        if self.examination is not None and self.examination not in EXAMINATIONS:
            near = nearest(self.examination, EXAMINATIONS)
            raise InputError(
                f"There is no examination “{self.examination}”; choose one of "
                f"{', '.join(EXAMINATIONS)}" + (f", perhaps “{near}”." if near else ".")
            )


def interpret(record: Record, *, options: InterpretOptions | None = None) -> Interpretation:
    """What follows from the findings and the age of ``record``, never a diagnosis.

    Depends on nothing but the record and the lexicon: a corrected record gives a corrected
    interpretation. An empty record gives an interpretation that says so.
    """
    options = options or InterpretOptions()
    case = open_case(record)
    coverage = judge_coverage(case, options.examination)
    comparisons = compare_sides(case)
    cautions = warn(case, coverage)
    checks = check_claims(case)
    return Interpretation(
        narration=record.narration,
        age_months=record.age_months,
        caution=case.rules.standing,
        coverage=coverage,
        comparisons=comparisons,
        cautions=cautions,
        claim_checks=checks,
        phenotypes=name_phenotypes(case, withheld_findings(case, cautions)),
        sentences=say(case, coverage, comparisons, cautions, checks),
    )
