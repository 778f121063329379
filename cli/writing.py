"""Records and interpretations as documents, and where the documents go.

A document is made per record, so that one that fails leaves the others alone. What the formats
are stands in one table (``pipeline/formats.py``); a format that several records can share is
written as the documents come, the others are one file a record. ``json`` and ``jsonl`` of an
interpretation are that interpretation, where every other format is the record's.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ..lexicon.errors import InputError
from ..pipeline.formats import FORMATS, Document, Format, file_name
from .output import output

if TYPE_CHECKING:
    from ..pipeline.interpret import InterpretOptions
    from ..pipeline.record import Record

#: A record and the document that was made of it.
Made = tuple["Record", Document]


def record_document(name: str) -> Callable[[Record], Document]:
    """The function that writes one record in the format ``name``.

    Raises ``MissingError`` when a package that the format needs is missing, before any work.
    """
    FORMATS[name].ready()
    return FORMATS[name].document


def interpretation_document(
    name: str, *, earlier: Record | None = None, options: InterpretOptions | None = None
) -> Callable[[Record], Document]:
    """The function that interprets one record and writes the result in the format ``name``."""
    from ..pipeline.interpret import Interpretation, interpret

    def interpreted(record: Record) -> Interpretation:
        return interpret(record, earlier=earlier, options=options)

    if name in ("json", "jsonl"):
        indent = 2 if name == "json" else None
        return lambda record: interpreted(record).model_dump_json(indent=indent)
    format = FORMATS[name]
    format.ready()
    return lambda record: format.document(record, interpretation=interpreted(record))


def write_documents(
    made: Iterable[Made],
    name: str,
    *,
    out: Path | None,
    inputs: Iterable[Path],
    many: bool,
    quiet: bool,
) -> None:
    """Write each document in the format ``name`` to ``out``, or to standard output.

    ``many`` says that more than one was asked for. Raises ``InputError`` when the format
    holds one record and there are several, unless ``out`` is a folder for them; and when a
    binary format would go to a terminal.
    """
    format = FORMATS[name]
    inputs = tuple(inputs)
    if format.is_binary and out is None and sys.stdout.isatty():
        raise InputError(f"The format {name} is not for a terminal; name a file with --out FILE.")
    if format.join is None and out is not None and out.is_dir():
        _one_by_one(made, format, out, inputs=inputs, quiet=quiet)
        return
    if format.join is None and many:
        raise _one_only(format)
    with output(out, inputs=inputs, quiet=quiet) as write:
        documents = (document for _, document in made)
        if format.join is not None:
            for piece in format.join(documents, many):
                write(piece)
            return
        for number, document in enumerate(documents):
            if number:
                raise _one_only(format)
            write(document)


def _one_by_one(
    made: Iterable[Made], format: Format, folder: Path, *, inputs: tuple[Path, ...], quiet: bool
) -> None:
    taken: list[str] = []
    for record, document in made:
        taken.append(file_name(record, format, taken=taken))
        with output(folder / taken[-1], inputs=inputs, quiet=quiet) as write:
            write(document)


def _one_only(format: Format) -> InputError:
    return InputError(
        f"The format {format.name} holds one record a file; name a folder with --out for several."
    )
