"""``plessor export``: records in another format."""

from __future__ import annotations

from . import options
from .faults import Faults
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
    stored = records(record, faults=faults, quiet=quiet)
    made = faults.each(stored, lambda one: (one, document(one)), name=lambda one: one.narration)
    write_documents(made, format, out=out, inputs=record, many=len(record) > 1, quiet=quiet)
    faults.end()
