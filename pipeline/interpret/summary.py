"""The interpretation in a few sentences that a colleague would sign, never a diagnosis.

What the pattern fits best with and why, what speaks against it, which rivals stay close, what
two lesions would explain, what was not examined, and what would be most useful next. When
nothing abnormal was found that is said of what was examined, and of nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ...lexicon.labels import name, place_name, site_name
from .base import DataRow
from .grading import Case
from .models import Coverage, NextTest, Sentence, Site, SiteName, TwoSites, Weight
from .wording import capital, described, listed, on_sides

#: Above this probability a site is told as the one that fits best, without rivals; a second
#: site with at least this share of the first one's probability fits about as well (house).
_CLEAR, _CLOSE = 0.9, 0.5
#: Sites below this probability are not told as rivals (house).
_RIVAL = 0.05
#: Evidence of fewer decibans than this is not told: hardly worth mentioning, 10^(1/2) being
#: the least that is (Jeffreys 1961, Theory of Probability, appendix B).
_WEIGHT = 5.0
_REASONS = 4


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
    return (
        *_finding(case, abnormal, sites),
        *_two(case, two_sites),
        *_unexamined(case, coverage),
        *_next(next_tests),
    )


def _finding(case: Case, abnormal: Sequence[int], sites: Sequence[Site]) -> Iterator[Sentence]:
    if not abnormal:
        yield _sentence("Nothing abnormal was found in what was examined.", case.observed)
        return
    if not sites:
        what = described(case.findings, abnormal)
        yield _sentence(f"Abnormal in what was examined: {what}.", abnormal)
        return
    first, *others = sites
    if first.site == "normal":
        what = described(case.findings, abnormal)
        yield _sentence(
            f"The pattern fits best with nothing abnormal ({_share(first)}): {what} would not be "
            "enough by itself to point to a lesion.",
            abnormal,
        )
    else:
        yield _best(case, first, others)
        yield from _against(case, first)
    yield from _rivals(case, first, others)


def _best(case: Case, first: Site, others: Sequence[Site]) -> Sentence:
    told = _leading(first)
    indices = _findings(told)
    reasons = f", because of {described(case.findings, indices)}" if told else ""
    close = [site for site in others if site.probability >= _CLOSE * first.probability]
    if not close:
        text = f"The pattern fits best with {_named(first)} ({_share(first)}){reasons}."
    else:
        rivals = listed(f"{_named(site)} ({_share(site)})" for site in close[:2])
        text = (
            f"The pattern fits about as well with {_named(first)} ({_share(first)}) as with "
            f"{rivals}{reasons}."
        )
    return _sentence(text, indices, (row for weight in told for row in weight.rows))


def _leading(site: Site) -> list[Weight]:
    """The few weights that speak most for the site."""
    speaking = [w for w in site.evidence if w.decibans >= _WEIGHT and w.findings]
    return sorted(speaking, key=lambda w: -w.decibans)[:_REASONS]


def _against(case: Case, first: Site) -> Iterator[Sentence]:
    against = [w for w in first.evidence if w.decibans <= -_WEIGHT and w.findings]
    against = sorted(against, key=lambda w: w.decibans)[:_REASONS]
    told = _findings(against)
    if told:
        yield _sentence(
            f"Against it: {described(case.findings, told)}.",
            told,
            (row for weight in against for row in weight.rows),
        )
    left = tuple(i for i in first.unexplained if i not in told)
    if left:
        yield _sentence(f"It does not explain {described(case.findings, left)}.", left)


def _rivals(case: Case, first: Site, others: Sequence[Site]) -> Iterator[Sentence]:
    rivals = [
        site
        for site in others
        if _RIVAL <= site.probability < _CLOSE * first.probability and site.site != "normal"
    ]
    if not rivals or first.probability >= _CLEAR:
        return
    named = listed(f"{_named(site)} ({_share(site)})" for site in rivals[:3])
    verb = "is" if len(rivals[:3]) == 1 else "are"
    parting = [w for w in first.evidence if w.against_next >= _WEIGHT and w.findings]
    parting = sorted(parting, key=lambda w: -w.against_next)[:2]
    told = _findings(parting) if others[0] is rivals[0] else ()
    why = (
        f"; what speaks most for {_named(first)} rather than the next is "
        f"{described(case.findings, told)}"
        if told
        else ""
    )
    yield _sentence(f"Less likely {verb} {named}{why}.", told)


def _two(case: Case, two: TwoSites | None) -> Iterator[Sentence]:
    if two is None:
        return
    added = f", which adds {described(case.findings, two.explained)}" if two.explained else ""
    yield _sentence(
        f"Two lesions together would explain more than one: {_named(two.first)} and "
        f"{_named(two.second)}{added}.",
        two.explained,
    )


def _unexamined(case: Case, coverage: Coverage | None) -> Iterator[Sentence]:
    """The groups of the examination without any result; single steps when they are few."""
    if coverage is None:
        return
    lacking = [
        s for s in coverage.steps if s.state not in ("done", "one_side_only", "not_expected")
    ]
    done = {s.group for s in coverage.steps if s.state in ("done", "one_side_only")}
    whole = [g for g in case.lexicon.vocabulary.groups if g in {s.group for s in lacking} - done]
    single = [s.title for s in lacking if s.group in done]
    few = single if len(single) <= 3 else [f"{len(single)} single steps"]
    told = [name("group", group) for group in whole] + few
    if told:
        yield Sentence(
            kind="summary",
            text=f"Not examined, and so undecided: {listed(told)}.",
            rows=tuple(dict.fromkeys(row for s in lacking for row in s.rows)),
        )


def _next(tests: Sequence[NextTest]) -> Iterator[Sentence]:
    if tests:
        told = "; ".join(_test(test) for test in tests)
        yield Sentence(kind="summary", text=f"Most useful to examine next: {told}.")


def _test(test: NextTest) -> str:
    what = place_name(test.modality, test.segment)
    where = on_sides([test.side])
    apart = listed(_named(site) for site in test.separates[:2]) if len(test.separates) > 1 else ""
    return f"{what}{f' {where}' if where else ''}" + (f" (parts {apart})" if apart else "")


def _named(site: Site | SiteName) -> str:
    return site_name(site.site, site.which, site.side)


def _share(site: Site) -> str:
    if site.probability >= 0.99:
        return "probability above 0.99"
    return f"probability {site.probability:.2f}"


def _findings(weights: Iterable[Weight]) -> tuple[int, ...]:
    return tuple(sorted({i for weight in weights for i in weight.findings}))


def _sentence(text: str, findings: Iterable[int], rows: Iterable[DataRow] = ()) -> Sentence:
    return Sentence(
        kind="summary",
        text=capital(text),
        findings=tuple(sorted(set(findings))),
        rows=tuple(dict.fromkeys(rows)),
    )
