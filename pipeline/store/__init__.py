"""The store: records as versioned documents, every change in an audit trail that can be proved.

Any SQL database by URL, one SQLite file unless another is named. Nothing is ever overwritten:
a change is a new version and an event, and the events form one chain of hashes (``chain.py``).
Needs the extra ``review``, and ``postgres`` for PostgreSQL.
"""

from ...lexicon.errors import needing

with needing("review", what="The store"):
    from .faults import ConflictError, NothingToUndoError, StoreError, UnknownRecordError
    from .keeping import Store
    from .stored import Event, Stored, Summary, Verdict

__all__ = [
    "ConflictError",
    "Event",
    "NothingToUndoError",
    "Store",
    "StoreError",
    "Stored",
    "Summary",
    "UnknownRecordError",
    "Verdict",
]
