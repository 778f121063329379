"""From words to findings: only what was observed on this child becomes a finding.

The words are read as atoms, split into utterances whose kind of talk cues tell, and each
observed utterance is read as statements. What a statement leaves unsaid (the limb, the side,
what is being examined) comes from the context in force. Teaching yields claims, and every
stretch with a trade word that yielded nothing is listed as unresolved, with the reason.
"""

from __future__ import annotations

from .extraction import Extraction, ExtractOptions, extract
from .tracing import TracedUtterance, trace

__all__ = ["ExtractOptions", "Extraction", "TracedUtterance", "extract", "trace"]
