"""The program ``plessor``: its commands, and the one edge at which errors become exit codes.

Nothing heavy is imported here, so that ``plessor --help`` and shell completion answer at
once: a command imports what it runs when it runs. Errors are printed by ``faults`` alone,
since a traceback, and even an exception's own text, may hold a patient's words.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from . import export, hear, interpret, lexicon, models, read, review, schema, store
from .faults import DEBUG_VARIABLE, say

EPILOG = (
    "Exit codes: 0 done; 1 an input cannot be used; 2 the command is not written correctly; "
    "3 something is missing on this machine; 4 the lexicon's data are at fault; "
    "70 a bug in Plessor; 130 stopped from the keyboard. "
    "Plessor supports a licensed clinician; it is not a diagnosis and not a medical device, "
    "and local guidance comes first."
)

app = typer.Typer(
    name="plessor",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    pretty_exceptions_show_locals=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _show_version(value: bool) -> None:
    if value:
        from importlib import metadata

        from ..lexicon.files import version

        typer.echo(f"plessor {metadata.version('plessor')} (lexicon {version()})")
        raise typer.Exit


@app.callback(epilog=EPILOG)
def _plessor(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_show_version, is_eager=True, help="Print the version and stop."
        ),
    ] = False,
    debug: Annotated[
        bool,
        typer.Option(
            "--debug",
            help="Show the traceback of an unexpected error, which may hold words of the "
            f"narration. {DEBUG_VARIABLE}=1 does the same.",
        ),
    ] = False,
) -> None:
    """Turn a spoken neurological examination into a findings record.

    Data go to standard output, messages to standard error.
    Nothing leaves this machine.
    """
    if debug:
        os.environ[DEBUG_VARIABLE] = "1"


app.command("hear")(hear.command)
app.command("read")(read.command)
app.command("interpret")(interpret.command)
app.command("export")(export.command)
app.command("review")(review.command)
app.add_typer(store.app, name="store")
app.add_typer(lexicon.app, name="lexicon")
app.command("models")(models.command)
app.command("schema")(schema.command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line (default: the process's own) and return its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    before = os.environ.get(DEBUG_VARIABLE, "")
    try:
        done = app(words, prog_name="plessor", standalone_mode=False)
    except typer.TyperException as error:
        return _usage(error)
    except typer.Abort:
        return 130
    except Exception as error:  # the one edge: whatever it is, one sentence and a code
        return say(error)
    finally:
        os.environ[DEBUG_VARIABLE] = before
    return done if isinstance(done, int) else 0


def _usage(error: typer.TyperException) -> int:
    """Say what is wrong with the command line, in one sentence."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "plessor"
    message = error.format_message()
    if type(error).__name__ == "NoArgsIsHelpError":
        typer.echo(message, err=True)
    else:
        message = " ".join(message.replace("Value error, ", "").split())
        message += "" if message.endswith((".", "?")) else "."
        typer.echo(f"plessor: {message} See “{command} --help”.", err=True)
    return error.exit_code


def run() -> None:
    """Entry point of the program."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8")
    # Ended from outside: leave through the clean-up, so that no part of a file stays behind.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    sys.exit(main())
