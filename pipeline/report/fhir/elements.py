"""The data types of FHIR that the bundle is made of, as plain dictionaries.

Only what is known is written: FHIR forbids empty strings, lists and objects. Words of a person
are put on one line without control characters first, since a FHIR string may not hold those.
A point in time needs a time zone in FHIR; one without is not guessed.
"""

from __future__ import annotations

import base64
import datetime as dt
import html
from collections.abc import Iterable
from typing import Any

from ....lexicon.fhir import load_fhir
from ....lexicon.labels import name
from ..layout import plain

Json = dict[str, Any]


def known(**parts: Any) -> Json:
    """The parts that hold something; zero and False do."""
    return {key: value for key, value in parts.items() if value not in (None, "", [], {})}


def words(text: str | None) -> str | None:
    """``text`` as a FHIR string, or None when nothing of it can be one."""
    return plain(text or "") or None


def own(kind: str, code: str, *, system: str | None = None, display: str | None = None) -> Json:
    """A coding in a system of ours; its display is the name of ``code`` unless given."""
    return {
        "system": load_fhir().uri(system or kind),
        "code": code,
        "display": display or name(kind, code),
    }


def published(kind: str, code: str) -> Json:
    """The coding of a published system that stands for our ``code``."""
    row = load_fhir().codes[kind, code]
    return {
        "system": load_fhir().uri(row.system),
        "code": row.fhir_code,
        "display": row.display,
    }


def bare(kind: str, code: str) -> str:
    """The code alone, for elements that FHIR binds to one system."""
    return load_fhir().codes[kind, code].fhir_code


def concept(*codings: Json, text: str | None = None) -> Json:
    """A CodeableConcept."""
    return known(coding=list(codings), text=words(text))


def extension(name: str, **value: Any) -> Json:
    """An extension with one value, as ``valueDecimal=0.9``, or with ``extension=[…]``."""
    return {"url": load_fhir().uri(f"extension:{name}"), **value}


def part(name: str, **value: Any) -> Json:
    """A part of a complex extension; inside one, the name alone is the URL."""
    return {"url": name, **value}


def unknown_value() -> Json:
    """What stands beside an element that FHIR asks for and that nobody knows."""
    return {"extension": [extension("data-absent-reason", valueCode=bare("absent", "time"))]}


def instant(when: dt.datetime | None) -> str | None:
    """``when`` in UTC with milliseconds; None without a time zone or outside of years 1 to 9999."""
    if when is None or when.utcoffset() is None:
        return None
    try:
        utc = when.astimezone(dt.UTC)
    except OverflowError:
        return None
    return utc.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def timed(element: str, when: dt.datetime | None) -> Json:
    """``element`` with the instant, or with the statement that it is not known."""
    at = instant(when)
    return {element: at} if at else {f"_{element}": unknown_value()}


def content_uri(sha256: str) -> str:
    """The name of bytes by their SHA-256 (RFC 6920): FHIR's own ``hash`` is SHA-1."""
    digest = base64.urlsafe_b64encode(bytes.fromhex(sha256)).decode().rstrip("=")
    return f"ni:///sha-256;{digest}"


def content_identifier(sha256: str) -> Json:
    """The same as an Identifier."""
    return {"system": load_fhir().uri("uri"), "value": content_uri(sha256)}


def narrative(lines: Iterable[str]) -> Json:
    """A Narrative, a paragraph a line; nothing in a line can become markup."""
    body = "".join(f"<p>{html.escape(plain(line))}</p>" for line in lines if plain(line))
    return {
        "status": "generated",
        "div": f'<div xmlns="http://www.w3.org/1999/xhtml">{body}</div>',
    }
