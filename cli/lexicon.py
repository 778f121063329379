"""``plessor lexicon``: the trade's words, rules and tables behind the records."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from typing import Any

import typer

from . import explain, personal

app = typer.Typer(no_args_is_help=True)

#: Everything that reads the lexicon's data, so that a fault anywhere is found by ``check``.
#: Named, since importing them all would make ``plessor --help`` wait.
READERS = (
    ("..lexicon", "load"),
    ("..lexicon.places", "load_places"),
    ("..lexicon.rules", "load_rules"),
    ("..lexicon.anatomy", "load_anatomy"),
    ("..lexicon.odds", "load_odds"),
    ("..lexicon.scores", "load_scores"),
    ("..lexicon.fhir", "load_fhir"),
    ("..lexicon.cues", "read_cues"),
    ("..lexicon.cues", "read_markers"),
    ("..lexicon.words", "load_words"),
    ("..pipeline.extract.grading", "readings"),
    ("..pipeline.extract.confidence", "read_weights"),
    ("..pipeline.correct.marks", "weights"),
    ("..pipeline.correct.phonemes", "dictionary"),
)


@app.callback()
def _lexicon() -> None:
    """Look after the lexicon: codes, terms, rules and tables, and a person's own words."""


@app.command("check")
def check() -> None:
    """Check every data file of the lexicon, and count what is in it."""
    from ..lexicon import DataError

    read: dict[str, Any] = {}
    faults: list[str] = []
    for module, name in READERS:
        try:
            read[name] = _reader(module, name)()
        except DataError as error:
            if str(error) not in faults:  # some readers begin with what another reads
                faults.append(str(error))
        except (ValueError, KeyError) as error:  # of files that have no schema of their own
            faults.append(f"data behind {module.lstrip('.')}: cannot be used ({error}).")
    if faults:
        raise DataError("\n".join(faults))
    typer.echo(_counts(read))


def _reader(module: str, name: str) -> Callable[[], object]:
    found: Callable[[], object] = getattr(import_module(module, __package__), name)
    return found


def _counts(read: dict[str, Any]) -> str:
    from ..pipeline.correct.correction import installed

    lexicon, rules = read["load"], read["load_rules"]
    vocabulary, tables = lexicon.vocabulary, lexicon.tables
    counts = {
        "modalities": vocabulary.modalities,
        "segments": vocabulary.segment_kinds,
        "terms": lexicon.terms,
        "spoken forms": [form for term in lexicon.terms for form in term.forms],
        "cues": read["read_cues"],
        "steering words": read["read_markers"],
        "word lists": type(read["load_words"]).model_fields,
        "readings of numbers": [n for scale in read["readings"].numbers.values() for n in scale],
        "steps": rules.steps,
        "cautions": rules.cautions,
        "movements": tables.movements,
        "reflexes": tables.reflexes,
        "dermatome rows": tables.dermatomes,
        "phenotype terms": tables.hpo,
        "pronunciations": read["dictionary"],
        "sound targets": installed((), ()).index.targets,
        "marks of decision": read["weights"],
    }
    told = ", ".join(f"{len(found)} {what}" for what, found in counts.items())
    return f"Lexicon {lexicon.version}: no faults; {told}."


app.command("explain")(explain.command)
app.command("add")(personal.add)
app.command("list")(personal.show)
app.command("remove")(personal.remove)
