"""Draws the curves of ``localise.py`` as a plain SVG."""

from __future__ import annotations

import numpy as np

SHOWN = 60


def svg(curves: dict[str, np.ndarray]) -> str:
    """The curves as a plain SVG; each has a dash of its own, so that colour is not needed."""
    width, height, left, top = 640, 400, 60, 30
    dashes = {"next test": "", "head to toe": "8 4", "random": "2 4"}

    def at(n: float, share: float) -> str:
        x = left + n / SHOWN * (width - left - 130)
        return f"{x:.1f},{top + (1 - share) * (height - top - 50):.1f}"

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        'font-family="sans-serif" font-size="13">',
        "<title>Share of invented cases solved against the number of tests</title>",
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
    ]
    for share in (0, 0.25, 0.5, 0.75, 1):
        (x, y), (x2, _) = at(0, share).split(","), at(SHOWN, share).split(",")
        parts.append(f'<line x1="{x}" y1="{y}" x2="{x2}" y2="{y}" stroke="#ccc"/>')
        parts.append(
            f'<text x="{left - 8}" y="{float(y) + 4}" text-anchor="end">{share:.0%}</text>'
        )
    for n in range(0, SHOWN + 1, 10):
        x, y = at(n, 0).split(",")
        parts.append(f'<text x="{x}" y="{float(y) + 20}" text-anchor="middle">{n}</text>')
    middle = at(SHOWN / 2, 0).split(",")[0]
    parts.append(f'<text x="{middle}" y="{height - 8}" text-anchor="middle">tests done</text>')
    parts.append(f'<text x="{left}" y="18">cases solved</text>')
    for name, curve in curves.items():
        points = " ".join(at(n, share) for n, share in enumerate(curve[: SHOWN + 1]))
        dash = f' stroke-dasharray="{dashes[name]}"' if dashes[name] else ""
        parts.append(
            f'<polyline points="{points}" fill="none" stroke="#123" stroke-width="2"{dash}/>'
        )
        x, y = at(SHOWN, curve[SHOWN]).split(",")
        parts.append(f'<text x="{float(x) + 6}" y="{float(y) + 4}">{name}</text>')
    return "\n".join((*parts, "</svg>", ""))
