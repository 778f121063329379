"""The table of findings as Parquet: the columns of ``tabular``, with types.

Times carry their zone and are UTC in the file; one without a zone is taken for UTC, which is
what the program itself writes. The caution stands in the file's own metadata too, so that it
is there when a record has no findings.
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from ...lexicon.errors import InputError
from ...lexicon.rules import load_rules
from ..record import Record
from .tabular import COLUMNS, finding_records

if TYPE_CHECKING:
    import pyarrow

_INTEGERS = ("age_months", "finding", "first_word", "last_word")
_NUMBERS = ("confidence", "start_s", "end_s")
_TIMES = ("when", "signed_when")
_CAUTION = b"plessor.caution"


def report_parquet(record: Record) -> bytes:
    """The findings of ``record`` as one Parquet file.

    Raises ``InputError`` for a number beyond 64 bits.
    """
    rows = [{name: _value(row.get(name)) for name in COLUMNS} for row in finding_records(record)]
    import pyarrow

    try:
        return _written(pyarrow.Table.from_pylist(rows, schema=_schema()))
    except OverflowError as error:
        raise InputError(
            "A number in this record is too large for Parquet; write it as csv or json."
        ) from error


def join_parquet(documents: Iterable[bytes]) -> Iterator[bytes]:
    """The rows of all documents as one file; no document gives nothing."""
    import pyarrow
    import pyarrow.parquet

    # One thread: a pool that is still starting when a short process ends brings it down.
    tables = [
        pyarrow.parquet.ParquetFile(io.BytesIO(document), pre_buffer=False).read(use_threads=False)
        for document in documents
    ]
    if tables:
        yield _written(pyarrow.concat_tables(tables))


def _schema() -> pyarrow.Schema:
    import pyarrow as pa

    types: dict[str, Any] = {name: pa.string() for name in COLUMNS}
    types |= dict.fromkeys(_INTEGERS, pa.int64())
    types |= dict.fromkeys(_NUMBERS, pa.float64())
    types |= dict.fromkeys(_TIMES, pa.timestamp("us", tz="UTC"))
    types["corrections"] = pa.list_(pa.int64())
    fields = [pa.field(name, types[name], nullable=True) for name in COLUMNS]
    return pa.schema(fields, metadata={_CAUTION: load_rules().standing.encode()})


def _written(table: pyarrow.Table) -> bytes:
    import pyarrow.parquet

    out = io.BytesIO()
    pyarrow.parquet.write_table(table, out, compression="zstd")
    return out.getvalue()


def _value(value: object) -> object:
    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, dt.datetime) and value.tzinfo is None:
        return value.replace(tzinfo=dt.UTC)
    return value
