"""Every format that a record can leave in: one table that all commands and the review page share.

A row says what a file is called, what its media type is, whether it is text or binary,
whether it tells what the findings amount to, and which function writes it. Nothing heavy is
imported here, since the command line shows the names: a function imports what it needs when it
writes. A format that several records can share joins their documents; one that cannot is one
file a record.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from importlib import import_module
from itertools import chain
from types import MappingProxyType
from typing import TYPE_CHECKING

from ..lexicon.errors import needing

if TYPE_CHECKING:
    from .interpret import Interpretation
    from .record import Record

#: Text, or the bytes of a binary format.
Document = str | bytes
#: Puts documents one after another; the flag says that more than one was asked for.
Join = Callable[[Iterable[Document], bool], Iterator[Document]]

_RULE = "\n" + "=" * 78 + "\n\n"


@dataclass(frozen=True)
class Format:
    """One format: ``ending`` begins with its dot; ``says`` is a line for a person.

    ``write`` makes the document of one record; the interpretation is None unless
    ``interprets``. ``join`` is None where one file holds one record. ``needs`` are modules of
    the extra ``outputs``.
    """

    name: str
    ending: str
    media_type: str
    says: str
    write: Callable[[Record, Interpretation | None], Document]
    interprets: bool = False
    is_binary: bool = False
    join: Join | None = None
    needs: tuple[str, ...] = ()

    def ready(self) -> None:
        """Raise ``MissingError`` when a package that the format needs is not installed."""
        with needing("outputs", what=f"The format {self.name}"):
            for module in self.needs:
                import_module(module)

    def document(self, record: Record, *, interpretation: Interpretation | None = None) -> Document:
        """The document of ``record``, which is interpreted here when that was not done before.

        Raises ``InputError`` for a record that the format cannot hold, ``MissingError`` when
        a package is missing.
        """
        self.ready()
        if self.interprets and interpretation is None:
            from .interpret import interpret

            interpretation = interpret(record)
        return self.write(record, interpretation)

    def file(self, record: Record, *, interpretation: Interpretation | None = None) -> bytes:
        """The whole content of a file that holds ``record`` alone."""
        document = self.document(record, interpretation=interpretation)
        pieces = (document,) if self.join is None else self.join((document,), False)
        return b"".join(p if isinstance(p, bytes) else p.encode() for p in pieces)


def _text(record: Record, interpretation: Interpretation | None) -> str:
    from .report import report_text

    return report_text(record, _given(interpretation))


def _html(record: Record, interpretation: Interpretation | None) -> str:
    from .report import report_html

    return report_html(record, _given(interpretation))


def _pdf(record: Record, interpretation: Interpretation | None) -> bytes:
    from .report.pdf import report_pdf

    return report_pdf(record, _given(interpretation))


def _docx(record: Record, interpretation: Interpretation | None) -> bytes:
    from .report.letter import report_letter

    return report_letter(record, _given(interpretation))


def _csv(record: Record, _: Interpretation | None) -> str:
    from .report import report_csv

    return report_csv(record)


def _parquet(record: Record, _: Interpretation | None) -> bytes:
    from .report.parquet import report_parquet

    return report_parquet(record)


def _fhir_r4(record: Record, interpretation: Interpretation | None) -> str:
    from .report.fhir import fhir_r4

    return fhir_r4(record, _given(interpretation))


def _fhir_r5(record: Record, interpretation: Interpretation | None) -> str:
    from .report.fhir import fhir_r5

    return fhir_r5(record, _given(interpretation))


def _captions(record: Record, _: Interpretation | None) -> str:
    from .report import report_captions

    return report_captions(record)


def _json(record: Record, _: Interpretation | None) -> str:
    return record.model_dump_json(indent=2)


def _json_line(record: Record, _: Interpretation | None) -> str:
    return record.model_dump_json()


def _given(interpretation: Interpretation | None) -> Interpretation:
    assert interpretation is not None  # ``Format.document`` saw to it
    return interpretation


def join_text(documents: Iterable[Document], many: bool) -> Iterator[str]:
    """Reports under each other, a rule between them."""
    for number, document in enumerate(_lines(documents)):
        yield _RULE + document if number else document


def join_lines(documents: Iterable[Document], many: bool) -> Iterator[str]:
    """A line a document."""
    yield from _lines(documents)


def join_rows(documents: Iterable[Document], many: bool) -> Iterator[str]:
    """The rows of every table under the head of the first."""
    for number, document in enumerate(_lines(documents)):
        rows = document.partition("\n")[2] if number else document
        if rows:
            yield rows


def join_json(documents: Iterable[Document], many: bool) -> Iterator[str]:
    """One object, or one list when more than one was asked for; nothing gives nothing."""
    whole = [_words(document) for document in documents]
    if whole:
        many = many or len(whole) > 1
        yield "[\n" + ",\n".join(whole) + "\n]\n" if many else whole[0] + "\n"


def join_page(documents: Iterable[Document], many: bool) -> Iterator[str]:
    """The articles of one page."""
    from .report import html_page

    yield from html_page(_words(document) for document in documents)


def _join_tables(documents: Iterable[Document], many: bool) -> Iterator[bytes]:
    from .report.parquet import join_parquet

    yield from join_parquet(d for d in documents if isinstance(d, bytes))


def _lines(documents: Iterable[Document]) -> Iterator[str]:
    return (_words(document).rstrip("\r\n") + "\n" for document in documents)


def _words(document: Document) -> str:
    return document.decode() if isinstance(document, bytes) else document


_WORD = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
_ROWS = (
    Format(
        "text", ".txt", "text/plain", "the report, for reading and pasting", _text,
        interprets=True, join=join_text,
    ),
    Format(
        "html", ".html", "text/html", "the report as a page with drawings", _html,
        interprets=True, join=join_page,
    ),
    Format(
        "pdf", ".pdf", "application/pdf", "the report for printing, on one page where it fits",
        _pdf, interprets=True, is_binary=True, needs=("fpdf", "pymupdf_fonts", "uharfbuzz"),
    ),
    Format(
        "docx", ".docx", _WORD, "a letter to be completed", _docx,
        interprets=True, is_binary=True, needs=("docx",),
    ),
    Format("csv", ".csv", "text/csv", "one finding a row", _csv, join=join_rows),
    Format(
        "parquet", ".parquet", "application/vnd.apache.parquet", "the same table with types",
        _parquet, is_binary=True, join=_join_tables, needs=("pyarrow.parquet",),
    ),
    Format(
        "fhir-r4", ".fhir-r4.json", "application/fhir+json; fhirVersion=4.0",
        "a bundle of HL7 FHIR R4", _fhir_r4, interprets=True,
    ),
    Format(
        "fhir-r5", ".fhir-r5.json", "application/fhir+json; fhirVersion=5.0",
        "a bundle of HL7 FHIR R5", _fhir_r5, interprets=True,
    ),
    Format("vtt", ".vtt", "text/vtt", "captions for the recording", _captions),
    Format("json", ".json", "application/json", "the record itself", _json, join=join_json),
    Format(
        "jsonl", ".jsonl", "application/jsonl", "one record a line", _json_line, join=join_lines
    ),
)  # fmt: skip
#: Name to format, in the order in which they are offered.
FORMATS: Mapping[str, Format] = MappingProxyType({row.name: row for row in _ROWS})
#: Other names that a format may be asked for by: R4 is what most systems speak.
ALIASES: Mapping[str, str] = MappingProxyType({"fhir": "fhir-r4"})


def file_name(record: Record, format: Format, *, taken: Iterable[str] = ()) -> str:
    """A name for the file of ``record``: what it was made from, with the format's ending.

    Letters, digits and ``-_.`` stay, the rest becomes ``-``; a number is added where ``taken``
    holds the name already, whatever its case.
    """
    known = {name.casefold() for name in taken}
    stem = "".join(c if c.isalnum() or c in "-_." else "-" for c in record.narration)
    stem = re.sub(r"\.[A-Za-z][A-Za-z0-9]{1,4}$", "", stem).strip("-._")[:80] or "record"
    for number in chain([""], (f"-{n}" for n in range(2, len(known) + 3))):
        name = f"{stem}{number}{format.ending}"
        if name.casefold() not in known:
            return name
    raise AssertionError("one of these names was free")
