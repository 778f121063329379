"""What the API does, without HTTP: look at records, edit them, undo, sign, hear, hand on.

One desk per process, with one store. Everything here blocks and is called from threads. An
edit is applied to the version that the reviewer saw and saved as the next; when somebody else
was quicker, nothing is written and the newest version is shown instead. What is returned has
been written to disk.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic_core import to_json

from ...lexicon.errors import InputError
from ...pipeline.files import decode_records
from ...pipeline.formats import FORMATS, file_name
from ...pipeline.interpret import interpret
from ...pipeline.review import apply, describe, sign
from ...pipeline.store import ConflictError, Store, Stored
from ...pipeline.store.undoing import last_change
from .clips import Recordings, cut_clip
from .gathering import find_audio
from .views import Views

if TYPE_CHECKING:
    from ...pipeline.record import Record
    from ...pipeline.review import Edit

#: The list of records counts what wants attention for so long; the rest is counted next time.
_COUNTING_S = 0.5


class Overtaken(Exception):  # noqa: N818 -- an answer, not a fault
    """Somebody else saved first; ``view`` is what the record is now."""

    def __init__(self, view: bytes) -> None:
        super().__init__()
        self.view = view


class Desk:
    """The records of one store, as a reviewer works on them.

    ``folders`` are where recordings are looked for, ``now`` gives the time that is written.
    """

    def __init__(
        self, store: Store, *, folders: Sequence[Path] = (), now: Callable[[], dt.datetime]
    ) -> None:
        self._store, self._folders, self._now = store, tuple(folders), now
        self._views, self._recordings = Views(), Recordings()

    def records(self) -> bytes:
        """The list of records; ``attention`` is null where it was not counted in time."""
        until = time.monotonic() + _COUNTING_S
        rows = []
        for summary in self._store.records():
            open_items = self._views.known_items(summary.id, summary.version)
            if open_items is None and time.monotonic() < until:
                open_items = self._views.items(self._store.load(summary.id))
            rows.append({**_summary(summary), "attention": open_items})
        return to_json(rows)

    def count(self) -> None:
        """Count what wants attention in every record, so that the list need not."""
        for summary in self._store.records():
            if self._views.known_items(summary.id, summary.version) is None:
                self._views.items(self._store.load(summary.id))

    def view(self, id: str) -> bytes:
        """The newest version of one record."""
        return self._views.view(self._store.load(id))

    def edit(self, id: str, edit: Edit, *, version: int, who: str) -> bytes:
        """Apply one edit and save it; ``InputError`` when the record does not bear it."""
        stored = self._current(id, version)
        when = self._now()
        changed = apply(stored.record, edit, who=who, when=when)
        change = describe(stored.record, edit)
        return self._save(
            stored,
            changed,
            who=who,
            when=when,
            what=change.what,
            before=change.before,
            after=change.after,
            why=getattr(edit, "why", None),
        )

    def sign(self, id: str, *, version: int, who: str) -> bytes:
        """Sign one version: it is frozen, a later change amends it."""
        stored = self._current(id, version)
        when = self._now()
        signed = sign(stored.record, who=who, when=when)
        return self._save(
            stored, signed, who=who, when=when, what="sign", before="", after="", why=None
        )

    def undo(self, id: str, *, version: int, who: str) -> bytes:
        """Take the last change back, as a new version."""
        if last_change(self._store.history(id)) is None:
            raise InputError("There is no change left to undo.")
        with self._first():
            saved = self._store.undo(id, base_version=version, who=who, when=self._now())
        return self._views.view(saved)

    def add(self, content: bytes, *, who: str) -> bytes:
        """Add the one record that ``content`` holds as JSON."""
        records = decode_records(content, name="What was sent")
        if len(records) != 1:
            raise InputError(f"What was sent holds {len(records)} records; send one at a time.")
        (record,) = records
        found = find_audio(record.audio, self._folders)
        audio_path = None if found is None else str(found)
        stored = self._store.add(record, who=who, when=self._now(), audio_path=audio_path)
        return self._views.view(stored)

    def clip(self, id: str, *, start_s: float, end_s: float) -> bytes:
        """The sound from ``start_s`` to ``end_s`` and a little around it, as WAV."""
        stored = self._store.load(id)
        if stored.record.audio is None:
            raise InputError("This record was made from text; there is nothing to hear.")
        if stored.audio_path is None:
            raise InputError(
                "The recording of this record was not found; put it beside the record and start "
                "the review again."
            )
        path = Path(stored.audio_path)
        self._recordings.check(path, stored.record.audio)
        return cut_clip(path, start_s=start_s, end_s=end_s)

    def history(self, id: str) -> bytes:
        """Every change of one record, the oldest first."""
        return to_json(self._store.history(id))

    def export(self, id: str, format: str) -> tuple[bytes, str, str]:
        """One record as a file: its content, its media type and its name."""
        if format not in FORMATS:
            raise InputError(f"There is no format of this name; choose {', '.join(FORMATS)}.")
        record = self._store.load(id).record
        chosen = FORMATS[format]
        interpretation = interpret(record) if chosen.interprets else None
        content = chosen.file(record, interpretation=interpretation)
        return content, chosen.media_type, file_name(record, chosen)

    def _current(self, id: str, version: int) -> Stored:
        stored = self._store.load(id)
        if stored.version != version:
            raise Overtaken(self._views.view(stored))
        return stored

    def _save(self, stored: Stored, record: Record, **event: Any) -> bytes:
        with self._first():
            saved = self._store.save(stored.id, record, base_version=stored.version, **event)
        return self._views.view(saved)

    @contextmanager
    def _first(self) -> Iterator[None]:
        """Around what must come before everybody else's change."""
        try:
            yield
        except ConflictError as conflict:
            raise Overtaken(self._views.view(conflict.current)) from None


def _summary(summary: Any) -> dict[str, Any]:
    return {
        key: getattr(summary, key)
        for key in ("id", "narration", "age_months", "date", "examiner", "version", "state")
    } | {"findings": summary.findings}
