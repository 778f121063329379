"""What ``interpret`` returns: the models of an interpretation, one part a class.

Frozen, unknown keys refused, JSON round-trip, as the record. Every part names what it
rests on: ``findings`` are indices into ``Record.findings``, ``claims`` into
``Record.claims``, ``rows`` the entries of the lexicon's data with their sources.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from ...lexicon.rules import Examination
from .base import DataRow
from .base import Model as _Model
from .measures import Change, Contrast, Earlier, Score, SensoryLevel, Size

#: Version of this contract; a change of meaning raises the first number.
SCHEMA_VERSION = "1.0"

SideState = Literal["done", "not_assessable", "not_examined", "not_done"]
StepState = Literal[
    "done", "one_side_only", "not_assessable", "not_examined", "not_done", "not_expected"
]
Relation = Literal["same", "left_less", "right_less", "differs", "unclear"]


class Weight(_Model):
    """The weight of evidence of one finding, or of alike findings, for a site (Good 1950).

    Decibans, ten times the common logarithm of the likelihood ratio: ``decibans`` of the site
    against "nothing abnormal", ``against_next`` of it against the site that follows it in the
    list (for the last: that precedes it). Positive speaks for the site.
    """

    findings: tuple[int, ...]
    decibans: float
    against_next: float = 0.0
    rows: tuple[DataRow, ...] = ()


class SiteName(_Model):
    """A site without its probability; ``which`` is a level or a code of nerves or plexus."""

    site: str
    which: str | None = None
    side: str = "none"


class Site(_Model):
    """A place of lesion that would explain the findings; ``which`` is a level or a nerve.

    ``evidence`` (for the leading sites only) is ordered by size, whichever way it speaks.
    ``unexplained`` are abnormal findings that the site does not make likely.
    """

    site: str
    which: str | None = None
    side: str = "none"
    probability: Annotated[float, Field(ge=0.0, le=1.0)]
    evidence: tuple[Weight, ...] = ()
    unexplained: tuple[int, ...] = ()


class TwoSites(_Model):
    """Two lesions that explain together what no single one explains.

    ``decibans`` is the weight of evidence of the two over the best single site, the smaller
    prior chance of two lesions already taken off. ``explained`` are the findings that the
    second site adds.
    """

    first: SiteName
    second: SiteName
    decibans: float
    explained: tuple[int, ...] = ()


class NextTest(_Model):
    """A step that was not examined and what it would be expected to tell.

    ``information_bits`` is the expected fall of the entropy over the sites. ``separates`` are
    the sites that its result would part most.
    """

    modality: str
    segment: str
    side: str
    information_bits: Annotated[float, Field(ge=0.0)]
    text: str
    separates: tuple[SiteName, ...] = ()


class StepCoverage(_Model):
    """One expected step and whether it was done.

    ``left`` and ``right`` are None for a step without sides. ``side_not_stated`` means that
    a finding counted although it names no side. ``not_expected`` is said of a step that was
    not done and that the age norms do not ask of a child of this age.
    """

    step: str
    title: str
    short: str
    group: str
    state: StepState
    left: SideState | None = None
    right: SideState | None = None
    side_not_stated: bool = False
    findings: tuple[int, ...] = ()
    rows: tuple[DataRow, ...] = ()


class Coverage(_Model):
    """How much of an examination was done; ``chosen`` by the caller, or inferred."""

    examination: Examination
    chosen: bool
    steps: tuple[StepCoverage, ...]


class Comparison(_Model):
    """Left against right, the same modality at the same place.

    ``left_less`` means the lower grade on the scale is on the left (less power, a weaker
    reflex, less wasting). ``one_step`` lies within what two examiners differ by.
    ``unclear``: a word and a number that may mean the same. ``left_at`` and ``right_at`` are
    the places that the grades were given for: ``segment`` itself or, on one side, a region
    that contains it.
    """

    modality: str
    segment: str
    relation: Relation
    size: Size
    left: str
    right: str
    left_at: str
    right_at: str
    findings: tuple[int, ...]
    rows: tuple[DataRow, ...]


class Caution(_Model):
    """Something that a careful reader is warned about."""

    id: str
    title: str
    text: str
    urgent: bool = False
    findings: tuple[int, ...] = ()
    steps: tuple[str, ...] = ()
    rows: tuple[DataRow, ...] = ()


class ClaimCheck(_Model):
    """A taught fact held against the reference tables.

    ``variant``: some published table says so, though not the main one. ``expected`` is what
    the tables give. ``heard_probability`` is the lowest probability of the claim's words.
    """

    claim: int
    result: Literal["agrees", "variant", "contradicts", "no_table"]
    expected: tuple[str, ...] = ()
    text: str
    heard_probability: float | None = None
    rows: tuple[DataRow, ...] = ()


class Phenotype(_Model):
    """An HPO term and the abnormal findings that it names."""

    hp_id: Annotated[str, Field(pattern=r"^HP:\d{7}$")]
    label: str
    certainty: Literal["definite", "possible"]
    findings: tuple[int, ...]
    rows: tuple[DataRow, ...]


class Sentence(_Model):
    """One sentence of the interpretation and all that it rests on.

    ``sites`` and ``next_tests`` index those of the interpretation.
    """

    kind: Literal[
        "summary", "next_test", "coverage", "comparison", "score", "change", "caution", "claim"
    ]
    text: str
    urgent: bool = False
    findings: tuple[int, ...] = ()
    claims: tuple[int, ...] = ()
    sites: tuple[int, ...] = ()
    next_tests: tuple[int, ...] = ()
    rows: tuple[DataRow, ...] = ()


class Interpretation(_Model):
    """What follows from the findings and the age, never a diagnosis.

    ``coverage`` is None when nothing was recorded and no examination was chosen. ``sites`` is
    empty when nothing was observed; else the most probable come first, and
    ``other_probability`` is shared by all sites that are not listed. ``two_sites`` is None
    unless two lesions explain clearly more than one. ``next_tests`` are three at most, the
    most informative first. ``abnormal`` are the findings that are neither normal nor accepted
    at this age.
    """

    schema_version: str = SCHEMA_VERSION
    narration: str
    age_months: int | None
    caution: str
    abnormal: tuple[int, ...] = ()
    sites: tuple[Site, ...] = ()
    other_probability: float = 0.0
    two_sites: TwoSites | None = None
    next_tests: tuple[NextTest, ...] = ()
    coverage: Coverage | None = None
    comparisons: tuple[Comparison, ...] = ()
    contrasts: tuple[Contrast, ...] = ()
    scores: tuple[Score, ...] = ()
    sensory_levels: tuple[SensoryLevel, ...] = ()
    earlier: Earlier | None = None
    changes: tuple[Change, ...] = ()
    cautions: tuple[Caution, ...] = ()
    claim_checks: tuple[ClaimCheck, ...] = ()
    phenotypes: tuple[Phenotype, ...] = ()
    sentences: tuple[Sentence, ...] = ()
