"""The chain: how an event is hashed, so that no byte of the past can change unnoticed.

An event's SHA-256 covers every one of its fields, the SHA-256 of the document that it made, and
the SHA-256 of the event before it, whichever record that concerned. It is taken over JSON with
sorted keys and ASCII alone: two different events never give the same bytes. Times are hashed as
they are stored, in UTC with microseconds.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping
from typing import Any

#: What the first event names as the one before it.
GENESIS = "0" * 64

#: The fields that the hash covers, which are all but the hash itself.
COVERED = (
    "number",
    "record_id",
    "version",
    "kind",
    "at",
    "who",
    "what",
    "before",
    "after",
    "why",
    "source",
    "undoes",
    "document",
    "previous",
)


def event_hash(fields: Mapping[str, Any]) -> str:
    """The SHA-256 of an event, in hexadecimal, from its fields as the database holds them."""
    covered = {name: fields[name] for name in COVERED}
    text = json.dumps(["plessor event 1", covered], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def document_hash(document: str) -> str:
    """The SHA-256 of a version's document, in hexadecimal, over its UTF-8 bytes."""
    return hashlib.sha256(document.encode("utf-8", "surrogatepass")).hexdigest()


def time_text(when: dt.datetime) -> str:
    """``when`` in UTC as it is stored; a time without a zone is this machine's."""
    return when.astimezone(dt.UTC).isoformat(timespec="microseconds")
