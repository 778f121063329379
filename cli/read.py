"""``plessor read``: records from written narrations."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ..pipeline.formats import join_text
from . import options
from .faults import Faults
from .output import output
from .stdin import STANDARD_INPUT, standard_input
from .writing import Made, record_document, write_documents


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

    def narration(path: Path) -> tuple[str, str]:
        if path == STANDARD_INPUT:
            name = "standard input"
            return name, decode_text(standard_input(quiet=quiet), name=name)
        return path.name, read_narration(path)

    def read(path: Path) -> Made:
        name, content = narration(path)
        record = read_text(content, narration=name, facts=facts, options=exam_options)
        return record, document(record)

    def explained(path: Path) -> str:
        from .tracing import traced

        return traced(narration(path)[1], options=exam_options)

    paths = text or [STANDARD_INPUT]
    faults = Faults()
    if explain:
        with output(out, inputs=paths, quiet=quiet) as write:
            for piece in join_text(faults.each(paths, explained, name=str), len(paths) > 1):
                write(piece)
    else:
        made = faults.each(paths, read, name=str)
        write_documents(made, format, out=out, inputs=paths, many=len(paths) > 1, quiet=quiet)
    faults.end()
