"""The leading sites as bars: how probable each is, and what speaks for and against it.

For each likely site the weights of evidence against "nothing abnormal" are drawn from a middle
line, to the right what speaks for the site, to the left what speaks against it, in decibans;
for the first one also those against the next, which tell the two apart. The drawing decides
nothing; the numbers are the interpretation's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256

from ...lexicon.labels import site_name
from ..interpret import Interpretation, Site, Weight
from ..interpret.wording import described
from ..record import Record
from .svg import drawing, element, text, title

#: How many sites, and how many weights of each, are drawn (house: what fits a page), and below
#: which probability the evidence of a site is not.
SITES, WEIGHTS, EVIDENT = 5, 6, 0.05
_WIDTH = 800.0
_LEFT = 330.0  # the text column
_RIGHT = 90.0  # the numbers
_ROW = 20.0
_AXIS = (
    "In decibans: bars to the right speak for the site, hatched bars to the left against it; 10 is "
    "a likelihood ratio of ten."
)


def leading_sites(interpretation: Interpretation) -> tuple[Site, ...]:
    """The sites that are drawn, most probable first."""
    return interpretation.sites[:SITES]


@dataclass(frozen=True)
class Scale:
    """Weights under one heading: words for each, and decibans for (+) or against (-)."""

    heading: str
    weights: tuple[tuple[str, float], ...]


def evidence(record: Record, interpretation: Interpretation) -> tuple[Scale, ...]:
    """The evidence that is drawn: of each likely site, and of the first against the next."""
    sites = [s for s in leading_sites(interpretation) if s.evidence and s.probability >= EVIDENT]
    scales = [
        Scale(
            f"{_named(site)}, against nothing abnormal",
            _chosen((weight_words(record, w), w.decibans) for w in site.evidence),
        )
        for site in sites
        if site.site != "normal"
    ]
    if len(interpretation.sites) > 1 and sites:
        first, second = interpretation.sites[:2]
        parting = _chosen((weight_words(record, w), w.against_next) for w in first.evidence)
        if parting and second.probability >= EVIDENT:
            scales.insert(1, Scale(f"{_named(first)}, against {_lower(second)}", parting))
    return tuple(scale for scale in scales if scale.weights)


def _chosen(weights: Iterable[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    """The largest weights, whichever way they speak; the two that object most among them."""
    ordered = sorted((w for w in weights if abs(w[1]) >= 0.5), key=lambda w: -abs(w[1]))
    objections = [w for w in ordered if w[1] < 0][:2]
    rest = [w for w in ordered if w not in objections][: WEIGHTS - len(objections)]
    return tuple(w for w in ordered if w in rest or w in objections)


def weight_words(record: Record, weight: Weight) -> str:
    """The findings of a weight as a person reads them."""
    return described(record.findings, weight.findings)


def report_bars(record: Record, interpretation: Interpretation) -> str:
    """The chart of ``interpretation`` as one SVG document; without sites it says so."""
    sites = leading_sites(interpretation)
    digest = sha256(interpretation.model_dump_json().encode()).hexdigest()[:8]
    prefix = f"bars-{digest}"
    content, height = _chart(sites, evidence(record, interpretation), prefix)
    return drawing(
        content,
        prefix=prefix,
        width=_WIDTH,
        height=height,
        name="The leading sites and their evidence",
        told=_told(sites),
    )


def _chart(sites: Sequence[Site], scales: Sequence[Scale], prefix: str) -> tuple[list[str], float]:
    if not sites:
        return [text("No site was weighed: nothing was observed.", 14, 28)], 44.0
    content = [
        text("Leading sites", 14, 18, "head"),
        text("probability among the sites weighed", _LEFT, 18, "small"),
    ]
    y = 30.0
    for site in sites:
        content.extend(_probability(site, y))
        y += _ROW + 2
    middle, length = _axis([value for scale in scales for _, value in scale.weights])
    for scale in scales:
        y += 20
        content.extend(_evidence(scale, y, middle, length, prefix))
        y += 18 + _ROW * len(scale.weights)
    if scales:
        y += 18
        content.append(text(_AXIS, 14, y, "small"))
    return content, y + 14


def _probability(site: Site, y: float) -> Iterator[str]:
    words, share = _named(site), site.probability
    room = _WIDTH - _LEFT - _RIGHT
    yield text(_cut(words), _LEFT - 10, y + 13, "end")
    yield element("rect", x=_LEFT, y=y + 2, width=room, height=13, class_="ghost")
    bar = element("rect", x=_LEFT, y=y + 2, width=max(room * share, 0.5), height=13, class_="for")
    yield element("g", title(f"{words}: {percent(share)}") + bar)
    yield text(percent(share), _WIDTH - _RIGHT + 8, y + 13, "bold")


def _axis(values: Sequence[float]) -> tuple[float, float]:
    """Where the middle line stands, and how long a deciban is: one measure for all scales."""
    most, least = max(values, default=0.0), min(values, default=0.0)
    middle = _LEFT + (_WIDTH - _LEFT - _RIGHT) * (0.3 if least < 0 else 0.02)
    to_right = (_WIDTH - _RIGHT - middle) / most if most > 0 else float("inf")
    to_left = (middle - _LEFT) / -least if least < 0 else float("inf")
    return middle, min(to_right, to_left)


def _evidence(scale: Scale, y: float, middle: float, length: float, prefix: str) -> Iterator[str]:
    yield text(scale.heading, 14, y, "bold")
    top = y + 6
    for number, (words, value) in enumerate(scale.weights):
        at = top + number * _ROW
        width, speaks_for = max(abs(value) * length, 0.5), value >= 0
        bar = element(
            "rect",
            x=middle if speaks_for else middle - width,
            y=at + 3,
            width=width,
            height=12,
            class_="for" if speaks_for else "against",
            fill=None if speaks_for else f"url(#{prefix}-unexamined)",
        )
        yield text(_cut(words), _LEFT - 10, at + 13, "small end")
        yield element("g", title(f"{words}: {value:+.1f} decibans") + bar)
        yield text(f"{value:+.1f}", _WIDTH - _RIGHT + 8, at + 13, "small")
    bottom = top + len(scale.weights) * _ROW
    yield element("path", d=f"M{middle:.1f} {top:.1f}V{bottom:.1f}", class_="line")


def _named(site: Site) -> str:
    words = _lower(site)
    return words[:1].upper() + words[1:]


def _lower(site: Site) -> str:
    return site_name(site.site, site.which, site.side)


def percent(share: float) -> str:
    """A probability as it is read; only what is certain is called 0 or 100 per cent."""
    if 0 < share < 0.01:
        return "below 1 %"
    return f"{share:.0%}".replace("%", " %") if share in (0, 1) or share < 0.99 else "above 99 %"


def _cut(words: str, most: int = 52) -> str:
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def _told(sites: Sequence[Site]) -> str:
    shares = (f"{_named(site)}: {percent(site.probability)}" for site in sites)
    return "; ".join(shares) or "No site was weighed."
