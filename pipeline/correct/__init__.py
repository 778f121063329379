"""Mends the trade's words: what was heard is compared by sound, and kept beside what it became.

``correct()`` is the stage; ``explain()`` shows why words were or were not changed.
"""

from __future__ import annotations

from .correction import Corrected, CorrectOptions, correct

__all__ = ["CorrectOptions", "Corrected", "correct"]
