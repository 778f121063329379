"""The store against an obvious twin: lists in memory, whatever is done in whatever order."""

from __future__ import annotations

import datetime as dt
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from plessor.pipeline.record import Record
from plessor.pipeline.store import ConflictError, Store, StoreError

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)
DONE = {"who": "Ada Lind", "when": WHEN}
AGES = st.integers(0, 1200)


@dataclass
class _Twin:
    """All versions of a record, and the contents to which undoing would go back."""

    versions: list[Record]
    before: list[Record] = field(default_factory=list)


class _Machine(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.store = Store.open(str(Path(self.folder.name) / "records.sqlite"))
        self.twins: dict[str, _Twin] = {}

    def teardown(self) -> None:
        self.store.close()
        self.folder.cleanup()

    def _one(self, data: st.DataObject) -> str:
        return data.draw(st.sampled_from(sorted(self.twins)))

    @rule()
    def add(self) -> None:
        record = Record(narration=f"visit-{len(self.twins)}")
        self.twins[self.store.add(record, **DONE).id] = _Twin([record])

    @precondition(lambda self: self.twins)
    @rule(data=st.data(), age=AGES)
    def save(self, data: st.DataObject, age: int) -> None:
        id = self._one(data)
        twin = self.twins[id]
        record = twin.versions[-1].model_copy(update={"age_months": age})
        base = len(twin.versions)
        saved = self.store.save(id, record, base_version=base, what="age", **DONE)
        assert saved.version == base + 1
        twin.before.append(twin.versions[-1])
        twin.versions.append(record)

    @precondition(lambda self: self.twins)
    @rule(data=st.data(), wrong=st.integers(-3, 3).filter(bool), undo=st.booleans())
    def be_late(self, data: st.DataObject, wrong: int, undo: bool) -> None:
        id = self._one(data)
        base = len(self.twins[id].versions) + wrong
        try:
            if undo:
                self.store.undo(id, base_version=base, **DONE)
            else:
                self.store.save(id, Record(), base_version=base, what="age", **DONE)
        except ConflictError as conflict:
            assert conflict.current.record == self.twins[id].versions[-1]
        else:
            raise AssertionError("the conflict was not told")

    @precondition(lambda self: self.twins)
    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        id = self._one(data)
        twin = self.twins[id]
        try:
            undone = self.store.undo(id, base_version=len(twin.versions), **DONE)
        except StoreError:
            assert not twin.before
            return
        assert undone.record == twin.before[-1]
        twin.versions.append(twin.before.pop())

    @rule()
    def reopen(self) -> None:
        name = self.store.name
        self.store.close()
        self.store = Store.open(name)

    @invariant()
    def agrees(self) -> None:
        assert {s.id: s.version for s in self.store.records()} == {
            id: len(twin.versions) for id, twin in self.twins.items()
        }
        for id, twin in self.twins.items():
            for version, record in enumerate(twin.versions, 1):
                assert self.store.load(id, version).record == record
        verdict = self.store.verify()
        assert verdict.faults == []
        assert verdict.events == sum(len(twin.versions) for twin in self.twins.values())


TestStoreAgainstItsTwin = _Machine.TestCase
TestStoreAgainstItsTwin.settings = settings(
    max_examples=12,
    stateful_step_count=12,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
