"""``plessor read``: records from written narrations."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from . import options
from .faults import Faults
from .output import output
from .stdin import STANDARD_INPUT, standard_input
from .writing import record_document, write_documents


def command(
    text: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="TEXT",
            help="Text files in UTF-8; none, or -, reads standard input.",
            show_default=False,
        ),
    ] = None,
    format: options.RecordFormat = "text",
    out: options.Out = None,
    age: options.Age = None,
    age_months: options.AgeMonths = None,
    examiner: options.Examiner = None,
    date: options.Date = None,
    personal: options.PersonalFile = None,
    explain: Annotated[
        bool,
        typer.Option(
            "--explain",
            help="Show how each utterance was read, and what came of it, instead of the record.",
        ),
    ] = False,
    quiet: options.Quiet = False,
) -> None:
    """Make a findings record from narrations that are written down already."""
    from ..pipeline.exam import read_text
    from ..pipeline.files import decode_text, read_narration

    facts = options.exam_facts(age, age_months, examiner, date)
    exam_options = options.exam_options(personal)
    document = record_document(format)

    def read(path: Path) -> str:
        if path == STANDARD_INPUT:
            name = "standard input"
            content = decode_text(standard_input(quiet=quiet), name=name)
        else:
            name, content = path.name, read_narration(path)
        if explain:
            from .tracing import traced

            return traced(content, options=exam_options)
        return document(read_text(content, narration=name, facts=facts, options=exam_options))

    paths = text or [STANDARD_INPUT]
    faults = Faults()
    with output(out, inputs=paths, quiet=quiet) as write:
        documents = faults.each(paths, read, name=str)
        write_documents(documents, format=format, write=write, many=len(paths) > 1)
    faults.end()
