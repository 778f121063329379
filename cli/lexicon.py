"""``plessor lexicon``: the trade's words, rules and tables behind the records."""

from __future__ import annotations

import typer

app = typer.Typer(no_args_is_help=True)


@app.callback()
def _lexicon() -> None:
    """Look after the lexicon: codes, terms, rules and reference tables."""


@app.command("check")
def check() -> None:
    """Check every data file of the lexicon, and count what is in it."""
    from ..lexicon import DataError, load
    from ..lexicon.cues import read_cues, read_markers
    from ..lexicon.places import load_places
    from ..lexicon.rules import load_rules
    from ..pipeline.extract.grading import readings

    faults: list[str] = []
    for read in (load, load_places, load_rules, read_cues, read_markers, readings):
        try:
            read()
        except DataError as error:
            if str(error) not in faults:  # some readers begin with what another reads
                faults.append(str(error))
    if faults:
        raise DataError("\n".join(faults))
    lexicon, rules = load(), load_rules()
    vocabulary, tables = lexicon.vocabulary, lexicon.tables
    variants = sum(len(term.forms) for term in lexicon.terms)
    typer.echo(
        f"Lexicon {lexicon.version}: no faults.\n"
        f"Codes: {len(vocabulary.modalities)} modalities, "
        f"{len(vocabulary.segment_kinds)} segments.\n"
        f"Terms: {len(lexicon.terms)}, in {variants} spoken forms.\n"
        f"Rules: {len(read_cues())} cues, {len(read_markers())} steering words, "
        f"{len(rules.steps)} steps, {len(rules.cautions)} cautions.\n"
        f"Tables: {len(tables.movements)} movements, {len(tables.reflexes)} reflexes, "
        f"{len(tables.dermatomes)} dermatome rows, {len(tables.hpo)} phenotype terms."
    )
