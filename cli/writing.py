"""Records and interpretations as documents, and documents one after another.

A document is made per record, so that one that fails leaves the others alone. Every format
is written as the documents come, except ``json``: one record gives one object, several give
one list, also when some of them failed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from .options import Format

if TYPE_CHECKING:
    from ..pipeline.record import Record

_RULE = "\n" + "=" * 78 + "\n\n"


def record_document(format: Format) -> Callable[[Record], str]:
    """The function that writes one record in ``format``; text is the report."""
    if format == "text":
        return _report
    if format == "csv":
        from ..pipeline.report import report_csv

        return report_csv
    indent = 2 if format == "json" else None
    return lambda record: record.model_dump_json(indent=indent)


def interpretation_document(format: Format) -> Callable[[Record], str]:
    """The function that interprets one record and writes the result; text is the report."""
    if format == "text":
        return _report
    from ..pipeline.interpret import interpret

    indent = 2 if format == "json" else None
    return lambda record: interpret(record).model_dump_json(indent=indent)


def _report(record: Record) -> str:
    from ..pipeline.interpret import interpret
    from ..pipeline.report import report_text

    return report_text(record, interpret(record))


def write_documents(
    documents: Iterable[str], *, format: Format, write: Callable[[str], None], many: bool
) -> None:
    """Write ``documents`` in ``format``; ``many`` says that more than one was asked for."""
    if format == "json":
        whole = list(documents)
        many = many or len(whole) > 1
        if whole:
            write("[\n" + ",\n".join(whole) + "\n]\n" if many else whole[0] + "\n")
        return
    for number, document in enumerate(documents):
        text = document.rstrip("\r\n") + "\n"
        if format == "text" and number:
            text = _RULE + text
        elif format == "csv" and number:
            text = text.partition("\n")[2]  # the first document's head stands for all
        write(text)
