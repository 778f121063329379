"""The sensory level of each side, from pinprick and light touch by segment.

The standard names the lowest segment that is normal for both, with every segment above it
normal too. Here the level is the lowest segment recorded as normal above the first abnormal
one; what was not recorded in between or above is listed, so that nobody takes a provisional
level for a settled one. Where neither pinprick nor light touch was recorded at any segment,
the general modality ``sensation`` is taken. Places of skin without a level do not count.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from .base import DataRow
from .grading import Case
from .measures import SensoryLevel

_KEY = ("pinprick", "light_touch")
_GENERAL = ("sensation",)
_TABLE = "reference/dermatomes.csv"


def sensory_levels(case: Case) -> tuple[SensoryLevel, ...]:
    """One level for each side that has an abnormal segment, in the order spoken."""
    sides = dict.fromkeys(f.side for f in case.findings if f.side in ("left", "right"))
    return tuple(level for side in sides for level in _levels(case, side))


def _levels(case: Case, side: str) -> Iterator[SensoryLevel]:
    segments = case.lexicon.vocabulary.levels
    by_key = _by_segment(case, side, _KEY)
    modalities = _KEY if by_key else _GENERAL
    graded = by_key or _by_segment(case, side, _GENERAL)
    abnormal = [s for s in segments if s in graded and not _is_normal(case, graded[s])]
    if not abnormal:
        return
    first = segments.index(abnormal[0])
    normal = [s for s in segments if s in graded and s not in abnormal]
    above = [s for s in normal if segments.index(s) < first]
    level = above[-1] if above else None
    start = segments.index(level) if level else 0
    between = segments[start + 1 : first] if level else segments[:first]
    used = tuple(sorted({i for s in (*above[-1:], *abnormal) for i in graded[s]}))
    yield SensoryLevel(
        side=side,
        level=level,
        first_abnormal=abnormal[0],
        modalities=tuple(m for m in modalities if m in _modalities(case, used)),
        unrecorded=tuple(between),
        untested_above=tuple(
            s
            for s in segments[: start + 1 if level else 0]
            if not set(modalities) <= _modalities(case, graded.get(s, ()))
        ),
        normal_below=tuple(s for s in normal if segments.index(s) > first),
        findings=used,
        rows=tuple(_rows(case, [s for s in (level, abnormal[0]) if s])),
    )


def _by_segment(case: Case, side: str, modalities: Collection[str]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for index in case.observed:
        finding = case.findings[index]
        is_segment = finding.segment in case.lexicon.vocabulary.levels
        if finding.modality in modalities and finding.side == side and is_segment:
            found.setdefault(finding.segment, []).append(index)
    return found


def _is_normal(case: Case, indices: Sequence[int]) -> bool:
    return all(case.findings[i].grade == "normal" for i in indices)


def _modalities(case: Case, indices: Collection[int]) -> set[str]:
    return {case.findings[i].modality for i in indices}


def _rows(case: Case, segments: list[str]) -> Iterator[DataRow]:
    """The key points of the standard at the two segments."""
    for row in case.lexicon.tables.dermatomes:
        if row.site_kind == "isncsci_key_point" and row.level in segments:
            yield DataRow(
                table=_TABLE,
                row=f"{row.site} {row.level} {row.site_kind}",
                source=row.source,
                source_kind=row.source_kind,
            )
