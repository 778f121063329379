"""A record as a bundle of HL7 FHIR, in release 4 (4.0.1) or release 5 (5.0.0).

Plain dictionaries written as JSON: nothing beside the standard library is needed to write
them. Tests hold them against libraries that are made from the published definitions of both
releases. ``docs/fhir.md`` tells what becomes what, and what is left out.
"""

from __future__ import annotations

import json

from ....lexicon import InputError
from ...interpret import Interpretation
from ...record import Record
from .bundle import bundle
from .case import Case, Release

__all__ = ["fhir_r4", "fhir_r5"]


def fhir_r4(record: Record, interpretation: Interpretation) -> str:
    """The bundle of ``record`` in FHIR R4 (4.0.1), as JSON.

    Raises ``InputError`` when the record holds a number that JSON has no way to write.
    """
    return _written(record, interpretation, "R4")


def fhir_r5(record: Record, interpretation: Interpretation) -> str:
    """The bundle of ``record`` in FHIR R5 (5.0.0), as JSON; raises as ``fhir_r4`` does."""
    return _written(record, interpretation, "R5")


def _written(record: Record, interpretation: Interpretation, release: Release) -> str:
    made = bundle(Case(record, interpretation, release))
    try:
        return json.dumps(made, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    except ValueError as error:
        raise InputError(
            "The record holds a number that JSON cannot write, such as an infinite time; mend it "
            "first."
        ) from error
