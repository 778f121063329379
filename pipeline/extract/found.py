"""The findings of a narration so far, in the order they were made.

Positions number them: a repair, a copy or a shared side goes back to what stands at some.
Counts by key and by what is asserted are kept beside the list, so that a long narration
costs no more a finding than a short one.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Container, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from .drafts import Draft, Key

#: A key with the grade and the status asserted.
_Assertion = tuple[Key, str | None, str]
_K = TypeVar("_K", Key, _Assertion)


@dataclass(frozen=True, eq=False)
class Found:
    """A finding, the atoms that it was read from, and the number of its utterance."""

    draft: Draft
    start: int
    end: int
    possible: bool
    note: str | None
    utterance: int


class FoundList:
    """The findings so far. Positions shift when findings before them are dropped."""

    def __init__(self) -> None:
        self._items: list[Found] = []
        #: the number of each item among all that were ever added
        self._serials: list[int] = []
        self._next_serial = 0
        self._keys: Counter[Key] = Counter()
        self._assertions: Counter[_Assertion] = Counter()
        #: how many things are asserted more than once
        self._doubled = 0

    def __len__(self) -> int:
        return len(self._items)

    def __getitem__(self, at: int) -> Found:
        return self._items[at]

    def __iter__(self) -> Iterator[Found]:
        return iter(self._items)

    @property
    def next_serial(self) -> int:
        """The serial number of the next finding; repairs do not shift serial numbers."""
        return self._next_serial

    def since(self, serial: int) -> range:
        """The positions of the findings added from this serial number on."""
        return range(bisect_left(self._serials, serial), len(self._items))

    @property
    def keys(self) -> Container[Key]:
        """What was examined, where and on which side."""
        return self._keys

    def asserts(self, draft: Draft) -> bool:
        """Whether the same is asserted of the same place and side already."""
        return _assertion(draft) in self._assertions

    def add(self, found: Found) -> int:
        """Append a finding; its position."""
        self._count(found.draft)
        self._items.append(found)
        self._serials.append(self._next_serial)
        self._next_serial += 1
        return len(self._items) - 1

    def change(self, at: int, draft: Draft) -> None:
        """Let the finding at a position say something else."""
        old = self._items[at]
        self._forget(old.draft)
        self._count(draft)
        self._items[at] = replace(old, draft=draft)

    def drop(self, positions: Collection[int]) -> None:
        """Take findings away; positions that do not exist are passed over."""
        gone = {at for at in positions if 0 <= at < len(self._items)}
        if not gone:
            return
        for at in gone:
            self._forget(self._items[at].draft)
        low = min(gone)
        kept = [at for at in range(low, len(self._items)) if at not in gone]
        self._items[low:] = [self._items[at] for at in kept]
        self._serials[low:] = [self._serials[at] for at in kept]

    def drop_key(self, key: Key) -> None:
        """Take away whatever is asserted of one place and side."""
        left, at = self._keys.get(key, 0), len(self._items)
        gone: set[int] = set()
        while len(gone) < left:
            at -= 1
            if self._items[at].draft.key == key:
                gone.add(at)
        self.drop(gone)

    def of_utterance(self, number: int) -> range:
        """The positions of the findings of the utterance in hand, which are the last ones."""
        at = len(self._items)
        while at > 0 and self._items[at - 1].utterance == number:
            at -= 1
        return range(at, len(self._items))

    def merge_doubles(self) -> None:
        """Keep the first of findings that assert the same."""
        if not self._doubled:
            return
        seen: set[_Assertion] = set()
        gone: set[int] = set()
        for at, found in enumerate(self._items):
            assertion = _assertion(found.draft)
            if assertion in seen:
                gone.add(at)
            seen.add(assertion)
        self.drop(gone)

    def _count(self, draft: Draft) -> None:
        assertion = _assertion(draft)
        self._keys[draft.key] += 1
        self._assertions[assertion] += 1
        self._doubled += self._assertions[assertion] == 2

    def _forget(self, draft: Draft) -> None:
        assertion = _assertion(draft)
        self._doubled -= self._assertions[assertion] == 2
        _lessen(self._keys, draft.key)
        _lessen(self._assertions, assertion)


def _lessen(counts: Counter[_K], what: _K) -> None:
    counts[what] -= 1
    if not counts[what]:
        del counts[what]


def _assertion(draft: Draft) -> _Assertion:
    return draft.key, draft.grade, draft.status
