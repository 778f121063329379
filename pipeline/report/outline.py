"""The body outline: what was found is dotted, what was not examined is hatched.

Four figures side by side: power, sensation, reflexes, and tone with what was seen. Each is
seen from the front, as one faces the person: their left is on the right. The drawing decides
nothing; what is abnormal at the age of the person is taken from the interpretation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256

from ...lexicon import load
from ...lexicon.labels import name, place_name
from ...lexicon.places import load_places
from ...lexicon.rules import load_rules
from ..interpret import Interpretation
from ..record import Finding, Record
from .body import HIDDEN_SKIN, MUSCLES, SKIN, SPOTS, Part, Points, Spot
from .svg import drawing, element, text, title

_SCALE = 1.16
_PANEL = 200.0
_TOP = 46.0
_HEIGHT = 640.0
_SIDES = ("right", "left")  # as seen: the right of the person is on the left of the page
_GLYPHS = {
    "reflex": {"absent": "0", "reduced": "−", "normal": "N", "increased": "+"},
    "plantar": {"flexor": "↓", "extensor": "↑", "equivocal": "?", "absent": "0"},
    "sign": {"absent": "0", "present": "+"},
}


@dataclass(frozen=True)
class _Page:
    """What is drawn, and from what."""

    record: Record
    abnormal: frozenset[int]
    prefix: str

    def observed(self, group: Callable[[str], bool]) -> list[int]:
        """The observed findings whose group of modalities is wanted."""
        groups = load().vocabulary.group
        return [
            i
            for i, f in enumerate(self.record.findings)
            if f.grade is not None and group(groups(f.modality))
        ]


def report_outline(record: Record, interpretation: Interpretation) -> str:
    """The outline of ``record`` as one SVG document, with everything told in words as well."""
    digest = sha256(record.model_dump_json().encode()).hexdigest()[:8]
    page = _Page(record, frozenset(interpretation.abnormal), f"outline-{digest}")
    panels = (
        ("Power", _muscles(page, page.observed(lambda group: group == "power"), "power")),
        ("Sensation", _skin(page)),
        ("Reflexes", _reflexes(page)),
        ("Tone and inspection", _muscles(page, page.observed(_is_tone), "tone")),
    )
    content = [
        element(
            "g",
            text(heading, _PANEL / 2, 16, "head middle")
            + text("right", 30, 34, "small middle")
            + text("left", _PANEL - 30, 34, "small middle")
            + "".join(marks),
            transform=f"translate({number * _PANEL:g} 0)",
        )
        for number, (heading, marks) in enumerate(panels)
    ]
    return drawing(
        [*content, *_legend(page)],
        prefix=page.prefix,
        width=4 * _PANEL,
        height=_HEIGHT,
        name="Body outline of what was found",
        told=_told(page),
    )


def _is_tone(group: str) -> bool:
    return group in ("tone", "inspection")


def _muscles(page: _Page, indices: Sequence[int], group: str) -> Iterator[str]:
    labels: list[str] = []
    for part in MUSCLES:
        for side in _SIDES:
            found = [i for i in indices if _means(page.record.findings[i], part, side)]
            yield _area(page, part, side, found)
            if found and group == "power":
                labels.append(_label(page, part, side, found))
    yield from labels


def _skin(page: _Page) -> Iterator[str]:
    indices = page.observed(lambda group: group == "sensation")
    for part in (*SKIN, *HIDDEN_SKIN):
        for side in _SIDES:
            found = [i for i in indices if _means(page.record.findings[i], part, side)]
            yield _area(page, part, side, found)
    for part in HIDDEN_SKIN:
        yield text(part.name, _PANEL / 2 + 36 * _SCALE, _TOP + part.middle[1] * _SCALE + 4, "small")


def _area(page: _Page, part: Part, side: str, found: Sequence[int]) -> str:
    """One part: dotted when something was found there, hatched when nothing was examined."""
    class_ = _class(page, found)
    return element(
        "path",
        title(f"{side} {part.name}: {_said(page, found)}"),
        d=_path(part.points, side),
        stroke_linejoin="round",
        class_=class_,
        fill=None if class_ == "normal" else f"url(#{page.prefix}-{class_})",
    )


def _class(page: _Page, found: Sequence[int]) -> str:
    if not found:
        return "unexamined"
    return "found" if any(i in page.abnormal for i in found) else "normal"


def _said(page: _Page, found: Sequence[int]) -> str:
    return "; ".join(_words(page.record.findings[i]) for i in found) or "not examined"


def _label(page: _Page, part: Part, side: str, found: Sequence[int]) -> str:
    """The lowest grade at a part."""
    values = load_rules().scales["mrc"].values
    worst = min((page.record.findings[i].grade or "" for i in found), key=values.__getitem__)
    words = {"absent": "0", "reduced": "weak", "normal": "N"}.get(worst, worst)
    x, y = _at(*part.middle, side)
    return text(words, x, y + 4, "small bold halo middle")


def _reflexes(page: _Page) -> Iterator[str]:
    for part in MUSCLES:
        for side in _SIDES:
            yield element("path", d=_path(part.points, side), class_="ghost")
    vocabulary = load().vocabulary
    for spot in SPOTS:
        for side in ("midline",) if spot.is_midline else _SIDES:
            found = [
                i
                for i, f in enumerate(page.record.findings)
                if f.grade is not None and f.modality == spot.modality and _hits(f, spot, side)
            ]
            if found or spot.usual:
                glyphs = _GLYPHS[vocabulary.modalities[spot.modality].scale]
                yield _dot(page, spot, side, found, glyphs)


def _dot(page: _Page, spot: Spot, side: str, found: Sequence[int], glyphs: dict[str, str]) -> str:
    x, y = _at(spot.x, spot.y, side)
    class_ = _class(page, found)
    hatched = f"url(#{page.prefix}-unexamined)" if class_ == "unexamined" else None
    glyph = glyphs[page.record.findings[found[-1]].grade or ""] if found else ""
    where = "" if side == "midline" else f"{side} "
    circle = element(
        "circle",
        cx=x,
        cy=y,
        r=9.0,
        class_="found paper" if class_ == "found" else class_,
        fill=hatched,
    )
    mark = text(glyph, x, y + 4.5, "bold middle") if glyph else ""
    return element("g", title(f"{where}{spot.name}: {_said(page, found)}") + circle + mark)


def _hits(finding: Finding, spot: Spot, side: str) -> bool:
    if side != "midline" and finding.side not in (side, "midline", "none"):
        return False
    if spot.segment == "none":
        return True
    return load_places().within(spot.segment, finding.segment)


def _means(finding: Finding, part: Part, side: str) -> bool:
    if finding.side not in (side, "midline", "none"):
        return False
    return part.is_meant_by(_spoken(finding), load_places())


def _spoken(finding: Finding) -> tuple[str, ...]:
    """The place, and for power at a level the key muscle of that level (ISNCSCI)."""
    if finding.modality == "power":
        movements = load().tables.movements.values()
        keys = [m.code for m in movements if m.isncsci_level == finding.segment]
        return (*keys,) if keys else (finding.segment,)
    return (finding.segment,)


def _at(x: float, y: float, side: str) -> tuple[float, float]:
    way = -1.0 if side == "right" else 1.0
    return _PANEL / 2 + way * x * _SCALE, _TOP + y * _SCALE


def _path(points: Points, side: str) -> str:
    corners = (_at(x, y, side) for x, y in points)
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in corners) + "Z"


def _legend(page: _Page) -> Iterator[str]:
    y = _HEIGHT - 46
    looks = (
        ("found", f"url(#{page.prefix}-found)", "other than normal at this age"),
        ("normal", None, "examined, nothing abnormal"),
        ("unexamined", f"url(#{page.prefix}-unexamined)", "not examined, or without a side"),
    )
    for number, (class_, fill, words) in enumerate(looks):
        x = 14.0 + number * 225
        yield element("rect", x=x, y=y, width=22, height=14, class_=class_, fill=fill)
        yield text(words, x + 30, y + 12, "small")
    yield text(
        "Reflexes: 0 absent, − reduced, N normal, + increased or present; plantar: ↓ flexor, "
        "↑ extensor, ? equivocal. Seen from the front.",
        14,
        _HEIGHT - 12,
        "small",
    )


def _told(page: _Page) -> str:
    """Every abnormal finding in words, for those who do not see the drawing."""
    said = [
        f"{f.side} {_words(f)}" if f.side in ("left", "right") else _words(f)
        for f in (page.record.findings[i] for i in sorted(page.abnormal))
    ]
    found = f"Abnormal: {'; '.join(said)}." if said else "Nothing abnormal was recorded."
    return f"{found} What is hatched was not examined."


def _words(finding: Finding) -> str:
    return f"{place_name(finding.modality, finding.segment)} {name('grade', finding.grade or '')}"
