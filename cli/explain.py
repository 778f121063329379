"""``plessor lexicon explain``: why words are, or are not, taken for words of the trade."""

from __future__ import annotations

import json
import textwrap
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from ..lexicon.errors import InputError
from . import options

if TYPE_CHECKING:
    from ..pipeline.correct import CorrectOptions, Explanation

_HEAD = ("heard", "could be", "phonemes", "sound", "fit", "doubt", "gain", "chance", "decision")
_LEGEND = (
    "Phonemes tell how far apart the two sound. Gain is the advantage over keeping what was heard: "
    "the sum of sound, fit (among the neighbours, and how ordinary the heard words are) and doubt "
    "(of the recogniser). The reading that gains most and its rivals are looked at again; the one "
    "most probably right stays, is made from a chance of {line:.2f}, and marked for review from "
    "{hint:.2f}. A personal variant is not weighed."
)
_WIDTH = 100


def command(
    words: Annotated[
        list[str], typer.Argument(metavar="WORDS", help="The words, as a recogniser wrote them.")
    ],
    probability: Annotated[
        float,
        typer.Option(
            "--probability", min=0, max=1, help="How sure the recogniser was of each word."
        ),
    ] = 0.5,
    personal: options.PersonalFile = None,
    format: Annotated[
        options.PlainFormat, typer.Option("--format", "-f", help="How to write the explanation.")
    ] = "text",
) -> None:
    """Show what words could be, with the scores, and what correction decides.

    Put the words around a doubtful one to see what its neighbours do.
    """
    from ..pipeline.correct import explain

    own = options.exam_options(personal).correct
    made = explain(" ".join(words), options=own, probability=probability)
    if not made.phonemes:
        raise InputError("There are no words to explain; name some.")
    if format == "json":
        typer.echo(json.dumps(_document(made, probability), indent=2, ensure_ascii=False))
    else:
        typer.echo(_text(made, probability, own))


def _document(made: Explanation, probability: float) -> dict[str, object]:
    return {
        "words": made.words,
        "probability": probability,
        "corrected": made.corrected,
        "phonemes": made.phonemes,
        "guarded": made.guarded,
        "verdict": made.verdict,
        "corrections": [c.model_dump(mode="json") for c in made.corrections],
        "readings": [{**asdict(r), "gain": round(r.gain, 2)} for r in made.readings],
    }


def _text(made: Explanation, probability: float, own: CorrectOptions) -> str:
    lines = [
        f"heard    {made.words}  (as if the recogniser was {probability:.2f} sure of each word)",
        f"becomes  {made.corrected}",
    ]
    for c in made.corrections:
        verb = "becomes" if c.made else "is kept and marked for review, may be"
        lines += _bullet(f"“{c.heard}” {verb} “{c.became}” (chance {c.score:.2f}): {c.reason}.")
    if not made.corrections:
        lines += _bullet(made.verdict)
    if made.guarded and (made.readings or made.corrections):
        fixed = ", ".join(f"“{word}”" for word in made.guarded)
        lines += _bullet(f"Numbers, sides and levels are never changed by their sound: {fixed}.")
    if made.readings:
        legend = _LEGEND.format(line=own.line, hint=own.hint)
        lines += ["", *_table(made), "", *textwrap.wrap(legend, _WIDTH)]
    return "\n".join(lines)


def _bullet(told: str) -> list[str]:
    return textwrap.wrap(f"- {told}", _WIDTH, subsequent_indent="  ")


def _table(made: Explanation) -> list[str]:
    rows: list[tuple[str, ...]] = [_HEAD]
    for r in made.readings:
        parts = (r.distance, r.sound, r.fit, r.doubt, r.gain, r.chance)
        numbers = tuple(f"{0.0 if abs(p) < 0.005 else p:.2f}" for p in parts)
        rows.append((r.heard, r.became, *numbers, r.decision))
    widths = [max(len(row[k]) for row in rows) for k in range(len(_HEAD))]
    return [
        "  ".join(
            cell.rjust(width) if 2 <= k <= 7 else cell.ljust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
