"""Which places a finding speaks of, so that steps and cautions can be held against it.

A finding without a place speaks of its modality's usual place. Power at a spinal level also
speaks of the key muscle of that level (ISNCSCI), and of no other: which one was tested is not
said.
"""

from __future__ import annotations

from collections.abc import Collection

from ..record import Finding
from .grading import Case


def spoken_places(case: Case, finding: Finding) -> tuple[str, ...]:
    """The codes of the place tree that ``finding`` speaks of."""
    if finding.segment == "none":
        return (finding.modality,)
    if finding.modality == "power" and finding.segment in case.lexicon.vocabulary.levels:
        movements = (
            m.code
            for m in case.lexicon.tables.movements.values()
            if finding.segment == m.isncsci_level
        )
        return (finding.segment, *movements)
    return (finding.segment,)


def speaks_for(case: Case, finding: Finding, places: Collection[str]) -> bool:
    """Whether ``finding`` is at one of ``places``, at a part of one, or at a region with one."""
    return not places or any(
        case.places.overlap(code, place)
        for code in spoken_places(case, finding)
        for place in places
    )


def lies_in(case: Case, finding: Finding, places: Collection[str]) -> bool:
    """Whether ``finding`` is at one of ``places`` or at a part of one."""
    return not places or any(
        case.places.within(code, place) for code in spoken_places(case, finding) for place in places
    )


def limbs_of(case: Case, finding: Finding) -> frozenset[str]:
    """The limbs that ``finding`` speaks of: none, one, or both for the whole body."""
    return frozenset(
        limb for code in spoken_places(case, finding) for limb in case.places.limbs(code)
    )


def is_one_of(
    case: Case, finding: Finding, modalities: Collection[str], groups: Collection[str]
) -> bool:
    """Whether the modality of ``finding`` is listed, by itself or by its group."""
    return (
        finding.modality in modalities or case.lexicon.vocabulary.group(finding.modality) in groups
    )
