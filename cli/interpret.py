"""``plessor interpret``: what the findings of records amount to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from . import options
from .faults import Faults
from .output import output
from .stored import records
from .writing import interpretation_document, write_documents

if TYPE_CHECKING:
    from ..pipeline.record import Record


def command(
    record: options.RecordFiles,
    format: Annotated[
        options.InterpretationFormat,
        typer.Option("--format", "-f", help="How to write the interpretation."),
    ] = "text",
    out: options.Out = None,
    age: options.Age = None,
    age_months: options.AgeMonths = None,
    quiet: options.Quiet = False,
) -> None:
    """Interpret records: coverage, comparison of the sides, cautions.

    An age given here holds for the records that carry none.
    """
    known_age = options.one_age(age, age_months)
    document = interpretation_document(format)

    def interpreted(one: Record) -> str:
        if one.age_months is None and known_age is not None:
            one = one.model_copy(update={"age_months": known_age})
        return document(one)

    faults = Faults()
    with output(out, inputs=record, quiet=quiet) as write:
        stored = records(record, faults=faults, quiet=quiet)
        documents = faults.each(stored, interpreted, name=lambda one: one.narration)
        write_documents(documents, format=format, write=write, many=len(record) > 1)
    faults.end()
