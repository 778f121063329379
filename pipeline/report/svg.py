"""Plain SVG: elements as text, one look for every drawing, light and dark.

No meaning rests on colour alone: what was found is dotted and outlined, what was not examined
is hatched, what is normal is left plain, and each mark carries its words as a title. Nothing
is fetched and no script is run, so that a drawing can be kept, mailed and printed.
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from .layout import plain

#: The classes that every drawing uses; ``currentColor`` takes the colour of the page.
STYLE = (
    "svg{color-scheme:light dark;--ink:#1d2733;--paper:#fff;--soft:#66707c;--mark:#a33b00;"
    "--tint:#f3c9a8;--calm:#2f6690}"
    "@media(prefers-color-scheme:dark){svg{--ink:#e8ebee;--paper:#15191e;--soft:#9aa5b1;"
    "--mark:#ffb27a;--tint:#5b3218;--calm:#8fc1e8}}"
    "@media print{svg{--ink:#000;--paper:#fff;--soft:#444;--mark:#000;--tint:#ddd;--calm:#333}}"
    ".paper{fill:var(--paper)}.ink{fill:var(--ink)}.soft{fill:var(--soft)}"
    ".line{stroke:var(--ink);stroke-width:1;fill:none}"
    ".normal{fill:var(--paper);stroke:var(--ink);stroke-width:1}"
    ".found{stroke:var(--mark);stroke-width:2.2}"
    ".unexamined{stroke:var(--soft);stroke-width:.8;stroke-dasharray:2 2}"
    ".ghost{fill:none;stroke:var(--soft);stroke-width:.8}"
    ".for{fill:var(--calm)}.against{stroke:var(--mark);stroke-width:1.4}"
    "text{font-family:system-ui,sans-serif;font-size:12px;fill:var(--ink)}"
    ".head{font-weight:600;font-size:14px}.small{font-size:11px}.bold{font-weight:700}"
    ".halo{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}"
    ".middle{text-anchor:middle}.end{text-anchor:end}"
)


def element(tag: str, content: str | Iterable[str] = "", /, **attributes: object) -> str:
    """One element; ``content`` is markup already, attribute values are escaped.

    ``class_`` and the like lose their underscore, other underscores become hyphens.
    """
    inner = content if isinstance(content, str) else "".join(content)
    written = "".join(
        f' {name.rstrip("_").replace("_", "-")}="{escape(_value(value))}"'
        for name, value in attributes.items()
        if value is not None
    )
    return f"<{tag}{written}>{inner}</{tag}>" if inner else f"<{tag}{written}/>"


def text(words: str, x: float, y: float, class_: str = "") -> str:
    """Words at a place; control characters become spaces."""
    return element("text", escape(plain(words)), x=x, y=y, class_=class_ or None)


def title(words: str) -> str:
    """What a pointer or a screen reader is told of an element."""
    return element("title", escape(plain(words)))


def patterns(prefix: str) -> str:
    """The dots for what was found and the hatching for what was not examined."""
    dots = element(
        "pattern",
        element("rect", width=6, height=6, style="fill:var(--tint)")
        + element("circle", cx=1.5, cy=1.5, r=1.3, style="fill:var(--mark)")
        + element("circle", cx=4.5, cy=4.5, r=1.3, style="fill:var(--mark)"),
        id=f"{prefix}-found", width=6, height=6, patternUnits="userSpaceOnUse",
    )  # fmt: skip
    hatch = element(
        "pattern",
        element("rect", width=7, height=7, class_="paper")
        + element("path", d="M0 0V7", style="stroke:var(--soft);stroke-width:1.6"),
        id=f"{prefix}-unexamined", width=7, height=7, patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )  # fmt: skip
    return element("defs", dots + hatch)


def drawing(
    content: Iterable[str], *, prefix: str, width: float, height: float, name: str, told: str
) -> str:
    """A whole drawing with its name and, in words, what it shows."""
    head = (
        element("title", escape(plain(name)), id=f"{prefix}-name")
        + element("desc", escape(plain(told)), id=f"{prefix}-told")
        + element("style", STYLE)
        + patterns(prefix)
    )
    return element(
        "svg",
        head + "".join(content),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_value(width)} {_value(height)}",
        width=width,
        height=height,
        role="img",
        aria_labelledby=f"{prefix}-name {prefix}-told",
    )


def _value(value: object) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
