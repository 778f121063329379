"""``plessor lexicon add``, ``list`` and ``remove``: what one person adds to the lexicon.

The file and its rules are those of ``pipeline/correct/personal.py``. An entry made here is
held to more: it stands for a term that the lexicon knows, and ordinary English is refused,
since it would be changed wherever the recogniser was a little unsure of it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..lexicon.errors import InputError
from .options import PersonalFile, PlainFormat

if TYPE_CHECKING:
    from ..pipeline.correct import Personal

#: Words of this frequency are the commonest thousand or so of English (package wordfreq);
#: a run of nothing else ("of the") is said too often to stand for a term. A house rule.
_VERY_COMMON = 1e-4
_LONGEST = 5  # words; correction looks at no longer stretch

Heard = Annotated[
    str, typer.Argument(metavar="HEARD", help="What the recogniser writes, in quotation marks.")
]


def add(
    heard: Heard,
    means: Annotated[
        str,
        typer.Option("--means", metavar="TERM", help="The term of the lexicon it stands for."),
    ],
    personal: PersonalFile = None,
) -> None:
    """Keep in the personal lexicon what a recogniser makes of a term."""
    from ..pipeline.correct import add_personal

    said = known_term(means)
    fault = _not_an_entry(heard, said) or _too_ordinary(heard)
    if fault:
        raise InputError(f"“{heard}” cannot be added: {fault}")
    for other_heard, other in entries(personal).variants:
        if _same(other_heard, heard) and not _same(other, said):
            raise InputError(
                f"“{heard}” stands for “{other}” already; "
                f"take that away first with “plessor lexicon remove”."
            )
    with _translated(_place(personal)):
        add_personal(said, [heard], personal)
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
    place = _place(personal)
    before = entries(personal)
    gone = [said for one, said in before.variants if _same(one, heard)]
    if not gone and not any(_same(phrase, heard) for phrase in before.phrases):
        from ..lexicon import nearest

        near = nearest(heard, [*(one for one, _ in before.variants), *before.phrases])
        hint = f"the nearest entry is “{near}”" if near else "“plessor lexicon list” shows it"
        raise InputError(f"“{heard}” is not in {place}; {hint}.")
    kept = [said for one, said in before.variants if not _same(one, heard)]
    # ``add`` also writes the term itself, which is of no use once nothing stands for it.
    idle = [said for said in gone if said not in kept and _known(said)]
    with _translated(place):
        lines = place.read_text(encoding="utf-8").splitlines(keepends=True)
        new = place.with_suffix(".new")
        new.write_text(
            "".join(line for line in lines if not _names(line, [heard, *idle])), encoding="utf-8"
        )
        new.replace(place)
    typer.echo(f"“{heard}” is no longer in {place}.")


def entries(personal: Path | None, *, must_exist: bool = False) -> Personal:
    """The personal lexicon, empty when there is no file.

    Raises ``InputError`` when it cannot be read, or is not there and ``must_exist``.
    """
    from ..pipeline.correct import read_personal

    place = _place(personal)
    if place.is_dir():
        raise InputError(f"{place}: this is a folder; name the file of the personal lexicon.")
    if must_exist and not place.exists():
        raise InputError(f"{place}: there is no such file; “plessor lexicon add” makes one.")
    with _translated(place):
        return read_personal(place)


def known_term(words: str) -> str:
    """``words`` as the lexicon writes them: a spoken form, or a single word of the trade.

    Raises ``InputError``, with the nearest term, for anything else.
    """
    from ..lexicon import load, nearest, spoken_form
    from ..pipeline.correct.correction import installed

    known: dict[tuple[str, ...], str] = {(word,): word for word in installed((), ()).trade_words}
    known |= {spoken_form(s): s for term in load().terms for s in reversed(term.spoken)}
    form = spoken_form(words)
    if form in known:
        return known[form]
    by_words = {" ".join(one): said for one, said in known.items()}
    near = nearest(" ".join(form), by_words)
    hint = f"; the nearest term is “{by_words[near]}”" if near else ""
    raise InputError(f"“{words}” is not a term of the lexicon{hint}.")


def _known(words: str) -> bool:
    try:
        known_term(words)
    except InputError:
        return False
    return True


def _not_an_entry(heard: str, said: str) -> str | None:
    """Why ``heard = said`` cannot be a line of the file, or None."""
    from ..pipeline.correct.personal import parse_personal
    from ..pipeline.correct.units import tokens_of

    if any(mark in heard for mark in "#=\n\r"):
        return "it holds a “#”, a “=” or a line break; write the words alone."
    if len(tokens_of(heard)) > _LONGEST:
        return f"it is longer than {_LONGEST} words; name the misheard words alone."
    try:
        parse_personal(f"{heard} = {said}", "")
    except InputError as error:
        return str(error).partition(": ")[2]  # a place in the file would mean nothing here
    return None


def _too_ordinary(heard: str) -> str | None:
    """Why ``heard`` must not stand for anything but itself, or None."""
    from ..pipeline.correct.context import ordinary
    from ..pipeline.correct.units import tokens_of

    words = tokens_of(heard)
    if _known(heard):
        return "it is a term of the lexicon itself, which stays as it is."
    if len(words) == 1 and ordinary(words[0]):
        return "it is an ordinary English word; add it together with the words around it."
    if all(ordinary(word) >= _VERY_COMMON for word in words):
        return "these are very common English words; add them with the words around them."
    return None


def _same(one: str, other: str) -> bool:
    from ..pipeline.correct.units import tokens_of

    return tokens_of(one) == tokens_of(other)


def _names(line: str, several: list[str]) -> bool:
    """Whether the entry in ``line`` is one of ``several``: for a variant, what is heard."""
    heard = line.partition("#")[0].partition("=")[0].strip()
    return bool(heard) and any(_same(heard, one) for one in several)


def _place(personal: Path | None) -> Path:
    from ..pipeline.correct import personal_path

    return personal or personal_path()


@contextmanager
def _translated(place: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputError(f"{place}: cannot be used ({reason}).") from error
