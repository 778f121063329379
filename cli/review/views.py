"""What the page shows of one version of a record, as one JSON document.

The interpretation follows from the record, so a version has one view, and it is kept: going
back and forth between records, or being told that somebody else saved, costs nothing. Nothing
clinical is decided here. Words of a record leave as JSON strings, never as markup; the one
drawing is made here and escapes its words itself.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable
from threading import Lock
from typing import TYPE_CHECKING, Any

from pydantic_core import to_json

from ...lexicon import load
from ...lexicon.labels import name, site_name
from ...pipeline.interpret import Interpretation, interpret
from ...pipeline.record import Finding, Record
from ...pipeline.report import report_outline
from ...pipeline.review import attention, state
from ...pipeline.review.attention import claim_words, finding_words

if TYPE_CHECKING:
    from ...pipeline.store import Stored

#: Views kept in memory: about 0.2 MB each for a long examination.
_KEPT = 64
#: Evidence is shown for the leading sites only, strongest first; a person reads no more.
_SITES_WITH_EVIDENCE = 3
_EVIDENCE = 12


class Views:
    """The views of versions, each made once. Thread-safe."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[str, int, bool], tuple[bytes, int]] = OrderedDict()
        #: Of each record the version that was counted last, and how many items it has.
        self._open: dict[str, tuple[int, int]] = {}
        self._lock = Lock()

    def view(self, stored: Stored) -> bytes:
        """The view of one version, as JSON."""
        return self._made(stored)[0]

    def known_items(self, id: str, version: int) -> int | None:
        """How many items of one version want attention, None when that was not yet counted."""
        counted, items = self._open.get(id, (0, 0))
        return items if counted == version else None

    def items(self, stored: Stored) -> int:
        """How many items of one version want attention."""
        known = self.known_items(stored.id, stored.version)
        return self._made(stored)[1] if known is None else known

    def _made(self, stored: Stored) -> tuple[bytes, int]:
        key = (stored.id, stored.version, stored.audio_path is None)  # it may be found later
        with self._lock:
            if (known := self._kept.get(key)) is not None:
                self._kept.move_to_end(key)
                return known
        interpretation = interpret(stored.record)
        items = attention(stored.record, interpretation)
        made = to_json(_view(stored, interpretation, items)), len(items)
        with self._lock:
            self._open[stored.id] = stored.version, len(items)
            self._kept[key] = made
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        return made


def _view(stored: Stored, interpretation: Interpretation, items: Iterable[Any]) -> dict[str, Any]:
    record = stored.record
    return {
        "id": stored.id,
        "version": stored.version,
        "state": state(record),
        "signature": record.signature,
        "record": record,
        "labels": labels(record, interpretation),
        "attention": items,
        "groups": groups(record.findings),
        "interpretation": _shortened(interpretation),
        "outline": report_outline(record, interpretation),
        "caution": interpretation.caution,
        "has_audio": record.audio is not None and stored.audio_path is not None,
    }


def groups(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """The findings side by side, in the order in which one examines.

    A group is a modality, a row a place; ``left``, ``right`` and ``midline`` hold indices of
    findings, ``midline`` those without a side too.
    """
    vocabulary = load().vocabulary
    found: dict[str, dict[str, dict[str, Any]]] = {code: {} for code in vocabulary.modalities}
    for index, finding in enumerate(findings):
        places = found[finding.modality]
        row = places.setdefault(
            finding.segment,
            {
                "segment": finding.segment,
                "label": _row_label(finding),
                "left": [],
                "right": [],
                "midline": [],
            },
        )
        row[finding.side if finding.side in ("left", "right") else "midline"].append(index)
    return [
        {
            "modality": code,
            "label": _capital(name("modality", code)),
            "group": name("group", vocabulary.group(code)),
            "rows": list(places.values()),
        }
        for code, places in found.items()
        if places
    ]


def labels(record: Record, interpretation: Interpretation) -> dict[str, list[str]]:
    """What findings, claims and sites are called, in the order of the lists that hold them."""
    return {
        "findings": [finding_words(f) for f in record.findings],
        "rejected": [finding_words(r.finding) for r in record.rejected],
        "claims": [claim_words(c) for c in record.claims],
        "sites": [site_name(s.site, s.which, s.side) for s in interpretation.sites],
    }


def _row_label(finding: Finding) -> str:
    if finding.segment == "none":
        return _capital(name("modality", finding.modality))
    return _capital(name("segment", finding.segment))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _shortened(interpretation: Interpretation) -> Interpretation:
    """Without the evidence that nobody reads, which is most of its size."""
    sites = tuple(
        site.model_copy(
            update={"evidence": site.evidence[:_EVIDENCE] if n < _SITES_WITH_EVIDENCE else ()}
        )
        for n, site in enumerate(interpretation.sites)
    )
    return interpretation.model_copy(update={"sites": sites})


def vocabulary() -> dict[str, Any]:
    """The valid codes, as the page offers them, with what they are called."""
    words = load().vocabulary
    return {
        "modalities": {
            code: {
                "label": name("modality", code),
                "segments": _segments(modality.segments),
                "grades": [{"code": g, "label": name("grade", g)} for g in words.grades(code)],
            }
            for code, modality in words.modalities.items()
        },
        "segments": {code: name("segment", code) for code in words.segment_kinds},
        "sides": {code: name("side", code) for code in words.sides if code != "both"},
        "statuses": {code: name("status", code) for code in words.statuses},
        "certainties": {code: code for code in ("definite", "possible")},
        "order": list(words.modalities),
    }


def _segments(kinds: tuple[str, ...]) -> list[str]:
    if kinds == ("none",):
        return ["none"]
    segments = load().vocabulary.segments
    return list(dict.fromkeys(code for kind in kinds for code in segments.get(kind, ())))
