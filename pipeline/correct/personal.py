"""The personal lexicon: what this person's recogniser makes of this person's words.

One plain-text file, a line an entry, to be read and edited by hand::

    # a comment
    gastrocs                     a word or phrase to listen for
    fleecy ox = biceps jerk      what is heard = what it stands for

It stands in the user's configuration folder: ``$PLESSOR_CONFIG`` when set, else
``%APPDATA%\\plessor`` on Windows and ``$XDG_CONFIG_HOME/plessor`` or ``~/.config/plessor``
elsewhere; the file is ``lexicon.txt``. A variant never stands for another number, side,
level, denial or opposite: such a line is refused. What more an entry must be that is not
written by hand is decided in ``admission.py``.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ...lexicon import InputError, nearest
from .safekeeping import change_text, read_text
from .targets import opposites
from .units import tokens_of
from .words import denies, guarded

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

    def meanings(self, heard: str) -> tuple[str, ...]:
        """What ``heard`` stands for, however it is written."""
        return tuple(means for one, means in self.variants if same(one, heard))


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
    return parse_personal(read_text(place), str(place))


def parse_personal(text: str, place: str = FILE) -> Personal:
    """The entries of ``text``; raises ``InputError`` like ``read_personal``."""
    for entry in _entries(text):
        if entry.fault:
            raise InputError(f"{place}:{entry.line}: {entry.fault}")
    return usable(text)


def usable(text: str) -> Personal:
    """The entries of ``text`` that can be used; faulty lines are left out."""
    good = [entry for entry in _entries(text) if not entry.fault]
    phrases = [entry.heard for entry in good if entry.means is None]
    variants = [(entry.heard, entry.means) for entry in good if entry.means is not None]
    return Personal(tuple(dict.fromkeys(phrases)), tuple(dict.fromkeys(variants)))


def add_personal(said: str, heard: Iterable[str] = (), path: Path | None = None) -> Personal:
    """Add the ways in which ``said`` is misheard, and return the lexicon as it is now.

    Without such ways ``said`` itself is added, as a phrase to listen for. Entries that stand
    there already are not written twice; every other line stays as it is, a faulty one too.
    Raises ``InputError`` for an entry that cannot be used, and writes nothing then.
    """
    means = said.strip()
    lines = [f"{way.strip()} = {means}" for way in heard] or [means]
    new = parse_personal("\n".join(lines), FILE)
    kept = Personal()

    def grown(old: str) -> str:
        nonlocal kept
        there = usable(old)
        missing = [p for p in new.phrases if not any(same(p, one) for one in there.phrases)]
        missing += [
            f"{way} = {means}"
            for way, means in new.variants
            if not any(same(means, one) for one in there.meanings(way))
        ]
        text = _appended(old, missing)
        kept = usable(text)
        return text

    change_text(path or personal_path(), grown)
    return kept


def remove_personal(heard: str, path: Path | None = None) -> Personal:
    """Take out every entry that is named by ``heard``, and return the lexicon as it is now.

    All other lines stay as they are. Raises ``InputError``, with the nearest entry, when there
    is none of that name, and changes nothing then.
    """
    place = path or personal_path()
    if not place.exists():
        raise InputError(f"{place}: there is no such file; “plessor lexicon add” makes one.")
    kept = Personal()

    def shrunk(old: str) -> str:
        nonlocal kept
        entries = list(_entries(old))
        gone = {entry.line for entry in entries if same(entry.heard, heard)}
        if not gone:
            near = nearest(heard, [entry.heard for entry in entries])
            hint = f"the nearest entry is “{near}”" if near else "“plessor lexicon list” shows it"
            raise InputError(f"“{heard}” is not in {place}; {hint}.")
        lines = old.splitlines(keepends=True)
        text = "".join(line for number, line in enumerate(lines, 1) if number not in gone)
        kept = usable(text)
        return text

    change_text(place, shrunk)
    return kept


def same(one: str, other: str) -> bool:
    """Whether two stretches of words are compared as the same: case and marks do not count."""
    return tokens_of(one) == tokens_of(other)


def fault_of(heard: str, means: str) -> str | None:
    """Why ``heard`` can never stand for ``means``, in a sentence, or None."""
    one, other = tokens_of(heard), tokens_of(means)
    if not one or not other:
        return "an entry needs words, as in “fleeks in = flexion”."
    if [t for t in one if guarded(t)] != [t for t in other if guarded(t)]:
        return "a variant may not change a number, a side or a level; write the words alone."
    if any(t in opposites().get(u, ()) for t in one for u in other):
        return "a variant may not turn a word into its opposite."
    if sum(map(denies, one)) != sum(map(denies, other)):
        return "a variant may not bring in or take away a word that says no."
    return None


@dataclass(frozen=True)
class _Entry:
    """One line that is no comment; ``means`` is None for a phrase to listen for."""

    line: int
    heard: str
    means: str | None
    fault: str | None


def _entries(text: str) -> Iterator[_Entry]:
    # Some editors of Windows open a file with a mark of its encoding.
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1):
        entry = line.partition("#")[0].strip()
        if not entry:
            continue
        heard, equals, means = (part.strip() for part in entry.partition("="))
        fault = fault_of(heard, means if equals else heard)
        yield _Entry(number, heard, means if equals else None, fault)


def _appended(old: str, lines: list[str]) -> str:
    if not lines:
        return old
    old = old or _HEADER
    end = "\r\n" if "\r\n" in old else "\n"
    gap = "" if old.endswith("\n") else end
    return old + gap + "".join(line + end for line in lines)
