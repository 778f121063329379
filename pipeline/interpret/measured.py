"""Contrasts, scores, sensory levels and changes in sentences, each with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ...lexicon.labels import name
from .grading import Case
from .measures import Change, Contrast, Earlier, Mean, Score, ScoreGap, SensoryLevel
from .models import Sentence
from .wording import all_findings, all_rows, capital, listed, on_sides, what_where

#: Means that differ by less, in steps of their scale, are not told (house).
_TELLING = 0.5
#: A sum that lacks more than this share of its muscles is not spoken of (house).
_LACKING = 0.25
_PARTS = {
    "proximal_upper_limb": "proximally in the arm",
    "distal_upper_limb": "distally",
    "proximal_lower_limb": "proximally in the leg",
    "distal_lower_limb": "distally",
    "upper_limb": "in the arm",
    "lower_limb": "in the leg",
}
_REASONS = {
    "not_recorded": "",
    "not_examined": "not examined",
    "not_assessable": "could not be assessed",
    "region_only": "only a region was graded",
    "no_number": "no number was given",
    "conflicting": "grades that exclude each other",
    "side_not_stated": "side not stated",
}
_KINDS = {
    "new": "New",
    "gone": "No longer found",
    "worse": "Worse",
    "better": "Better",
    "changed": "Changed in kind",
}


def say_contrasts(case: Case, contrasts: Iterable[Contrast]) -> Iterator[Sentence]:
    """One sentence for each contrast that differs; both sides together when they agree."""
    alike: dict[tuple[str, ...], list[Contrast]] = {}
    for contrast in contrasts:
        if contrast.relation in ("first_less", "second_less") and _is_telling(contrast):
            key = (contrast.modality, contrast.first_at, contrast.relation, contrast.size)
            alike.setdefault(key, []).append(contrast)
    for found in alike.values():
        yield Sentence(
            kind="comparison",
            text=_contrast(case, found),
            findings=all_findings(c.findings for c in found),
            rows=all_rows(c.rows for c in found),
        )


def _is_telling(contrast: Contrast) -> bool:
    apart = abs(contrast.first.lowest - contrast.second.lowest)
    return apart >= _TELLING or contrast.size == "not_sized"


def _contrast(case: Case, found: Sequence[Contrast]) -> str:
    first = found[0]
    word = case.scale(first.modality).lower
    ends = [
        (first.first_at, [c.first for c in found]),
        (first.second_at, [c.second for c in found]),
    ]
    if first.relation == "second_less":
        ends.reverse()
    (low_at, low), (high_at, high) = ends
    limb = " in the arm" if "upper" in first.first_at else " in the leg"
    low_words, high_words = _PARTS[low_at], _PARTS[high_at]
    if first.kind == "proximal_distal":  # the limb is named once, with the part named first
        low_words = low_words.replace(limb, "") + limb
        high_words = high_words.replace(limb, "")
    size = {
        "one_step": ", by one step at most",
        "more_than_one_step": ", by more than one step",
    }.get(first.size, "")
    return (
        f"{capital(name('modality', first.modality))}: {word} {low_words} than {high_words} "
        f"{on_sides([c.side for c in found])} (mean {_means(low)} against {_means(high)}){size}."
    )


def _means(means: Iterable[Mean]) -> str:
    return listed(dict.fromkeys(map(_mean, means)))


def _mean(mean: Mean) -> str:
    ends = (f"{value:.1f}".removesuffix(".0") for value in (mean.lowest, mean.highest))
    return " to ".join(dict.fromkeys(ends))


def say_scores(scores: Iterable[Score]) -> Iterator[Sentence]:
    """Each score that is whole, and what is lacking where little is."""
    for score in scores:
        lacking = len(score.missing) / (len(score.missing) + len(score.findings))
        if score.total is not None:
            sides = f"left {score.left}, right {score.right} of {score.side_maximum}"
            how = f" {score.treatment}" if score.signed else ""
            text = f"{score.title}: {score.total} of {score.maximum} ({sides}).{how}"
        elif lacking <= _LACKING:
            text = (
                f"{score.title}: not given, since no grade of their own was recorded for "
                f"{_gaps(score.missing)}."
            )
        else:
            continue
        yield Sentence(kind="score", text=text, findings=score.findings, rows=score.rows)


def _gaps(gaps: Iterable[ScoreGap]) -> str:
    sides: dict[tuple[str, str], list[str]] = {}
    for gap in gaps:
        sides.setdefault((gap.movement, _REASONS[gap.reason]), []).append(gap.side)
    return listed(
        f"{name('segment', movement)} {on_sides(where)}" + (f" ({reason})" if reason else "")
        for (movement, reason), where in sides.items()
    )


def say_levels(levels: Iterable[SensoryLevel]) -> Iterator[Sentence]:
    """The level of each side, or of both at once; bands of loss are told as such."""
    alike: dict[tuple[object, ...], list[SensoryLevel]] = {}
    for level in levels:
        key = (
            level.level, level.first_abnormal, level.modalities, level.unrecorded,
            bool(level.untested_above), level.normal_below[:1],
        )  # fmt: skip
        alike.setdefault(key, []).append(level)
    for found in alike.values():
        yield Sentence(
            kind="score",
            text=_level(found[0], on_sides([level.side for level in found])),
            findings=all_findings(level.findings for level in found),
            rows=all_rows(level.rows for level in found),
        )


def _level(level: SensoryLevel, where: str) -> str:
    by = listed(name("modality", modality) for modality in level.modalities)
    if level.normal_below:
        return (
            f"{capital(by)} {where}: abnormal at {level.first_abnormal} and normal again at "
            f"{level.normal_below[0]}, so no level is given."
        )
    if level.level is None:
        return (
            f"{capital(by)} {where}: {level.first_abnormal} is the highest segment recorded as "
            "abnormal; no normal segment above it was recorded, so no level is given."
        )
    open_ends = [
        f"not recorded in between: {listed(level.unrecorded)}" if level.unrecorded else "",
        "pinprick and light touch were not both recorded at every segment above"
        if level.untested_above
        else "",
    ]
    provisional = "; ".join(filter(None, open_ends))
    return (
        f"Lowest normal segment {where} by {by}: {level.level} (first abnormal: "
        f"{level.first_abnormal})." + (f" Provisional: {provisional}." if provisional else "")
    )


def say_changes(earlier: Earlier | None, changes: Sequence[Change]) -> Iterator[Sentence]:
    """What was held against what, what cannot go together, and the changes by their kind."""
    if earlier is None:
        return
    compared = [c for c in changes if c.kind != "not_comparable"]
    yield Sentence(
        kind="change", text=_basis(earlier), findings=all_findings(c.findings for c in compared)
    )
    if earlier.disagreements:
        told = listed(earlier.disagreements)
        yield Sentence(kind="change", text=f"Check the two records: {told}.")
    for kind, lead in _KINDS.items():
        yield from _change(lead, [c for c in compared if c.kind == kind and not c.within_variation])
    small = [c for c in compared if c.within_variation]
    yield from _change("By one step at most, which is within examiner variation", small)
    same = [c for c in compared if c.kind == "same"]
    if same:
        yield Sentence(
            kind="change",
            text=f"Unchanged: {len(same)} of {len(compared)}.",
            findings=all_findings(c.findings for c in same),
        )


def _basis(earlier: Earlier) -> str:
    about = [
        f"“{earlier.narration}”" if earlier.narration else "",
        earlier.date.isoformat() if earlier.date else "",
    ]
    named = " of ".join(filter(None, about))
    lacking = [
        f"{earlier.only_earlier} were recorded only then" if earlier.only_earlier else "",
        f"{earlier.only_later} only now" if earlier.only_later else "",
    ]
    rest = listed(filter(None, lacking))
    count = "1 finding" if earlier.compared == 1 else f"{earlier.compared} findings"
    return (
        f"Held against the earlier record{f' {named}' if named else ''}: {count} can be "
        f"compared{f'; {rest}' if rest else ''}. That both are of the same child is not checked."
    )


def _change(lead: str, changes: Sequence[Change]) -> Iterator[Sentence]:
    if changes:
        yield Sentence(
            kind="change",
            text=f"{lead}: {'; '.join(_told(changes))}.",
            findings=all_findings(c.findings for c in changes),
            rows=all_rows(c.rows for c in changes),
        )


def _told(changes: Iterable[Change]) -> Iterator[str]:
    sides: dict[tuple[str, str, str], list[str]] = {}
    for c in changes:
        grades = (name("grade", c.earlier or ""), name("grade", c.later or ""))
        sides.setdefault((what_where(c.modality, c.segment), *grades), []).append(c.side)
    for (what, before, after), where in sides.items():
        placed = on_sides(where)
        yield f"{what}{f' {placed}' if placed else ''} from {before} to {after}"
