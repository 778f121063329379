"""What the findings of a record amount to: coverage, sides, cautions, taught facts, terms.

``interpret(record)`` depends on the record and the lexicon only, so other programs can use
it alone. Supports a licensed clinician; it is not a diagnosis and not a medical device.
"""

from __future__ import annotations

from .base import DataRow
from .interpretation import InterpretOptions, interpret
from .measures import Change, Contrast, Earlier, Mean, Score, ScoreGap, SensoryLevel
from .models import (
    SCHEMA_VERSION,
    Caution,
    ClaimCheck,
    Comparison,
    Coverage,
    Interpretation,
    NextTest,
    Phenotype,
    Sentence,
    Site,
    SiteName,
    StepCoverage,
    TwoSites,
    Weight,
)

__all__ = [
    "SCHEMA_VERSION",
    "Caution",
    "Change",
    "ClaimCheck",
    "Comparison",
    "Contrast",
    "Coverage",
    "DataRow",
    "Earlier",
    "InterpretOptions",
    "Interpretation",
    "Mean",
    "NextTest",
    "Phenotype",
    "Score",
    "ScoreGap",
    "SensoryLevel",
    "Sentence",
    "Site",
    "SiteName",
    "StepCoverage",
    "TwoSites",
    "Weight",
    "interpret",
]
