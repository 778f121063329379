"""The words that the recogniser is shown, so that it spells the trade's hardest terms.

Which they are was measured per model (``bench/biasing.py``), and is data: a list that helps
one model makes another invent text. A model without a measured list is shown nothing.
"""

from __future__ import annotations

import json
from functools import cache

from ..lexicon.files import names, read_text


@cache
def measured_hotwords(model: str) -> tuple[str, ...]:
    """The list for a model, by the name that records carry; empty where none was measured."""
    name = f"hotwords/{model}.json"
    if name not in names("hotwords", ".json"):
        return ()
    return tuple(json.loads(read_text(name))["words"])
