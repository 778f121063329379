"""What the findings of a record amount to: coverage, sides, cautions, taught facts, terms.

``interpret(record)`` depends on the record and the lexicon only, so other programs can use
it alone. Supports a licensed clinician; it is not a diagnosis and not a medical device.
"""

from __future__ import annotations

from .interpretation import InterpretOptions, interpret
from .models import (
    SCHEMA_VERSION,
    Caution,
    ClaimCheck,
    Comparison,
    Coverage,
    DataRow,
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
    "ClaimCheck",
    "Comparison",
    "Coverage",
    "DataRow",
    "InterpretOptions",
    "Interpretation",
    "NextTest",
    "Phenotype",
    "Sentence",
    "Site",
    "SiteName",
    "StepCoverage",
    "TwoSites",
    "Weight",
    "interpret",
]
