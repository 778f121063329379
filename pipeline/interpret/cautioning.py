"""What a careful reader is warned about; the rules are data (``rules/cautions.toml``).

Only observed findings count. Each kind of rule has one small function here that says which
findings (or steps) it rests on, or nothing when it does not apply.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ...lexicon.labels import name, site_name
from ...lexicon.rules import CautionRule, Pattern
from .base import DataRow
from .grading import Case, differs_from_other_side, excludes, norm_row, rule_row
from .models import Caution, Coverage, Site
from .scope import is_one_of, lies_in, limbs_of
from .wording import described, listed

_TABLE = "rules/cautions.toml"
_LEADS = 0.5


@dataclass(frozen=True)
class _Read:
    """What was read from the findings before the cautions."""

    coverage: Coverage | None
    sites: tuple[Site, ...]


@dataclass(frozen=True)
class _Ground:
    """What a caution rests on, and the words for it."""

    what: str
    findings: tuple[int, ...] = ()
    steps: tuple[str, ...] = ()
    rows: tuple[DataRow, ...] = ()


def warn(case: Case, coverage: Coverage | None, sites: Sequence[Site] = ()) -> tuple[Caution, ...]:
    """The cautions that apply, urgent ones first, else in the order of the data file.

    ``sites`` are those of the localisation, most probable first.
    """
    found = [
        _caution(rule, ground)
        for rule in case.rules.cautions
        if case.is_within_age(rule.from_months, rule.below_months)
        and (ground := _GROUNDS[rule.kind](case, _Read(coverage, tuple(sites)), rule)) is not None
    ]
    return tuple(sorted(found, key=lambda caution: not caution.urgent))


def withheld_findings(case: Case, cautions: Iterable[Caution]) -> frozenset[int]:
    """The findings that a caution keeps from being passed on as abnormal."""
    withholding = {rule.id for rule in case.rules.cautions if rule.withholds_terms}
    return frozenset(i for c in cautions if c.id in withholding for i in c.findings)


def _caution(rule: CautionRule, ground: _Ground) -> Caution:
    return Caution(
        id=rule.id,
        title=rule.title,
        text=rule.text.format(what=ground.what),
        urgent=rule.urgent,
        findings=ground.findings,
        steps=ground.steps,
        rows=(rule_row(_TABLE, rule), *ground.rows),
    )


def _from_patterns(case: Case, _read: _Read, rule: CautionRule) -> _Ground | None:
    every = [_matches(case, pattern) for pattern in rule.all_of]
    either = [_matches(case, pattern) for pattern in rule.any_of]
    if not all(every) or (either and not any(either)):
        return None
    if any(_matches(case, pattern) for pattern in rule.none_of):
        return None
    found = tuple(sorted({i for matched in (*every, *either) for i in matched}))
    if rule.even_sides and any(differs_from_other_side(case, i) for i in found):
        return None
    return _Ground(described(case.findings, found), found)


def _from_same_limb(case: Case, _read: _Read, rule: CautionRule) -> _Ground | None:
    signs, weak = (_matches(case, pattern) for pattern in rule.all_of)
    pairs = [(i, j) for i in signs for j in weak if _share_limb(case, i, j)]
    found = tuple(sorted({i for pair in pairs for i in pair}))
    return _Ground(described(case.findings, found), found) if found else None


def _from_one_side(case: Case, _read: _Read, rule: CautionRule) -> _Ground | None:
    """Both patterns on one side, and at least one of them not on the other side."""
    by_side = [_by_side(case, pattern) for pattern in rule.all_of]
    if any(_matches(case, pattern) for pattern in rule.none_of):
        return None
    for side, other in (("left", "right"), ("right", "left")):
        if all(found[side] for found in by_side) and not all(found[other] for found in by_side):
            found = tuple(sorted({i for one in by_side for i in one[side]}))
            return _Ground(described(case.findings, found), found)
    return None


def _from_crossed(case: Case, _read: _Read, rule: CautionRule) -> _Ground | None:
    """The first pattern on one side only, the second on the other side only."""
    one, two = (_by_side(case, pattern) for pattern in rule.all_of)
    for side, other in (("left", "right"), ("right", "left")):
        if one[side] and two[other] and not one[other] and not two[side]:
            found = tuple(sorted({*one[side], *two[other]}))
            return _Ground(described(case.findings, found), found)
    return None


def _by_side(case: Case, pattern: Pattern) -> dict[str, tuple[int, ...]]:
    found = _matches(case, pattern)
    return {
        side: tuple(i for i in found if case.findings[i].side == side) for side in ("left", "right")
    }


def _from_age(case: Case, _read: _Read, rule: CautionRule) -> _Ground | None:
    age = case.record.age_months
    found = tuple(
        i
        for i in case.observed
        if age is not None
        and age < rule.ages.get(case.findings[i].modality, 0)
        and (not rule.grades or case.findings[i].grade in rule.grades)
    )
    if not found:
        return None
    signs: dict[str, list[str]] = {}  # tests that one norm speaks for are told together
    for i in found:
        modality = case.findings[i].modality
        together = signs.setdefault(rule.norm_of.get(modality, modality), [])
        if modality not in together:
            together.append(modality)
    named = [
        f"{listed(name('modality', m) for m in modalities)} "
        f"({'; '.join(n.expected for n in case.norms(sign))})"
        for sign, modalities in signs.items()
    ]
    rows = tuple(norm_row(norm) for sign in signs for norm in case.norms(sign))
    return _Ground(listed(named), found, rows=rows)


def _from_site(_case: Case, read: _Read, rule: CautionRule) -> _Ground | None:
    """The leading site is one of the rule's, which together are likelier than all others."""
    named = [s for s in read.sites if {s.site, f"{s.site} {s.which}"} & set(rule.sites)]
    share = sum(site.probability for site in named)
    if not named or read.sites[0] != named[0] or share <= _LEADS:
        return None
    return _Ground(site_name(named[0].site, named[0].which, named[0].side))


def _from_coverage(case: Case, read: _Read, _rule: CautionRule) -> _Ground | None:
    if read.coverage is None:
        return None
    lacking = [s for s in read.coverage.steps if s.state not in ("done", "not_expected")]
    if not lacking:
        return None
    one_side = sum(s.state == "one_side_only" for s in lacking)
    counts = ((one_side, "on one side only"), (len(lacking) - one_side, "without a result"))
    return _Ground(
        what=listed(f"{_steps(count)} {how}" for count, how in counts if count),
        findings=tuple(sorted({i for s in lacking for i in s.findings})),
        steps=tuple(s.step for s in lacking),
    )


def _steps(count: int) -> str:
    return f"{count} expected step" + ("" if count == 1 else "s")


def _from_conflict(case: Case, _read: _Read, _rule: CautionRule) -> _Ground | None:
    by_key: dict[tuple[str, str, str], list[int]] = {}
    for index, finding in enumerate(case.findings):
        by_key.setdefault(finding.key, []).append(index)
    found = tuple(sorted(i for same in by_key.values() if _is_conflict(case, same) for i in same))
    return _Ground(described(case.findings, found), found) if found else None


def _is_conflict(case: Case, indices: list[int]) -> bool:
    scale = case.scale(case.findings[indices[0]].modality)
    grades = [case.findings[i].grade for i in indices]
    given = [g for g in grades if g is not None]
    return (0 < len(given) < len(grades)) or any(
        excludes(scale, a, b) for a in given for b in given
    )


_GROUNDS: Mapping[str, Callable[[Case, _Read, CautionRule], _Ground | None]] = {
    "pattern": _from_patterns,
    "same_limb": _from_same_limb,
    "one_side": _from_one_side,
    "crossed": _from_crossed,
    "age": _from_age,
    "site": _from_site,
    "incomplete": _from_coverage,
    "conflict": _from_conflict,
}


def _matches(case: Case, pattern: Pattern) -> tuple[int, ...]:
    found = tuple(i for i in case.observed if _is_match(case, pattern, i))
    if pattern.both_sides:
        sides = {side for i in found for side in _sides(case, i)}
        return found if sides == {"left", "right"} else ()
    return found


def _is_match(case: Case, pattern: Pattern, index: int) -> bool:
    finding = case.findings[index]
    return (
        finding.grade in pattern.grades
        and is_one_of(case, finding, pattern.modalities, pattern.groups)
        and lies_in(case, finding, pattern.places)
    )


def _sides(case: Case, index: int) -> Iterator[str]:
    side = case.findings[index].side
    if side in ("midline", "none"):
        yield from ("left", "right")
    elif side != "unstated":
        yield side


def _share_limb(case: Case, one: int, other: int) -> bool:
    limbs = (limbs_of(case, case.findings[i]) for i in (one, other))
    return bool(frozenset.intersection(*limbs)) and bool(
        set(_sides(case, one)) & set(_sides(case, other))
    )
