"""``plessor lexicon``: the trade's words and tables behind the records."""

from __future__ import annotations

import typer

app = typer.Typer(no_args_is_help=True, help="Look after the lexicon.")


@app.callback()
def _lexicon() -> None:
    """Look after the lexicon: codes, terms and reference tables."""


@app.command("check")
def check() -> None:
    """Check every data file of the lexicon, and count what is in it."""
    from ..lexicon import load

    lexicon = load()
    vocabulary, tables = lexicon.vocabulary, lexicon.tables
    variants = sum(len(term.forms) for term in lexicon.terms)
    typer.echo(
        f"Lexicon {lexicon.version}: no faults. {len(vocabulary.modalities)} modalities, "
        f"{len(vocabulary.segment_kinds)} segments, {len(lexicon.terms)} terms with {variants} "
        f"spoken forms, {len(tables.movements)} movements, {len(tables.reflexes)} reflexes, "
        f"{len(tables.dermatomes)} dermatome rows."
    )
