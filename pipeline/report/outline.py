"""The body outline: what was found is dotted, what was not examined is hatched.

Four figures side by side: power, sensation, reflexes, and tone with what was seen. Each is
seen from the front, as one faces the person: their left is on the right. The drawing decides
nothing; what it shows is decided in ``marks``.
"""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256

from ..interpret import Interpretation
from ..record import Record
from .body import HIDDEN_SKIN, MUSCLES, Points, Spot
from .marks import LEGEND, SIDES, SIGNS, Mark, Panel, outline_panels, outline_told
from .svg import drawing, element, text, title

_SCALE = 1.16
_PANEL = 200.0
_TOP = 46.0
_HEIGHT = 640.0


def report_outline(record: Record, interpretation: Interpretation) -> str:
    """The outline of ``record`` as one SVG document, with everything told in words as well."""
    digest = sha256(record.model_dump_json().encode()).hexdigest()[:8]
    prefix = f"outline-{digest}"
    content = [
        element(
            "g",
            text(panel.heading, _PANEL / 2, 16, "head middle")
            + text("right", 30, 34, "small middle")
            + text("left", _PANEL - 30, 34, "small middle")
            + "".join(_figure(panel, prefix)),
            transform=f"translate({number * _PANEL:g} 0)",
        )
        for number, panel in enumerate(outline_panels(record, interpretation))
    ]
    return drawing(
        [*content, *_legend(prefix)],
        prefix=prefix,
        width=4 * _PANEL,
        height=_HEIGHT,
        name="Body outline of what was found",
        told=outline_told(record, interpretation),
    )


def _figure(panel: Panel, prefix: str) -> Iterator[str]:
    if panel.has_spots:
        for part in MUSCLES:
            for side in SIDES:
                yield element("path", d=_path(part.points, side), class_="ghost")
    for mark in panel.marks:
        yield (
            _dot(mark, mark.shape, prefix)
            if isinstance(mark.shape, Spot)
            else _area(mark, mark.shape.points, prefix)
        )
    for mark in panel.marks:
        if mark.label and not isinstance(mark.shape, Spot):
            x, y = _at(*mark.shape.middle, mark.side)
            yield text(mark.label, x, y + 4, "small bold halo middle")
    if any(mark.shape in HIDDEN_SKIN for mark in panel.marks):
        for part in HIDDEN_SKIN:
            x, y = _PANEL / 2 + 36 * _SCALE, _TOP + part.middle[1] * _SCALE + 4
            yield text(part.name, x, y, "small")


def _area(mark: Mark, points: Points, prefix: str) -> str:
    """One part: dotted when something was found there, hatched when nothing was examined."""
    return element(
        "path",
        title(mark.told),
        d=_path(points, mark.side),
        stroke_linejoin="round",
        class_=mark.look,
        fill=None if mark.look == "normal" else f"url(#{prefix}-{mark.look})",
    )


def _dot(mark: Mark, spot: Spot, prefix: str) -> str:
    x, y = _at(spot.x, spot.y, mark.side)
    circle = element(
        "circle",
        cx=x,
        cy=y,
        r=9.0,
        class_="found paper" if mark.look == "found" else mark.look,
        fill=f"url(#{prefix}-unexamined)" if mark.look == "unexamined" else None,
    )
    glyph = text(mark.label, x, y + 4.5, "bold middle") if mark.label else ""
    return element("g", title(mark.told) + circle + glyph)


def _at(x: float, y: float, side: str) -> tuple[float, float]:
    way = -1.0 if side == "right" else 1.0
    return _PANEL / 2 + way * x * _SCALE, _TOP + y * _SCALE


def _path(points: Points, side: str) -> str:
    corners = (_at(x, y, side) for x, y in points)
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in corners) + "Z"


def _legend(prefix: str) -> Iterator[str]:
    y = _HEIGHT - 46
    for number, (look, words) in enumerate(LEGEND):
        x = 14.0 + number * 225
        fill = None if look == "normal" else f"url(#{prefix}-{look})"
        yield element("rect", x=x, y=y, width=22, height=14, class_=look, fill=fill)
        yield text(words, x + 30, y + 12, "small")
    yield text(SIGNS, 14, _HEIGHT - 12, "small")
