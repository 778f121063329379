"""``plessor review``: a page on this machine where a person checks, corrects and signs.

The command puts the named records into the store, opens a port of the loopback and prints the
link that opens the session. There is no way to listen on anything but the loopback.
"""

from __future__ import annotations

import datetime as dt
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...lexicon.errors import needing
from ..faults import Faults, say
from ..options import Reviewer, StoreUrl
from ..reviewer import reviewer_name

if TYPE_CHECKING:
    from .desk import Desk


def command(
    record: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="RECORD|FOLDER",
            help="Records in JSON, or folders of them, to be added to the store; recordings are "
            "looked for beside them.",
            show_default=False,
        ),
    ] = None,
    store: StoreUrl = None,
    port: Annotated[
        int,
        typer.Option("--port", metavar="N", min=0, max=65535, help="The port; 0 is any free one."),
    ] = 0,
    reviewer: Reviewer = None,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Print the link only, open no browser.")
    ] = False,
) -> None:
    """Check, correct and sign records on a page of this machine.

    The page can be reached from this machine alone, and only with the printed link.
    Stop it with Ctrl-C; what was saved is in the store.
    """
    with needing("review", what="“plessor review”"):
        from ...pipeline.store import Store
        from .app import make_app
        from .desk import Desk
        from .security import Keys
        from .serving import HOST, open_browser, open_port, serve
    from .gathering import audio_folders, gather

    who = reviewer_name(reviewer)
    listener = open_port(port)
    with listener:
        number = int(listener.getsockname()[1])
        opened = Store.open(store)
        faults = Faults()
        given = record or []
        count = gather(opened, given, who=who, when=_now(), faults=faults)
        if given and not count:
            faults.end()
        desk = Desk(opened, folders=audio_folders(given), now=_now)
        keys = Keys()
        app = make_app(desk, keys=keys, port=number, setup=_setup(who))
        address = f"http://{HOST}:{number}/?token="

        def ready() -> None:
            typer.echo(f"Review at {address}{keys.link}")
            typer.echo("Only you should see this link. Stop with Ctrl-C.", err=True)
            threading.Thread(target=_count, args=(desk,), daemon=True).start()
            if not no_browser:
                open_browser(address + keys.one_use())

        serve(app, listener, ready=ready)


def _setup(reviewer: str) -> dict[str, object]:
    from importlib import metadata

    from ...lexicon.rules import load_rules
    from ...pipeline.formats import FORMATS
    from ...pipeline.record import LOW_CONFIDENCE
    from .views import vocabulary

    return {
        "reviewer": reviewer,
        "version": metadata.version("plessor"),
        "caution": load_rules().standing,
        "low_confidence": LOW_CONFIDENCE,
        "vocabulary": vocabulary(),
        "formats": [{"format": f.name, "label": f.says} for f in FORMATS.values()],
    }


def _count(desk: Desk) -> None:
    """Warm up in the background: the first view and the list of records are then quick."""
    try:
        desk.count()
    except Exception as error:  # it is told where a person asks for the same thing
        say(error)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
