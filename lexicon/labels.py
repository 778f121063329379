"""What a code is called when a person reads it.

Most codes are their own name with spaces; ``data/names.csv`` holds the others. British
spelling, usual trade wording.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from .files import read_rows

_FILE = "names.csv"


def name(kind: str, code: str) -> str:
    """The name of ``code``; ``kind`` is modality, segment, grade, side, status, group, site…"""
    return _names().get((kind, code), code.replace("_", " "))


def place_name(modality: str, segment: str) -> str:
    """What was examined and where: "power (elbow flexion)", "knee jerk", "gait"."""
    if segment == "none":
        return name("modality", modality)
    if segment.endswith("_jerk"):
        return name("segment", segment)
    return f"{name('modality', modality)} ({name('segment', segment)})"


def site_name(site: str, which: str | None, side: str) -> str:
    """A site of lesion as it is read: "the left C7 root", "both cerebral hemispheres"."""
    sided = side in ("left", "right")
    pattern = _names().get(("sited", site)) if sided else None
    named = (pattern or name("site", site)).format(
        side=side if sided else "", which=name("which", which or "")
    )
    words = " ".join(named.split())
    return words.removesuffix(" nerve") if words.count("nerve") > 1 else words


@cache
def _names() -> Mapping[tuple[str, str], str]:
    rows = {(row["kind"], row["code"]): row["name"] for _, row in read_rows(_FILE)}
    return MappingProxyType(rows)
