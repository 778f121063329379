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
    from ..pipeline.interpret import InterpretOptions
    from ..pipeline.record import Record

_RULE = "\n" + "=" * 78 + "\n\n"


def record_document(format: Format) -> Callable[[Record], str]:
    """The function that writes one record in ``format``; text and html are the report."""
    if format in ("text", "html"):
        return interpretation_document(format)
    if format == "csv":
        from ..pipeline.report import report_csv

        return report_csv
    indent = 2 if format == "json" else None
    return lambda record: record.model_dump_json(indent=indent)


def interpretation_document(
    format: Format, *, earlier: Record | None = None, options: InterpretOptions | None = None
) -> Callable[[Record], str]:
    """The function that interprets one record and writes the result, or the report on it."""
    from ..pipeline.interpret import Interpretation, interpret
    from ..pipeline.report import report_html, report_text

    def interpreted(record: Record) -> Interpretation:
        return interpret(record, earlier=earlier, options=options)

    if format == "text":
        return lambda record: report_text(record, interpreted(record))
    if format == "html":
        return lambda record: report_html(record, interpreted(record))
    indent = 2 if format == "json" else None
    return lambda record: interpreted(record).model_dump_json(indent=indent)


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
    if format == "html":
        from ..pipeline.report import html_page

        for piece in html_page(documents):
            write(piece)
        return
    for number, document in enumerate(documents):
        text = document.rstrip("\r\n") + "\n"
        if format == "text" and number:
            text = _RULE + text
        elif format == "csv" and number:
            text = text.partition("\n")[2]  # the first document's head stands for all
        write(text)
