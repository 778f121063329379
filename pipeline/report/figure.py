"""The body outline on paper: the marks of ``marks`` as lines, without colour where it can be.

Two figures beside two. What was found is dotted and has a heavy edge, what was not examined is
hatched, what is normal is left plain. Dots and hatching are drawn shape by shape, since they
must print the same everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from .body import HIDDEN_SKIN, MUSCLES, Part, Points, Spot
from .marks import LEGEND, SIDES, SIGNS, Look, Mark, Panel
from .sheet import INK, SOFT, Sheet

#: Millimetres to a unit of the drawing, and the size of one figure (house: half a column).
SCALE, PANEL, TALL = 0.146, 27.5, 67.5
WIDTH = 2 * PANEL
_HEAD = 6.4
_MARK, _TINT = (163, 59, 0), (249, 226, 206)
_SPOT = 1.45
_NARROW = 10.0  # half a part that has no room for two labels, in units of the drawing


def draw_outline(sheet: Sheet, panels: Sequence[Panel], x: float, y: float) -> float:
    """Draw the figures with their upper left corner at ``x``, ``y``; where they end, in mm."""
    top = y
    for pair in (panels[:2], panels[2:]):
        for number, panel in enumerate(pair):
            _figure(sheet, panel, x + number * PANEL, top)
        has_hidden = any(m.shape in HIDDEN_SKIN for panel in pair for m in panel.marks)
        top += TALL + (6.5 if has_hidden else 0.0)
    return _legend(sheet, x, top)


def _figure(sheet: Sheet, panel: Panel, x: float, y: float) -> None:
    middle, top = x + PANEL / 2, y + _HEAD
    sheet.look(7, style="B")
    _centred(sheet, panel.heading, middle, y + 1.6)
    sheet.look(5.8, SOFT)
    _centred(sheet, "right", x + 5, y + 5)
    _centred(sheet, "left", x + PANEL - 5, y + 5)
    if panel.has_spots:
        sheet.set_draw_color(*SOFT)
        sheet.set_line_width(0.12)
        for part in MUSCLES:
            for side in SIDES:
                sheet.polygon(_placed(part.points, side, middle, top))
    for mark in sorted(panel.marks, key=lambda m: m.look == "found"):
        if isinstance(mark.shape, Spot):
            _spot(sheet, mark, mark.shape, middle, top)
        else:
            _area(sheet, mark.look, _placed(mark.shape.points, mark.side, middle, top))
    for words, at_x, at_y in _labels(panel):
        _label(sheet, words, middle + at_x * SCALE, top + (at_y - 6) * SCALE)
    if any(m.shape in HIDDEN_SKIN for m in panel.marks):
        sheet.look(5.2, SOFT)
        for part in HIDDEN_SKIN:
            at_y = top + (part.middle[1] - 6) * SCALE
            sheet.set_xy(middle + 34 * SCALE, at_y - 1)
            sheet.cell(h=2, text=part.name.split(" (")[-1].rstrip(")"))


def _area(sheet: Sheet, look: Look, corners: Sequence[tuple[float, float]]) -> None:
    if look == "found":
        sheet.set_fill_color(*_TINT)
        sheet.polygon(corners, style="F")
        sheet.set_fill_color(*_MARK)
        for x, y in _dots(corners):
            sheet.circle(x, y, 0.17, style="F")
        sheet.set_draw_color(*_MARK)
        sheet.set_line_width(0.32)
    elif look == "unexamined":
        sheet.set_draw_color(*SOFT)
        sheet.set_line_width(0.12)
        for start, end in _hatching(corners):
            sheet.line(*start, *end)
    else:
        sheet.set_draw_color(*INK)
        sheet.set_line_width(0.16)
    sheet.polygon(corners)


def _spot(sheet: Sheet, mark: Mark, spot: Spot, middle: float, top: float) -> None:
    ((x, y),) = _placed(((spot.x, spot.y),), mark.side, middle, top)
    circle = [
        (x + _SPOT * math.cos(n * math.pi / 12), y + _SPOT * math.sin(n * math.pi / 12))
        for n in range(24)
    ]
    sheet.set_fill_color(255, 255, 255)
    sheet.polygon(circle, style="F")
    if mark.look == "found":
        sheet.set_draw_color(*_MARK)
        sheet.set_line_width(0.4)
        sheet.polygon(circle)
    else:
        _area(sheet, mark.look, circle)
    if mark.label:
        sheet.look(6, style="B")
        _centred(sheet, mark.label, x, y)


def _labels(panel: Panel) -> Iterator[tuple[str, float, float]]:
    """Each label and its place; one that both sides share in the middle stands there once."""
    labels: dict[Part, dict[str, str]] = {}
    for mark in panel.marks:
        if mark.label and isinstance(mark.shape, Part):
            labels.setdefault(mark.shape, {})[mark.side] = mark.label
    for part, sides in labels.items():
        x, y = part.middle
        if x < _NARROW and len(sides) == 2 and len(set(sides.values())) == 1:
            yield sides["left"], 0.0, y
        else:
            for side, words in sides.items():
                yield words, x if side == "left" else -x, y


def _label(sheet: Sheet, words: str, x: float, y: float) -> None:
    sheet.look(6, style="B")
    width = sheet.get_string_width(words) + 0.5
    sheet.set_fill_color(255, 255, 255)
    sheet.rect(x - width / 2, y - 1.05, width, 2.1, style="F")
    _centred(sheet, words, x, y)


def _centred(sheet: Sheet, words: str, x: float, y: float) -> None:
    width = sheet.get_string_width(words)
    sheet.set_xy(x - width / 2, y - 1.5)
    sheet.cell(width, 3, words)


def _legend(sheet: Sheet, x: float, y: float) -> float:
    at = y + 0.5
    for look, words in LEGEND:
        _area(sheet, look, [(x, at), (x + 4.5, at), (x + 4.5, at + 2.6), (x, at + 2.6)])
        sheet.look(6.2)
        sheet.set_xy(x + 5.4, at)
        sheet.cell(h=2.6, text=words)
        at += 3.5
    sheet.look(6, SOFT)
    sheet.set_xy(x, at)
    sheet.multi_cell(WIDTH, 2.7, SIGNS, align="L")
    return sheet.y


def _placed(points: Points, side: str, middle: float, top: float) -> list[tuple[float, float]]:
    way = -1.0 if side == "right" else 1.0
    return [(middle + way * x * SCALE, top + (y - 6) * SCALE) for x, y in points]


def _hatching(
    corners: Sequence[tuple[float, float]], *, apart: float = 0.95
) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """Slanting lines within a polygon, ``apart`` millimetres across: where x + y is constant."""
    step = apart * math.sqrt(2)
    sums = [x + y for x, y in corners]
    for number in range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1):
        level = number * step
        met = sorted(_met(corners, level))
        for start, end in zip(met[::2], met[1::2], strict=False):
            yield (start, level - start), (end, level - end)


def _met(corners: Sequence[tuple[float, float]], level: float) -> Iterator[float]:
    """Where the edges cross the line x + y = ``level``, as x."""
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        before, after = x0 + y0 - level, x1 + y1 - level
        if (before < 0) != (after < 0):
            share = before / (before - after)
            yield x0 + share * (x1 - x0)


def _dots(
    corners: Sequence[tuple[float, float]], *, apart: float = 0.85
) -> Iterator[tuple[float, float]]:
    """Points of a slanting grid within a polygon."""
    ys = [y for _, y in corners]
    for number in range(math.ceil(min(ys) / apart), math.floor(max(ys) / apart) + 1):
        y = number * apart
        crossings = sorted(_crossed(corners, y))
        shift = apart / 2 if number % 2 else 0.0
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            first = math.ceil((start + 0.25 - shift) / apart)
            last = math.floor((end - 0.25 - shift) / apart)
            yield from ((n * apart + shift, y) for n in range(first, last + 1))


def _crossed(corners: Sequence[tuple[float, float]], y: float) -> Iterator[float]:
    for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if (y0 < y) != (y1 < y):
            yield x0 + (y - y0) / (y1 - y0) * (x1 - x0)
