"""The small words and code lists that extraction decides by: fillers, joints of lists, defaults.

A typed view of ``data/rules/words.toml``, whose comments say what each list is for. The
loader refuses unknown and missing lists, unknown keys, repeated words, wordings that no
atom can have and codes that the vocabulary does not know, and lists every fault at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from .errors import DataError
from .files import read_text
from .load import load
from .spoken import spoken_form
from .vocabulary import Vocabulary, nearest

FILE = "rules/words.toml"
Text = Annotated[str, Field(min_length=1)]
Texts = Annotated[tuple[Text, ...], Field(min_length=1)]


class Words(BaseModel):
    """Every list of ``words.toml`` by its id."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    openers: frozenset[str]
    clause_ends: frozenset[str]
    question_openers: frozenset[str]
    namely: frozenset[str]
    extents: frozenset[str]
    plural_anaphora: frozenset[str]
    outgrown_places: frozenset[str]
    back_to_now: frozenset[str]
    tale_contractions: frozenset[str]
    tale_pronouns: frozenset[str]
    tale_verbs: frozenset[str]
    patient_words: frozenset[str]
    past_verbs: frozenset[str]
    piece_heading_fillers: frozenset[str]
    side_adjectives: frozenset[str]
    limb_phrase_words: frozenset[str]
    limb_qualifiers: frozenset[str]
    limb_prepositions: frozenset[str]
    target_openers: frozenset[str]
    tying: frozenset[str]
    before_own_grade: frozenset[str]
    subjects: frozenset[str]
    heading_limbs: frozenset[str]
    general_modalities: frozenset[str]

    # Mentions: numbers, levels, motions, places named across other words
    pronoun_before: frozenset[str]
    label_before: frozenset[str]
    count_after: frozenset[str]
    grade_nouns: frozenset[str]
    one_determiners: frozenset[str]
    one_exceptions: frozenset[str]
    out_of: tuple[tuple[str, ...], ...]
    level_openers: frozenset[str]
    range_words: tuple[tuple[str, ...], ...]
    grade_continues: frozenset[str]
    sign_of_word: Mapping[str, str]
    side_of_word: Mapping[str, str]
    motion_of_word: Mapping[str, str]
    between_joint_and_motion: frozenset[str]
    between_motions: frozenset[str]
    before_joint: frozenset[str]
    joint_qualifiers: frozenset[str]
    place_heads: frozenset[str]
    aspects: Mapping[str, str]
    aspect_of: Mapping[str, str]
    within_place: frozenset[str]

    # Repairs and phrases
    repair_fillers: frozenset[str]
    repair_words: frozenset[str]
    hesitations: frozenset[str]
    determiners: frozenset[str]
    indefinite: frozenset[str]
    joining: frozenset[str]
    vertical: frozenset[str]
    going: frozenset[str]
    not_beats: frozenset[str]
    some: frozenset[str]
    adjectives_only: frozenset[str]
    of_whom: frozenset[str]
    before_touch: frozenset[str]
    before_denied: frozenset[str]
    muscle_places: frozenset[str]
    denying: frozenset[str]
    describing: frozenset[str]

    # Statements
    prepositions: frozenset[str]
    list_words: frozenset[str]
    between_grades: frozenset[str]
    saying: frozenset[str]
    copulas: frozenset[str]
    status_contrast: frozenset[str]
    anaphora: frozenset[str]
    reason_words: frozenset[str]
    telegraphic_words: frozenset[str]
    address_words: frozenset[str]
    definition_articles: frozenset[str]
    definition_verbs: frozenset[str]
    reflex_of_place: Mapping[str, str]
    reflex_of_movement: Mapping[str, str]
    reflex_of_muscle: Mapping[str, str]
    degrees: frozenset[str]

    # Headings and sides in force
    opening_words: frozenset[str]
    heading_fillers: frozenset[str]
    side_prepositions: frozenset[str]
    heading_ends: frozenset[str]

    # Places and sides of the record
    midline_segments: frozenset[str]
    midline_modalities: frozenset[str]
    sideless_modalities: frozenset[str]
    unspoken_side: Mapping[str, str]
    recorded_at: Mapping[str, str]
    power_at: Mapping[str, str]
    usual_place: Mapping[str, str]
    renamable_segments: frozenset[str]

    # Claims
    lesion_nouns: frozenset[str]
    claim_list_words: frozenset[str]
    serving_verbs: frozenset[str]
    tie_words: frozenset[str]
    claim_anaphora: frozenset[str]
    so_verbs: frozenset[str]
    level_prepositions: frozenset[str]
    broad_regions: frozenset[str]
    defining_verbs: frozenset[str]
    scale_nouns: frozenset[str]
    before_definition: frozenset[str]
    reflex_words: frozenset[str]
    tone_words: frozenset[str]
    sensation_words: frozenset[str]
    strength_words: frozenset[str]
    load_words: frozenset[str]
    plantar_grades: frozenset[str]
    plantar_words: frozenset[str]
    plantar_nouns: frozenset[str]
    plantar_verbs: frozenset[str]
    plantar_naming: frozenset[str]
    plantar_openers: frozenset[str]


class _Entry(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Text
    comment: Text
    source: Text
    source_kind: Literal["published", "memory", "common_practice", "house"]


class WordList(_Entry):
    """One ``[[words]]``: atoms of its own, and the lists before it that it takes in."""

    words: Texts
    includes: tuple[Text, ...] = ()


class PhraseList(_Entry):
    """One ``[[phrases]]``: runs of atoms, in the order in which they are tried."""

    phrases: Texts


class CodeList(_Entry):
    """One ``[[codes]]``: codes of one kind."""

    kind: Text
    codes: Texts


class CodeMap(_Entry):
    """One ``[[map]]``: words or codes to what they stand for."""

    keys: Text
    values: Text
    pairs: Annotated[Mapping[Text, Text], Field(min_length=1)]


_Any = WordList | PhraseList | CodeList | CodeMap
_TABLES: Mapping[str, type[_Any]] = {
    "words": WordList, "phrases": PhraseList, "codes": CodeList, "map": CodeMap,
}  # fmt: skip
_SIGNS = ("+", "-")


@cache
def load_words() -> Words:
    """The lists of the installed package, read and checked once.

    Raises ``DataError``, listing every fault with its entry.
    """
    return words_from(read_text(FILE), vocabulary=load().vocabulary)


def words_from(text: str, *, vocabulary: Vocabulary) -> Words:
    """The lists that a TOML text holds; raises ``DataError`` with every fault."""
    faults: list[str] = []
    values: dict[str, object] = {}
    for entry in _entries(text, faults):
        place = f"{FILE}: {entry.id}"
        if entry.id in values:
            faults.append(f"{place}: the id stands twice")
        faults += (f"{place}: {fault}" for fault in _faults(entry, values, vocabulary))
        values[entry.id] = _value(entry, values)
    try:
        words = Words.model_validate(values)
    except ValidationError as error:
        faults += (f"{FILE}: {'.'.join(map(str, e['loc']))}: {e['msg']}" for e in error.errors())
    if faults:
        raise DataError(
            f"The word lists have {len(faults)} fault(s); mend the entries named:\n"
            + "\n".join(faults)
        )
    return words


def _entries(text: str, faults: list[str]) -> Iterator[_Any]:
    """The entries in the order of the file, as far as each can be read."""
    try:
        raw: dict[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        faults.append(f"{FILE}: is not TOML: {error}")
        return
    faults += (f"{FILE}: unknown table “{key}”" for key in raw if key not in _TABLES)
    for key, model in _TABLES.items():
        for number, entry in enumerate(raw.get(key, ()), start=1):
            try:
                yield model.model_validate(entry)
            except ValidationError as error:
                label = entry.get("id", f"{key} {number}")
                faults += (
                    f"{FILE}: {label}: {'.'.join(map(str, e['loc']))}: {e['msg']}"
                    for e in error.errors()
                )


def _value(entry: _Any, before: Mapping[str, object]) -> object:
    """The entry as the attribute of ``Words`` that it becomes."""
    if isinstance(entry, WordList):
        return frozenset((*entry.words, *_included(entry, before)))
    if isinstance(entry, PhraseList):
        return tuple(tuple(phrase.split()) for phrase in entry.phrases)
    if isinstance(entry, CodeList):
        return frozenset(entry.codes)
    return dict(entry.pairs)


def _included(entry: WordList, before: Mapping[str, object]) -> list[str]:
    lists = (before.get(name) for name in entry.includes)
    return [word for words in lists if isinstance(words, frozenset) for word in words]


def _faults(entry: _Any, before: Mapping[str, object], vocabulary: Vocabulary) -> Iterator[str]:
    if isinstance(entry, WordList):
        for name in entry.includes:
            if not isinstance(before.get(name), frozenset):
                yield f"includes “{name}”, which is no list of words above it"
        yield from _repeated((*entry.words, *_included(entry, before)))
        yield from _unspeakable(entry.words)
    elif isinstance(entry, PhraseList):
        yield from _repeated(entry.phrases)
        yield from _unspeakable(word for phrase in entry.phrases for word in phrase.split())
    elif isinstance(entry, CodeList):
        yield from _repeated(entry.codes)
        yield from _misfits(entry.kind, entry.codes, vocabulary)
    else:
        yield from _misfits(entry.keys, entry.pairs, vocabulary)
        yield from _misfits(entry.values, entry.pairs.values(), vocabulary)


def _repeated(items: Iterable[str]) -> Iterator[str]:
    seen: set[str] = set()
    for item in items:
        if item in seen:
            yield f"“{item}” stands twice"
        seen.add(item)


def _unspeakable(words: Iterable[str]) -> Iterator[str]:
    for word in words:
        if spoken_form(word) != (word,):
            yield f"“{word}” is not one atom as it is heard"


def _misfits(kind: str, items: Iterable[str], vocabulary: Vocabulary) -> Iterator[str]:
    """The items that are not of ``kind``."""
    if kind == "word":
        yield from _unspeakable(items)
        return
    valid = _valid(kind, vocabulary)
    if valid is None:
        yield f"unknown kind “{kind}”"
        return
    for item in items:
        if item not in valid:
            near = nearest(item, valid)
            yield f"unknown {kind} “{item}”" + (f"; did you mean “{near}”?" if near else "")


def _valid(kind: str, vocabulary: Vocabulary) -> Collection[str] | None:
    """What may stand under a kind; None when there is no such kind."""
    name, _, part = kind.partition(":")
    if name == "grade":
        return vocabulary.scales.get(part)
    if name == "segment" and part:
        return vocabulary.segments.get(part)
    return {
        "segment": vocabulary.segment_kinds,
        "modality": vocabulary.modalities,
        "side": (*vocabulary.sides, "both"),
        "motion": {code.rpartition("_")[2] for code in vocabulary.segments["movement"]},
        "sign": _SIGNS,
    }.get(kind)
