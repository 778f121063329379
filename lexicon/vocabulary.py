"""The codes of the record: what may be said in it, and nothing else.

Every code comes from ``data/vocabulary.json``. The record refuses a code that is not
there and names the nearest one that is.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from .files import read_text


@dataclass(frozen=True)
class Modality:
    """What can be examined: its group, its scale, and the kinds of place it takes.

    ``segments`` holds segment kinds (``region``, ``joint``, ``movement``, ``reflex``,
    ``level``) or just ``none``, for a modality that takes segment ``none``.
    """

    code: str
    group: str
    scale: str
    segments: tuple[str, ...]

    @property
    def takes_place(self) -> bool:
        """Whether a finding of this modality names a place."""
        return self.segments != ("none",)


@dataclass(frozen=True)
class Vocabulary:
    """The codes of ``vocabulary.json``."""

    modalities: Mapping[str, Modality]
    scales: Mapping[str, tuple[str, ...]]
    sides: Mapping[str, str]
    statuses: Mapping[str, str]
    #: segment kind to its codes, in anatomical order
    segments: Mapping[str, tuple[str, ...]]
    sites: Mapping[str, str]

    @cached_property
    def segment_kinds(self) -> Mapping[str, tuple[str, ...]]:
        """Segment code to the kinds that list it (a code may be of two kinds)."""
        kinds: dict[str, tuple[str, ...]] = {"none": ("none",)}
        for kind, codes in self.segments.items():
            for code in codes:
                kinds[code] = (*kinds.get(code, ()), kind)
        return MappingProxyType(kinds)

    @property
    def levels(self) -> tuple[str, ...]:
        """Spinal levels from C2 to S5, in order."""
        return self.segments["level"]

    def level_range(self, first: str, last: str) -> tuple[str, ...]:
        """All levels from ``first`` to ``last``, both included, in either order."""
        a, b = sorted((self.levels.index(first), self.levels.index(last)))
        return self.levels[a : b + 1]

    def grades(self, modality: str) -> tuple[str, ...]:
        """The grades that ``modality`` can have."""
        return self.scales[self.modalities[modality].scale]

    def takes(self, modality: str, segment: str) -> bool:
        """Whether ``modality`` can be recorded at ``segment``."""
        kinds = self.segment_kinds.get(segment, ())
        return any(kind in self.modalities[modality].segments for kind in kinds)

    def group(self, modality: str) -> str:
        """The part of the examination that ``modality`` belongs to."""
        return self.modalities[modality].group

    @property
    def groups(self) -> tuple[str, ...]:
        """The parts of the examination, in the order they are listed."""
        return tuple(dict.fromkeys(m.group for m in self.modalities.values()))


def nearest(code: str, valid: Iterable[str]) -> str | None:
    """The valid code that looks most like ``code``, or None when none is close."""
    found = difflib.get_close_matches(code, list(valid), n=1, cutoff=0.5)
    return found[0] if found else None


def read_vocabulary() -> Vocabulary:
    """Read ``vocabulary.json`` of the installed package."""
    raw = json.loads(read_text("vocabulary.json"))
    return Vocabulary(
        modalities=MappingProxyType(
            {
                code: Modality(code, m["group"], m["scale"], tuple(m["segments"]))
                for code, m in raw["modalities"].items()
            }
        ),
        scales=MappingProxyType({k: tuple(v) for k, v in raw["scales"].items()}),
        sides=MappingProxyType(raw["sides"]),
        statuses=MappingProxyType(raw["statuses"]),
        segments=MappingProxyType({k: tuple(v) for k, v in raw["segments"].items()}),
        sites=MappingProxyType(raw["sites"]),
    )
