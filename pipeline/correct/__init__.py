"""Mends the trade's words: what was heard is compared by sound, and kept beside what it became.

``correct()`` is the stage; ``explain()`` shows why words were or were not changed; the
personal lexicon (``personal.py``) holds what one person adds.
"""

from __future__ import annotations

from .correction import Corrected, CorrectOptions, correct
from .explain import Explanation, Reading, explain
from .personal import Personal, add_personal, personal_path, read_personal, variants_of

__all__ = [
    "CorrectOptions",
    "Corrected",
    "Explanation",
    "Personal",
    "Reading",
    "add_personal",
    "correct",
    "explain",
    "personal_path",
    "read_personal",
    "variants_of",
]
