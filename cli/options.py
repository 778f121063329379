"""The options that several commands share."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ..pipeline.formats import ALIASES, FORMATS

if TYPE_CHECKING:
    from ..pipeline.exam import ExamFacts, ExamOptions

    #: The name of a format: any of the table, or one that tells what the findings amount to.
    Format = str
    InterpretationFormat = str
else:
    Format = Literal[(*FORMATS, *ALIASES)]
    InterpretationFormat = Literal[
        (*(name for name, f in FORMATS.items() if f.interprets), "json", "jsonl", *ALIASES)
    ]
PlainFormat = Literal["text", "json"]

_AGE = re.compile(r"(?:(\d+) ?y)? ?(?:(\d+) ?m)?", re.IGNORECASE)
_MAX_MONTHS = 1500


def format_name(name: str) -> str:
    """The name of the format that was asked for, by that or by another name."""
    return ALIASES.get(name, name)


def months(text: str) -> int:
    """Age in completed months from ``6y``, ``6y3m`` or ``18m``."""
    match = _AGE.fullmatch(text.strip())
    if not match or not any(match.groups()):
        raise typer.BadParameter(f"“{text}” is not an age; write 6y, 6y3m or 18m.")
    years, rest = (int(part or 0) for part in match.groups())
    if (total := 12 * years + rest) > _MAX_MONTHS:
        raise typer.BadParameter(f"“{text}” is more than {_MAX_MONTHS // 12} years.")
    return total


Age = Annotated[
    int | None,
    typer.Option(
        "--age", metavar="AGE", parser=months, help="Age as 6y, 6y3m or 18m.", show_default=False
    ),
]
AgeMonths = Annotated[
    int | None,
    typer.Option(
        "--age-months",
        metavar="MONTHS",
        min=0,
        max=_MAX_MONTHS,
        help="Age in completed months.",
        show_default=False,
    ),
]
Examiner = Annotated[
    str | None,
    typer.Option("--examiner", metavar="NAME", help="Who examined.", show_default=False),
]
Date = Annotated[
    dt.datetime | None,
    typer.Option(
        "--date",
        metavar="YYYY-MM-DD",
        formats=["%Y-%m-%d"],
        help="Day of the examination.",
        show_default=False,
    ),
]
Out = Annotated[
    Path | None,
    typer.Option(
        "--out",
        "-o",
        metavar="FILE",
        help="Write to FILE, whole or not at all, instead of standard output.",
        show_default=False,
    ),
]
PersonalFile = Annotated[
    Path | None,
    typer.Option(
        "--personal",
        "-p",
        metavar="FILE",
        help="The personal lexicon, instead of the one that “plessor lexicon list” names.",
        show_default=False,
    ),
]
Quiet = Annotated[
    bool, typer.Option("--quiet", "-q", help="No progress and no messages except errors.")
]
StoreUrl = Annotated[
    str | None,
    typer.Option(
        "--store",
        metavar="URL",
        help="The database, instead of the one that “plessor store list” names.",
        show_default=False,
    ),
]
Reviewer = Annotated[
    str | None,
    typer.Option(
        "--reviewer",
        metavar="NAME",
        help="Who does this; your login name unless you say.",
        show_default=False,
    ),
]
RecordFormat = Annotated[
    Format,
    typer.Option("--format", "-f", help="How to write the record.", callback=format_name),
]
RecordFiles = Annotated[
    list[Path],
    typer.Argument(
        metavar="RECORD",
        help="Files of records in JSON, one record a file or one a line; - is standard input.",
        show_default=False,
    ),
]


def exam_facts(
    age: int | None, age_months: int | None, examiner: str | None, date: dt.datetime | None
) -> ExamFacts:
    """The facts of an examination from its options."""
    known_age = one_age(age, age_months)
    from ..pipeline.exam import ExamFacts

    return ExamFacts(age_months=known_age, examiner=examiner, date=date.date() if date else None)


def exam_options(personal: Path | None) -> ExamOptions:
    """The options of an examination; the personal lexicon takes part in its correction.

    Raises ``InputError`` when ``personal`` is not there, or when the lexicon is faulty.
    """
    from ..pipeline.correct import CorrectOptions
    from ..pipeline.exam import ExamOptions
    from .personal import entries

    own = entries(personal, must_exist=personal is not None)
    return ExamOptions(correct=CorrectOptions(variants=own.variants, words=own.phrases))


def one_age(age: int | None, age_months: int | None) -> int | None:
    """The age in months from ``--age`` or ``--age-months``, which must not disagree."""
    if age is not None and age_months is not None and age != age_months:
        raise typer.BadParameter("--age and --age-months disagree; give one of them.")
    return age_months if age is None else age
