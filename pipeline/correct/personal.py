"""The personal lexicon: what this person's recogniser makes of this person's words.

One plain-text file, a line an entry, to be read and edited by hand::

    # a comment
    gastrocs                     a word or phrase to listen for
    my thenar = hypothenar       what is heard = what it stands for

It stands in the user's configuration folder: ``$PLESSOR_CONFIG`` when set, else
``%APPDATA%\\plessor`` on Windows and ``$XDG_CONFIG_HOME/plessor`` or ``~/.config/plessor``
elsewhere; the file is ``lexicon.txt``. A variant never stands for another number, side,
level or opposite: such a line is refused.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ...lexicon import InputError
from ..record import Correction
from .targets import GUARDED, opposites
from .units import tokens_of

FILE = "lexicon.txt"
_HEADER = (
    "# Personal lexicon of Plessor. One entry a line: a word or phrase to listen for, or\n"
    "# what is heard = what it stands for. Lines that begin with # are comments.\n"
)


@dataclass(frozen=True)
class Personal:
    """Phrases to listen for, and pairs of what is heard and what it stands for."""

    phrases: tuple[str, ...] = ()
    variants: tuple[tuple[str, str], ...] = ()


def personal_path() -> Path:
    """Where the personal lexicon stands; it need not exist."""
    own = os.environ.get("PLESSOR_CONFIG")
    if own:
        return Path(own) / FILE
    if sys.platform == "win32":
        return Path(os.environ.get("APPDATA", Path.home())) / "plessor" / FILE
    base = os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config"
    return Path(base) / "plessor" / FILE


def read_personal(path: Path | None = None) -> Personal:
    """The personal lexicon; an empty one when there is no file.

    Raises ``InputError``, naming file and line, for a line that cannot be used.
    """
    place = path or personal_path()
    if not place.is_file():
        return Personal()
    try:
        text = place.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise InputError(f"{place} is not UTF-8 text; save it as UTF-8.") from error
    return parse_personal(text, str(place))


def parse_personal(text: str, place: str = FILE) -> Personal:
    """The entries of ``text``; raises ``InputError`` like ``read_personal``."""
    phrases: list[str] = []
    variants: list[tuple[str, str]] = []
    for number, line in enumerate(text.splitlines(), 1):
        entry = line.partition("#")[0].strip()
        if not entry:
            continue
        heard, equals, said = (part.strip() for part in entry.partition("="))
        fault = _fault(heard, said if equals else heard)
        if fault:
            raise InputError(f"{place}:{number}: {fault}")
        if equals:
            variants.append((heard, said))
        else:
            phrases.append(heard)
    return Personal(tuple(dict.fromkeys(phrases)), tuple(dict.fromkeys(variants)))


def add_personal(said: str, heard: Iterable[str] = (), path: Path | None = None) -> Personal:
    """Add a phrase, with the ways it is misheard, and return the lexicon as it is now.

    Entries that stand there already are not written twice. Raises ``InputError`` for an entry
    that cannot be used, and writes nothing then.
    """
    place = path or personal_path()
    before = read_personal(place)
    lines = []
    if said.strip() not in before.phrases:
        lines.append(said.strip())
    for way in dict.fromkeys(h.strip() for h in heard):
        if (way, said.strip()) not in before.variants:
            lines.append(f"{way} = {said.strip()}")
    text = "".join(f"{line}\n" for line in lines)
    parse_personal(text, place.name)
    if lines:
        place.parent.mkdir(parents=True, exist_ok=True)
        old = place.read_text(encoding="utf-8") if place.is_file() else _HEADER
        new = place.with_suffix(".new")
        new.write_text(old + ("" if old.endswith("\n") else "\n") + text, encoding="utf-8")
        new.replace(place)
    return read_personal(place)


def variants_of(corrections: Iterable[Correction]) -> tuple[tuple[str, str], ...]:
    """The pairs worth keeping from a reviewer's corrections of words, as (heard, said).

    A pair that would turn one number, side, level or opposite into another is left out.
    """
    pairs = ((c.heard.strip(" ,.;:?!"), c.became.strip(" ,.;:?!")) for c in corrections)
    return tuple(dict.fromkeys(p for p in pairs if not _fault(*p)))


def _fault(heard: str, said: str) -> str | None:
    one, other = tokens_of(heard), tokens_of(said)
    if not one or not other:
        return "an entry needs words, as in “fleeks in = flexion”."
    if [t for t in one if _fixed(t)] != [t for t in other if _fixed(t)]:
        return "a variant may not change a number, a side or a level; write the words alone."
    if any(t in opposites().get(u, ()) for t in one for u in other):
        return "a variant may not turn a word into its opposite."
    return None


def _fixed(token: str) -> bool:
    return token in GUARDED or any(c.isdigit() for c in token)
