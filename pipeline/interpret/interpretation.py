"""From a record to what follows from it: one function, one result."""

from __future__ import annotations

from dataclasses import dataclass

from ...lexicon import InputError, nearest
from ...lexicon.rules import EXAMINATIONS, Examination
from ..record import Record
from .cautioning import warn, withheld_findings
from .changes import changes_since, describe_earlier
from .claims import check_claims
from .comparison import compare_sides
from .contrasts import contrast_parts
from .coverage import judge_coverage
from .grading import is_abnormal, open_case
from .hpo import name_phenotypes
from .levels import sensory_levels
from .localise import locate
from .measured import say_changes, say_contrasts, say_levels, say_scores
from .models import Interpretation
from .scores import sum_scores
from .sentences import say
from .summary import summarise


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


def interpret(
    record: Record, *, earlier: Record | None = None, options: InterpretOptions | None = None
) -> Interpretation:
    """What follows from the findings and the age of ``record``, never a diagnosis.

    Depends on nothing but the record and the lexicon: a corrected record gives a corrected
    interpretation. An empty record gives an interpretation that says so. With ``earlier``,
    an earlier record of the same child, the changes since then are told too.
    """
    options = options or InterpretOptions()
    case = open_case(record)
    coverage = judge_coverage(case, options.examination)
    abnormal = tuple(i for i in case.observed if is_abnormal(case, i))
    comparisons, contrasts = compare_sides(case), contrast_parts(case)
    scores, levels = sum_scores(case), sensory_levels(case)
    changes = changes_since(open_case(earlier), case) if earlier else ()
    before = describe_earlier(earlier, record, changes) if earlier else None
    location = locate(case, abnormal)
    cautions = warn(case, coverage, location.sites)
    checks = check_claims(case)
    return Interpretation(
        narration=record.narration,
        age_months=record.age_months,
        caution=case.rules.standing,
        abnormal=abnormal,
        sites=location.sites,
        other_probability=location.other,
        two_sites=location.two_sites,
        next_tests=location.next_tests,
        coverage=coverage,
        comparisons=comparisons,
        contrasts=contrasts,
        scores=scores,
        sensory_levels=levels,
        earlier=before,
        changes=changes,
        cautions=cautions,
        claim_checks=checks,
        phenotypes=name_phenotypes(case, withheld_findings(case, cautions)),
        sentences=say(
            case,
            summary=summarise(
                case,
                abnormal=abnormal,
                coverage=coverage,
                sites=location.sites,
                two_sites=location.two_sites,
                next_tests=location.next_tests,
            ),
            coverage=coverage,
            comparisons=comparisons,
            measures=(
                *say_contrasts(case, contrasts),
                *say_scores(scores),
                *say_levels(levels),
                *say_changes(before, changes),
            ),
            cautions=cautions,
            checks=checks,
        ),
    )
