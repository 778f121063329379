"""The interpretation in a few sentences that a colleague would sign, never a diagnosis.

What the pattern fits best with and why, what speaks against it, which rivals stay close, what
two lesions would explain, and what was not examined. When nothing abnormal was found, that is
said of what was examined and of nothing else. The next tests follow in sentences of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ...lexicon import load
from ...lexicon.labels import name, site_name
from .base import DataRow
from .grading import OTHER_SIDE, Case
from .models import Coverage, NextTest, Sentence, Site, SiteName, TwoSites, Weight
from .wording import capital, described, listed

#: A site below the first of these is told as fitting best, but not clearly; a second site with
#: at least the second share of the first one's probability fits about as well (house).
_UNCLEAR, _CLOSE = 0.5, 0.5
#: Sites below this probability are not told as rivals (house).
_RIVAL = 0.05
#: Evidence of fewer decibans is not told as a reason, half of it not as an objection: five are
#: the least that is worth mentioning (Jeffreys 1961, Theory of Probability, appendix B).
_REASON, _OBJECTION = 5.0, -2.5
_REASONS = 5
#: Sites of one name that differ in their level only: the levels are told together.
_LEVELLED = ("cord_complete", "cord_hemisection", "cord_central", "cord_anterior")


@dataclass(frozen=True)
class _Told:
    """Sites that are told under one name: neighbouring levels, or with and without a side."""

    indices: tuple[int, ...]
    sites: tuple[Site, ...]

    @property
    def first(self) -> Site:
        return self.sites[0]

    @property
    def probability(self) -> float:
        return sum(site.probability for site in self.sites)

    @property
    def words(self) -> str:
        named = _named(self.first)
        levels = [s.which for s in self.sites[1:] if s.which and s.probability >= _RIVAL]
        if len(levels) > 1:
            order = load().vocabulary.levels
            ends = sorted((*levels, self.first.which or ""), key=order.index)
            return f"{named} (or another level from {ends[0]} to {ends[-1]})"
        return f"{named} (or {levels[0]})" if levels else named

    @property
    def share(self) -> str:
        if self.probability >= 0.99:
            return "probability above 0.99"
        return f"probability {self.probability:.2f}"


def summarise(
    case: Case,
    *,
    abnormal: Sequence[int],
    coverage: Coverage | None,
    sites: Sequence[Site],
    two_sites: TwoSites | None,
    next_tests: Sequence[NextTest],
) -> tuple[Sentence, ...]:
    """The sentences in the order in which they are read; none for an empty record."""
    if not case.observed:
        return ()
    told = _families(sites)
    return (
        *_findings(case, abnormal, told),
        *_two(case, two_sites),
        *_unexamined(case, coverage),
        *(_next(next_tests) if abnormal else ()),
    )


def _families(sites: Sequence[Site]) -> list[_Told]:
    found: dict[tuple[str, str | None, str], list[int]] = {}
    for index, site in enumerate(sites):
        by_level = site.site in _LEVELLED
        is_sided = site.site in ("extrapyramidal", "anterior_horn")
        key = (
            site.site,
            None if by_level else site.which,
            "" if is_sided else site.side,
        )
        found.setdefault(key, []).append(index)
    families = [_Told(tuple(ix), tuple(sites[i] for i in ix)) for ix in found.values()]
    return sorted(families, key=lambda told: -told.probability)


def _findings(case: Case, abnormal: Sequence[int], told: Sequence[_Told]) -> Iterator[Sentence]:
    if not abnormal:
        yield _sentence("Nothing abnormal was found in what was examined.", case.observed)
        return
    what = described(case.findings, abnormal)
    if not told:
        yield _sentence(f"Abnormal in what was examined: {what}.", abnormal)
        return
    best, *others = told
    if best.first.site == "normal":
        yield _sentence(
            f"The pattern fits best with nothing abnormal ({best.share}). On its own, {what} would "
            "not point to a lesion.",
            abnormal,
            sites=best.indices,
        )
    else:
        yield from _best(case, best, others)
        yield from _objections(case, best.first, best.indices)
    yield from _rivals(case, best, others)


def _best(case: Case, best: _Told, others: Sequence[_Told]) -> Iterator[Sentence]:
    reasons = _reasons(case, best.first)
    indices = _with_twins(case, best.first, _indices(reasons))
    because = f", because of {described(case.findings, indices)}" if indices else ""
    close = _close(best, others)
    how = "best" if best.probability >= _UNCLEAR or close else "best, though not clearly,"
    text = f"The pattern fits {how} with {best.words} ({best.share}){because}."
    if close:
        rivals = listed(f"{told.words} ({told.share})" for told in close)
        text = f"{text} It fits almost as well with {rivals}."
    yield _sentence(
        text,
        indices,
        rows=(row for weight in reasons for row in weight.rows),
        sites=(*best.indices, *(i for told in close for i in told.indices)),
    )


def _close(best: _Told, others: Sequence[_Told]) -> list[_Told]:
    return [told for told in others if told.probability >= _CLOSE * best.probability][:2]


def _reasons(case: Case, site: Site) -> list[Weight]:
    """The weights that speak most for the site: the first of each kind of sign, then the rest.

    What was found alike on the other side is not counted again: it is told together.
    """
    chosen: dict[tuple[str, str, str | None], Weight] = {}
    for weight in sorted(site.evidence, key=lambda w: -w.decibans):
        if weight.decibans >= _REASON and weight.findings:
            finding = case.findings[weight.findings[0]]
            chosen.setdefault((finding.modality, finding.segment, finding.grade), weight)
    group = case.lexicon.vocabulary.group
    kinds: dict[str, Weight] = {}
    for (modality, _, _), weight in chosen.items():
        kinds.setdefault(group(modality), weight)
    first = list(kinds.values())
    rest = [weight for weight in chosen.values() if weight not in first]
    return [*first, *rest][:_REASONS]


def _with_twins(case: Case, site: Site, indices: Sequence[int]) -> tuple[int, ...]:
    """The findings, and the same on the other side where that speaks for the site too."""
    speaking = {i for w in site.evidence if w.decibans > 0 for i in w.findings}
    keys = {(*case.findings[i].key, case.findings[i].grade) for i in indices}
    twins = (
        i
        for i in sorted(speaking)
        if (f := case.findings[i]).side in OTHER_SIDE
        and (f.modality, f.segment, OTHER_SIDE[f.side], f.grade) in keys
    )
    return tuple(sorted({*indices, *twins}))


def _objections(case: Case, site: Site, indices: tuple[int, ...]) -> Iterator[Sentence]:
    against = sorted(
        (w for w in site.evidence if w.decibans <= _OBJECTION and w.findings),
        key=lambda w: w.decibans,
    )[:_REASONS]
    told = _indices(against)
    text = f"Against it: {described(case.findings, told)}."
    if not told:
        text = "Nothing recorded speaks clearly against it."
    yield _sentence(
        text, told, rows=(row for weight in against for row in weight.rows), sites=indices
    )


def _rivals(case: Case, best: _Told, others: Sequence[_Told]) -> Iterator[Sentence]:
    close = _close(best, others) if best.first.site != "normal" else []
    rivals = [told for told in others if told.probability >= _RIVAL and told not in close][:3]
    if rivals:
        verb = "is" if len(rivals) == 1 else "are"
        named = listed(f"{told.words} ({told.share})" for told in rivals)
        parting = _parting(best, rivals[0])
        told = _with_twins(case, best.first, _indices(parting))
        which = ", which fits" if len(rivals) == 1 else "; the first of these fits"
        why = f"{which} less well with {described(case.findings, told)}" if told else ""
        yield _sentence(
            f"Less likely {verb} {named}{why}.",
            told,
            rows=(row for weight in parting for row in weight.rows),
            sites=[i for told in rivals for i in told.indices],
        )


def _parting(best: _Told, rival: _Told) -> list[Weight]:
    """What speaks most for the first site rather than the rival, when that is the next site."""
    if best.first.site == "normal" or best.indices[0] + 1 not in rival.indices:
        return []
    speaking = (w for w in best.first.evidence if w.against_next >= -_OBJECTION and w.findings)
    return sorted(speaking, key=lambda w: -w.against_next)[:3]


def _two(case: Case, two: TwoSites | None) -> Iterator[Sentence]:
    if two is None:
        return
    added = f"; the second would add {described(case.findings, two.explained)}"
    yield _sentence(
        f"Two lesions would explain more than one: {_named(two.first)} and "
        f"{_named(two.second)}{added if two.explained else ''}.",
        two.explained,
    )


def _unexamined(case: Case, coverage: Coverage | None) -> Iterator[Sentence]:
    """The groups of the examination without any result; single steps when they are few."""
    if coverage is None:
        return
    some = ("done", "one_side_only")
    lacking = [s for s in coverage.steps if s.state not in (*some, "not_expected")]
    done = {s.group for s in coverage.steps if s.state in some}
    whole = [g for g in case.lexicon.vocabulary.groups if g in {s.group for s in lacking} - done]
    single = [s.title for s in lacking if s.group in done]
    further = " further" if whole else ""
    few = single if len(single) <= 3 else [f"{len(single)}{further} steps listed below"]
    told = [name("group", group) for group in whole] + few
    if told:
        yield Sentence(
            kind="summary",
            text=f"Nothing is said about what was not examined: {listed(told)}.",
            rows=tuple(dict.fromkeys(row for s in lacking for row in s.rows)),
        )


def _next(tests: Sequence[NextTest]) -> Iterator[Sentence]:
    for index, test in enumerate(tests):
        yield Sentence(kind="next_test", text=test.text, next_tests=(index,))


def _named(site: Site | SiteName) -> str:
    return site_name(site.site, site.which, site.side)


def _indices(weights: Iterable[Weight]) -> tuple[int, ...]:
    return tuple(sorted({i for weight in weights for i in weight.findings}))


def _sentence(
    text: str,
    findings: Iterable[int],
    *,
    rows: Iterable[DataRow] = (),
    sites: Iterable[int] = (),
) -> Sentence:
    return Sentence(
        kind="summary",
        text=capital(text),
        findings=tuple(sorted(set(findings))),
        sites=tuple(sites),
        rows=tuple(dict.fromkeys(rows)),
    )
