"""What Plessor knows: the codes, the trade's terms, the rules and the reference tables.

``load()`` reads and checks everything once; the result is immutable and shared.
"""

from __future__ import annotations

from .errors import DataError, InputError, InternalError, MissingError, PlessorError
from .load import Lexicon, load
from .spoken import Atom, atoms, spoken_form
from .tables import AgeNorm, Dermatome, HpoTerm, Movement, Reflex, ScaleGrade, Tables
from .terms import Term
from .vocabulary import Modality, Vocabulary, nearest

__all__ = [
    "AgeNorm",
    "Atom",
    "DataError",
    "Dermatome",
    "HpoTerm",
    "InputError",
    "InternalError",
    "Lexicon",
    "MissingError",
    "Modality",
    "Movement",
    "PlessorError",
    "Reflex",
    "ScaleGrade",
    "Tables",
    "Term",
    "Vocabulary",
    "atoms",
    "load",
    "nearest",
    "spoken_form",
]
