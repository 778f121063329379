"""What the API does, without HTTP: look at records, edit them, undo, sign, hear, hand on.

One desk per process, with one store. Everything here blocks and is called from threads. An
edit is applied to the version that the reviewer saw and saved as the next; when somebody else
was quicker, nothing is written and the newest version is shown instead. What is returned has
been written to disk. A change whose answer got lost can be sent again: when the next version is
what this change makes of the one before, by the same person, it is saved already.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from pydantic_core import to_json

from ...lexicon.errors import InputError, PlessorError
from ...pipeline.files import decode_records
from ...pipeline.formats import FORMATS, file_name
from ...pipeline.review import (
    ChangeWords,
    DecideCorrection,
    apply,
    describe,
    sign,
    suggest,
    teach,
)
from ...pipeline.review.attention import finding_words
from ...pipeline.store import ConflictError, Store, Stored
from .clips import Recordings, cut_clip
from .gathering import find_audio
from .views import Views

if TYPE_CHECKING:
    from ...pipeline.record import Finding, Record
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
        self._reading = Lock()  # what reads words was made for one thread

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

    def edit(self, id: str, edit: Edit, *, version: int, who: str, teaches: bool = False) -> bytes:
        """Apply one edit and save it; ``InputError`` when the record does not bear it.

        With ``teaches`` the view also says, as ``taught``, whether what was heard is kept in the
        personal lexicon for the words that were written in its place, and why not.
        """
        if teaches and not isinstance(edit, ChangeWords | DecideCorrection):
            raise InputError("teach: only changed words can be kept in the personal lexicon.")

        def change(record: Record, when: dt.datetime) -> Record:
            return apply(record, edit, who=who, when=when)

        def event(record: Record) -> dict[str, Any]:
            return {**vars(describe(record, edit)), "why": getattr(edit, "why", None)}

        view = self._change(id, change, event, version=version, who=who)
        if teaches and isinstance(edit, ChangeWords | DecideCorrection):
            taught = _taught(self._store.load(id, version).record, edit)
            view = view.removesuffix(b"}") + b',"taught":' + to_json(taught) + b"}"
        return view

    def sign(self, id: str, *, version: int, who: str) -> bytes:
        """Sign one version: it is frozen, a later change amends it."""

        def change(record: Record, when: dt.datetime) -> Record:
            return sign(record, who=who, when=when)

        def event(_: Record) -> dict[str, Any]:
            return {"what": "sign", "before": "", "after": ""}

        return self._change(id, change, event, version=version, who=who)

    def undo(self, id: str, *, version: int, who: str) -> bytes:
        """Take the last change back, as a new version."""
        try:
            saved = self._store.undo(id, base_version=version, who=who, when=self._now())
        except ConflictError as conflict:
            saved = conflict.current
            if self._made(saved, "undo", version=version, who=who) is None:
                raise Overtaken(self._views.view(saved)) from None
        return self._views.view(saved)

    def suggestions(self, id: str) -> bytes:
        """Findings that the words say since a reviewer changed them, and nobody has recorded."""
        record = self._store.load(id).record
        with self._reading:
            found = suggest(record)
        return to_json({"findings": [_suggested(finding) for finding in found]})

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
        return chosen.file(record), chosen.media_type, file_name(record, chosen)

    def _change(
        self,
        id: str,
        change: Callable[[Record, dt.datetime], Record],
        event: Callable[[Record], dict[str, Any]],
        *,
        version: int,
        who: str,
    ) -> bytes:
        """Save what ``change`` makes of ``version``; ``event`` tells it to the audit trail."""
        try:
            stored, when = self._store.load(id), self._now()
            if stored.version != version:
                raise ConflictError(stored)
            changed, told = change(stored.record, when), event(stored.record)
            saved = self._store.save(id, changed, base_version=version, who=who, when=when, **told)
        except ConflictError as conflict:
            saved = conflict.current
            when_made = self._made(saved, "save", version=version, who=who)
            if when_made is None or not self._is(saved, change, version=version, when=when_made):
                raise Overtaken(self._views.view(saved)) from None
        return self._views.view(saved)

    def _made(self, saved: Stored, kind: str, *, version: int, who: str) -> dt.datetime | None:
        """When ``who`` made the version after ``version``; None when the newest is another."""
        if saved.version != version + 1:
            return None
        made = next(e for e in self._store.history(saved.id) if e.version == saved.version)
        return made.when if (made.kind, made.who) == (kind, who) else None

    def _is(
        self,
        saved: Stored,
        change: Callable[[Record, dt.datetime], Record],
        *,
        version: int,
        when: dt.datetime,
    ) -> bool:
        before = self._store.load(saved.id, version).record
        try:
            return change(before, when) == saved.record
        except InputError:
            return False


def _taught(record: Record, edit: ChangeWords | DecideCorrection) -> dict[str, Any]:
    """What became of the lesson; the edit itself is saved, whatever happened to it."""
    try:
        kept = teach(record, edit)
    except PlessorError as error:
        return {"heard": "", "means": "", "kept": False, "why": str(error)}
    return {"heard": kept.heard, "means": kept.means, "kept": kept.kept, "why": kept.why}


def _suggested(finding: Finding) -> dict[str, Any]:
    codes = ("modality", "segment", "side", "grade", "status", "certainty", "note", "evidence")
    return {code: getattr(finding, code) for code in codes} | {"label": finding_words(finding)}


def _summary(summary: Any) -> dict[str, Any]:
    return {
        key: getattr(summary, key)
        for key in ("id", "narration", "age_months", "date", "examiner", "version", "state")
    } | {"findings": summary.findings}
