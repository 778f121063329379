"""Where the lesion is, from findings and age: the posterior over sites and what follows.

``locate(case)`` gives the sites with their evidence, two lesions where one does not do, and
the next tests. Supports a licensed clinician; it is not a diagnosis.
"""

from __future__ import annotations

from .locating import Location, locate

__all__ = ["Location", "locate"]
