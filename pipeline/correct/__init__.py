"""Mends the trade's words: what was heard is compared by sound, and kept beside what it became.

``correct()`` is the stage; ``explain()`` shows why words were or were not changed. The
personal lexicon (``personal.py``) holds what one person adds, by command or by correcting a
record (``keep_variant()``).
"""

from __future__ import annotations

from .admission import meaning, refusal, too_ordinary
from .correction import Corrected, CorrectOptions, correct, doubts
from .explain import Explanation, Reading, explain
from .personal import Personal, add_personal, personal_path, read_personal, remove_personal
from .reviewed import Kept, keep_variant

__all__ = [
    "CorrectOptions",
    "Corrected",
    "Explanation",
    "Kept",
    "Personal",
    "Reading",
    "add_personal",
    "correct",
    "doubts",
    "explain",
    "keep_variant",
    "meaning",
    "personal_path",
    "read_personal",
    "refusal",
    "remove_personal",
    "too_ordinary",
]
