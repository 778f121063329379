"""``plessor store``: the records that are kept, what was done to each, and the proof of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..lexicon.errors import InputError
from .faults import Faults
from .options import PlainFormat, Reviewer, StoreUrl

if TYPE_CHECKING:
    from ..pipeline.store import Event, Store, Stored, Summary

app = typer.Typer(no_args_is_help=True)


@app.callback()
def _store() -> None:
    """Look after the records that are kept: list them, tell their history, prove it."""


@app.command("add")
def add(
    record: Annotated[
        list[Path],
        typer.Argument(
            metavar="RECORD|FOLDER",
            help="Files of records in JSON, or folders of them; recordings are looked for beside.",
            show_default=False,
        ),
    ],
    reviewer: Reviewer = None,
    store: StoreUrl = None,
) -> None:
    """Add records; one that is there already, with the same content, stays as it is."""
    from .review.gathering import gather
    from .reviewer import reviewer_name

    who = reviewer_name(reviewer)
    faults = Faults()
    with _open(store) as opened:
        gather(opened, record, who=who, when=dt.datetime.now(dt.UTC), faults=faults, told=_tell)
    faults.end()


@app.command("list")
def show(
    store: StoreUrl = None,
    format: Annotated[
        PlainFormat, typer.Option("--format", "-f", help="How to write the list.")
    ] = "text",
) -> None:
    """List the records, and say where they are kept."""
    with _open(store) as opened:
        records, name = opened.records(), opened.name
    if format == "json":
        _write_json(records)
        return
    typer.echo(f"Store: {name}")
    for one in records:
        typer.echo(
            f"  {one.id}  version {one.version:<3} {one.state:<8}  {_line(one.narration)}  "
            f"({_minute(one.when)}, {_line(one.who)})"
        )
    if not records:
        typer.echo("  no records yet")


@app.command("history")
def history(
    record: Annotated[
        str,
        typer.Argument(
            metavar="RECORD", help="The record's identifier, its beginning, or its narration."
        ),
    ],
    store: StoreUrl = None,
    format: Annotated[
        PlainFormat, typer.Option("--format", "-f", help="How to write the events.")
    ] = "text",
) -> None:
    """Tell every change of one record: who, when, what, from, to, why."""
    with _open(store) as opened:
        events = opened.history(_found(opened, record).id)
    if format == "json":
        _write_json(events)
        return
    for event in events:
        typer.echo(_told(event))


@app.command("verify")
def verify(
    head: Annotated[
        str | None,
        typer.Option(
            "--head",
            metavar="NUMBER:SHA-256",
            help="The head of an earlier check, kept elsewhere: it must still be in the chain.",
            show_default=False,
        ),
    ] = None,
    store: StoreUrl = None,
    format: Annotated[
        PlainFormat, typer.Option("--format", "-f", help="How to write what was found.")
    ] = "text",
) -> None:
    """Prove that no event and no version was changed, taken away or put in."""
    with _open(store) as opened:
        verdict, name = opened.verify(head=head), opened.name
    if format == "json":
        _write_json(verdict)
    else:
        faults = _count(len(verdict.faults), "fault") if verdict.faults else "no faults"
        typer.echo(
            f"{name}: {faults}; {_count(verdict.events, 'event')}, "
            f"{_count(verdict.records, 'record')}."
        )
        for fault in verdict.faults:
            typer.echo(f"  - {fault}")
        typer.echo(f"Head {verdict.head}")
    if verdict.faults:
        raise InputError(
            f"{name}: is not as Plessor wrote it; keep it aside and restore a copy from before."
        )


def _open(url: str | None) -> Store:
    from ..pipeline.store import Store

    return Store.open(url)


def _found(store: Store, name: str) -> Summary:
    """The one record that ``name`` names; ``InputError`` for none and for several."""
    records = store.records()
    exact = [one for one in records if name in (one.id, one.narration)]
    found = exact or [one for one in records if name and one.id.startswith(name)]
    if len(found) == 1:
        return found[0]
    if not found:
        raise InputError(f"“{name}” is no record of {store.name}; see “plessor store list”.")
    raise InputError(f"“{name}” names {len(found)} records; give more of the identifier.")


def _tell(stored: Stored) -> None:
    typer.echo(f"{stored.id}  version {stored.version}  {_line(stored.record.narration)}")


def _told(event: Event) -> str:
    said = f"{event.version:>4}  {_minute(event.when)}  {_line(event.who)}: {_line(event.what)}"
    if event.before or event.after:
        said += f", from “{_line(event.before or '')}” to “{_line(event.after or '')}”"
    if event.why:
        said += f" ({_line(event.why)})"
    if event.source:
        said += f", from {_line(event.source)}"
    return said


def _line(text: str) -> str:
    """Text that stays on its line, and that no terminal takes for an order."""
    return "".join(c if c.isprintable() else " " for c in text)


def _minute(when: dt.datetime) -> str:
    return f"{when:%Y-%m-%d %H:%M} UTC"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _write_json(found: object | Sequence[object]) -> None:
    from pydantic_core import to_json

    typer.echo(to_json(found, indent=2).decode())
