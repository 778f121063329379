"""``plessor schema``: the JSON Schema of what Plessor writes."""

from __future__ import annotations

import json
from typing import Annotated, Literal

import typer


def command(
    kind: Annotated[
        Literal["record", "interpretation"], typer.Argument(help="Whose schema.")
    ] = "record",
) -> None:
    """Print the JSON Schema of the record, or of the interpretation."""
    if kind == "record":
        from ..pipeline.record import Record

        schema = Record.model_json_schema(mode="serialization")
    else:
        from ..pipeline.interpret import Interpretation

        schema = Interpretation.model_json_schema(mode="serialization")
    typer.echo(json.dumps(schema, indent=2))
