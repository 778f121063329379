"""The leading sites as bars: how probable each is, and what speaks for and against it.

For each of the leading sites the weights of evidence are drawn from a middle line, to the
right what speaks for the site, to the left what speaks against it, in decibans against
"nothing abnormal". The drawing decides nothing; the numbers are the interpretation's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from hashlib import sha256

from ...lexicon.labels import site_name
from ..interpret import Interpretation, Site, Weight
from ..interpret.wording import described
from ..record import Record
from .svg import drawing, element, text, title

#: How many sites, and how many weights of each, are drawn (house: what fits a page).
SITES, WEIGHTS = 5, 6
_WIDTH = 800.0
_LEFT = 330.0  # the text column
_RIGHT = 90.0  # the numbers
_ROW = 20.0
_AXIS = (
    "Decibans against “nothing abnormal”: bars to the right speak for the site, hatched bars to "
    "the left against it; 10 is a likelihood ratio of ten."
)


def leading_sites(interpretation: Interpretation) -> tuple[Site, ...]:
    """The sites that are drawn, most probable first."""
    return interpretation.sites[:SITES]


def leading_weights(site: Site) -> tuple[Weight, ...]:
    """The weights that are drawn, largest first, whichever way they speak."""
    ordered = sorted(site.evidence, key=lambda weight: -abs(weight.decibans))
    return tuple(ordered[:WEIGHTS])


def weight_words(record: Record, weight: Weight) -> str:
    """The findings of a weight as a person reads them."""
    return described(record.findings, weight.findings)


def report_bars(record: Record, interpretation: Interpretation) -> str:
    """The chart of ``interpretation`` as one SVG document; without sites it says so."""
    sites = leading_sites(interpretation)
    digest = sha256(interpretation.model_dump_json().encode()).hexdigest()[:8]
    prefix = f"bars-{digest}"
    content, height = _chart(record, sites, prefix)
    return drawing(
        content,
        prefix=prefix,
        width=_WIDTH,
        height=height,
        name="The leading sites and their evidence",
        told=_told(sites),
    )


def _chart(record: Record, sites: Sequence[Site], prefix: str) -> tuple[list[str], float]:
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
    weighed = [(site, leading_weights(site)) for site in sites if site.evidence]
    most = max((abs(w.decibans) for _, weights in weighed for w in weights), default=0.0)
    for site, weights in weighed:
        y += 18
        content.extend(_evidence(record, site, weights, y, most, prefix))
        y += 18 + _ROW * len(weights)
    if weighed:
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


def _evidence(
    record: Record, site: Site, weights: Sequence[Weight], y: float, most: float, prefix: str
) -> Iterator[str]:
    yield text(f"For and against: {_named(site)}", 14, y, "bold")
    room = _WIDTH - _LEFT - _RIGHT
    furthest_left = max((-w.decibans for w in weights if w.decibans < 0), default=0.0)
    middle = _LEFT + room * (0.35 if furthest_left else 0.04)
    scale = min(
        (_WIDTH - _RIGHT - middle) / most if most else 0.0,
        (middle - _LEFT) / furthest_left if furthest_left else float("inf"),
    )
    top = y + 6
    for number, weight in enumerate(weights):
        at = top + number * _ROW
        words, length = weight_words(record, weight), abs(weight.decibans) * scale
        speaks_for = weight.decibans >= 0
        bar = element(
            "rect",
            x=middle if speaks_for else middle - length,
            y=at + 3,
            width=max(length, 0.5),
            height=12,
            class_="for" if speaks_for else "against",
            fill=None if speaks_for else f"url(#{prefix}-unexamined)",
        )
        yield text(_cut(words), _LEFT - 10, at + 13, "small end")
        yield element("g", title(f"{words}: {weight.decibans:+.1f} decibans") + bar)
        yield text(f"{weight.decibans:+.1f}", _WIDTH - _RIGHT + 8, at + 13, "small")
    bottom = top + len(weights) * _ROW
    yield element("path", d=f"M{middle:.1f} {top:.1f}V{bottom:.1f}", class_="line")


def _named(site: Site) -> str:
    words = site_name(site.site, site.which, site.side)
    return words[:1].upper() + words[1:]


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
