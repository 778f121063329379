"""``plessor lexicon add``, ``list`` and ``remove``: what one person adds to the lexicon.

The file is that of ``pipeline/correct/personal.py``; what may enter it by command is decided in
``pipeline/correct/admission.py``.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..lexicon.errors import InputError
from .options import PersonalFile, PlainFormat

if TYPE_CHECKING:
    from ..pipeline.correct import Personal

Heard = Annotated[
    str, typer.Argument(metavar="HEARD", help="What the recogniser writes, in quotation marks.")
]


def add(
    heard: Heard,
    means: Annotated[
        str,
        typer.Option("--means", metavar="TERM", help="The term of the lexicon it stands for."),
    ],
    force: Annotated[
        bool, typer.Option("--force", help="Add it although it is ordinary English.")
    ] = False,
    personal: PersonalFile = None,
) -> None:
    """Keep in the personal lexicon what a recogniser makes of a term."""
    from ..pipeline.correct import add_personal, meaning, refusal, too_ordinary

    said = meaning(heard, means)
    fault = refusal(heard, said, entries(personal))
    if fault:
        raise InputError(f"“{heard}” cannot be added: {fault}")
    common = too_ordinary(heard)
    if common and not force:
        raise InputError(
            f"“{heard}” {common} and would be changed wherever it is said; add it together with "
            "the words around it, or insist with --force."
        )
    add_personal(said, [heard], personal)
    if common:
        typer.echo(f"“{heard}” {common}; from now on it is changed wherever it is said.", err=True)
    typer.echo(f"“{heard}” now stands for “{said}” in {_place(personal)}.")


def show(
    personal: PersonalFile = None,
    format: Annotated[
        PlainFormat, typer.Option("--format", "-f", help="How to write the list.")
    ] = "text",
) -> None:
    """List the personal lexicon, and say where it is kept."""
    own, place = entries(personal), _place(personal)
    if format == "json":
        variants = [{"heard": heard, "means": said} for heard, said in own.variants]
        listed = {"file": str(place), "variants": variants, "phrases": own.phrases}
        typer.echo(json.dumps(listed, indent=2, ensure_ascii=False))
        return
    state = "" if place.is_file() else " (not there yet; “plessor lexicon add” makes it)"
    typer.echo(f"Personal lexicon: {place}{state}")
    for heard, said in own.variants:
        typer.echo(f"  {heard} = {said}")
    for phrase in own.phrases:
        typer.echo(f"  {phrase}")


def remove(heard: Heard, personal: PersonalFile = None) -> None:
    """Take an entry out of the personal lexicon."""
    from ..pipeline.correct import remove_personal

    remove_personal(heard, personal)
    typer.echo(f"“{heard}” is no longer in {_place(personal)}.")


def entries(personal: Path | None, *, must_exist: bool = False) -> Personal:
    """The personal lexicon, empty when there is no file.

    Raises ``InputError`` when it cannot be read, or is not there and ``must_exist``.
    """
    from ..pipeline.correct import read_personal

    place = _place(personal)
    if must_exist and not place.exists():
        raise InputError(f"{place}: there is no such file; “plessor lexicon add” makes one.")
    return read_personal(place)


def _place(personal: Path | None) -> Path:
    from ..pipeline.correct import personal_path

    return personal or personal_path()
