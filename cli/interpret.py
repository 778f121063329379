"""``plessor interpret``: what the findings of records amount to."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ..lexicon.errors import InputError
from . import options
from .faults import Faults
from .output import output
from .stored import one_record, records
from .writing import interpretation_document, write_documents

if TYPE_CHECKING:
    from ..pipeline.interpret import Interpretation
    from ..pipeline.record import Record

_Expected = Literal["upper_limbs", "lower_limbs", "full"]


def command(
    record: options.RecordFiles,
    format: Annotated[
        options.InterpretationFormat,
        typer.Option(
            "--format",
            "-f",
            help="How to write the interpretation.",
            callback=options.format_name,
        ),
    ] = "text",
    earlier: Annotated[
        Path | None,
        typer.Option(
            "--earlier",
            metavar="RECORD",
            help="An earlier record of the same child: what has changed since is told too.",
            show_default=False,
        ),
    ] = None,
    examination: Annotated[
        _Expected | None,
        typer.Option(
            "--examination",
            help="What the examination should hold, instead of what the findings speak of.",
            show_default=False,
        ),
    ] = None,
    outline: Annotated[
        Path | None,
        typer.Option(
            "--outline",
            metavar="FILE.svg",
            help="Draw what was found on a body outline into FILE.svg too.",
            show_default=False,
        ),
    ] = None,
    bars: Annotated[
        Path | None,
        typer.Option(
            "--bars",
            metavar="FILE.svg",
            help="Draw the leading sites and their evidence into FILE.svg too.",
            show_default=False,
        ),
    ] = None,
    out: options.Out = None,
    age: options.Age = None,
    age_months: options.AgeMonths = None,
    quiet: options.Quiet = False,
) -> None:
    """Interpret records: what fits best and why, what is missing, what to be careful about.

    An age given here holds for the records that carry none.
    """
    from ..pipeline.interpret import InterpretOptions, interpret
    from ..pipeline.report import report_bars, report_outline

    known_age = options.one_age(age, age_months)
    chosen = InterpretOptions(examination=examination)
    before = None if earlier is None else one_record(earlier, quiet=quiet)
    document = interpretation_document(format, earlier=before, options=chosen)
    drawings: list[tuple[Path, Callable[[Record, Interpretation], str]]] = []
    if outline is not None:
        drawings.append((outline, report_outline))
    if bars is not None:
        drawings.append((bars, report_bars))

    def aged(one: Record) -> Record:
        if one.age_months is None and known_age is not None:
            return one.model_copy(update={"age_months": known_age})
        return one

    faults = Faults()
    read: Iterable[Record] = map(aged, records(record, faults=faults, quiet=quiet))
    if drawings or before is not None:
        read = _only(list(read))
    made = faults.each(read, lambda one: (one, document(one)), name=lambda one: one.narration)
    write_documents(made, format, out=out, inputs=record, many=len(record) > 1, quiet=quiet)
    for one in read if drawings else ():
        interpretation = interpret(one, earlier=before, options=chosen)
        for path, draw in drawings:
            with output(path, inputs=record, quiet=quiet) as write:
                write(draw(one, interpretation) + "\n")
    faults.end()


def _only(found: list[Record]) -> list[Record]:
    """The one record that a drawing or a comparison in time is for."""
    if len(found) > 1:
        raise InputError(
            f"--earlier, --outline and --bars are for one record, and {len(found)} were given; "
            "interpret them one by one."
        )
    return found
