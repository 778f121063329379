"""``plessor export``: records in another format."""

from __future__ import annotations

from . import options
from .faults import Faults
from .output import output
from .stored import records
from .writing import record_document, write_documents


def command(
    record: options.RecordFiles,
    format: options.RecordFormat = "json",
    out: options.Out = None,
    quiet: options.Quiet = False,
) -> None:
    """Write records in another format, or many records as one file."""
    document = record_document(format)
    faults = Faults()
    with output(out, inputs=record, quiet=quiet) as write:
        stored = records(record, faults=faults, quiet=quiet)
        documents = faults.each(stored, document, name=lambda one: one.narration)
        write_documents(documents, format=format, write=write, many=len(record) > 1)
    faults.end()
