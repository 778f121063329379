"""How a narration was read, utterance by utterance, for ``plessor read --explain``."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ..pipeline.correct import correct
from ..pipeline.exam import ExamOptions
from ..pipeline.extract import TracedUtterance, trace
from ..pipeline.transcript import from_text

_WIDTH = 100


def traced(text: str, *, options: ExamOptions) -> str:
    """The reading of a written narration as lines of text."""
    transcript = correct(from_text(text), options=options.correct).transcript
    lines: list[str] = []
    for number, one in enumerate(trace(transcript, options=options.extract), 1):
        lines += _wrapped(f"{number}. ", f"“{one.said}”")
        for label, told in _parts(one):
            lines += _wrapped(f"   {label + ':':10s} ", told)
    return "\n".join(lines) + "\n"


def _parts(one: TracedUtterance) -> Iterator[tuple[str, str]]:
    yield "kind", ", ".join(one.kinds)
    if one.cues:
        yield "told by", "; ".join(f"“{words}” ({rule})" for rule, words in one.cues)
    if one.mentions:
        yield (
            "mentions",
            "; ".join(f"{sort} “{words}” {codes}" for sort, words, codes in one.mentions),
        )
    if one.in_force:
        yield "in force", ", ".join(one.in_force)
    for finding in one.findings:
        yield "finding", finding
    for claim in one.claims:
        yield "claim", claim
    for reason in one.left:
        yield "left", reason


def _wrapped(label: str, told: str) -> list[str]:
    return textwrap.wrap(
        told, _WIDTH, initial_indent=label, subsequent_indent=" " * len(label)
    ) or [label.rstrip()]
