"""``plessor models``: the recognisers known by name, and whether this machine has them."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated

import typer

from .options import PlainFormat


def command(
    format: Annotated[
        PlainFormat, typer.Option("--format", "-f", help="How to write the list.")
    ] = "text",
) -> None:
    """List the recognisers known by name: whether they are here, and how to get them."""
    from ..pipeline.models import list_models

    models = list_models()
    if format == "json":
        typer.echo(json.dumps([asdict(model) for model in models], indent=2))
        return
    for model in models:
        state = "here" if model.present else f"not here; {model.how}"
        typer.echo(
            f"{model.name:<10}{model.size_bytes / 1e6:>6.0f} MB  {model.licence:<6}{model.what} "
            f"({state})"
        )
    typer.echo("--model also takes the folder of any Whisper model converted for CTranslate2.")
