"""Records whose words, evidence and corrections fit together, and edits that may fit them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.pipeline.record import (
    Claim,
    Correction,
    Evidence,
    Finding,
    Record,
    Unresolved,
    Word,
)
from plessor.pipeline.review import Edit
from plessor.pipeline.transcript import Transcript
from pydantic import TypeAdapter

WHEN = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)
VOCABULARY = load().vocabulary
EDIT: TypeAdapter[Edit] = TypeAdapter(Edit)
SPOKEN = [
    *("left", "right", "risk", "wrist", "extension", "three", "four", "knee", "jerk"),
    *("brisk", "the", "is", "and", "on", "no"),
]

_texts = st.sampled_from(SPOKEN) | st.sampled_from(SPOKEN).map(lambda w: w.capitalize() + ".")


@pytest.fixture
def when() -> dt.datetime:
    return WHEN


@pytest.fixture
def edit() -> Callable[..., Edit]:
    """An edit from what the page sends."""

    def made(kind: str, **fields: Any) -> Edit:
        return EDIT.validate_python({"kind": kind, **fields})

    return made


def _visit(**facts: Any) -> Record:
    """One of everything that a reviewer meets, with seconds; the places are written beside it."""
    sentences = (
        "Left risk extension three.",  # 0 to 3: heard for "wrist extension"
        "Right knee jerk brisk and right knee jerk absent.",  # 4 to 12: a contradiction
        "His grip is poor.",  # 13 to 16: not understood
        "The thumb is C five.",  # 17 to 21: taught, against the tables
    )
    said = " ".join(sentences).split()
    words = tuple(
        Word(text=text, start_s=i / 2, end_s=i / 2 + 0.4, probability=0.9)
        for i, text in enumerate(said)
    )
    evidence = Transcript(words).evidence
    jerk = {"modality": "reflex", "segment": "knee_jerk", "side": "right"}
    whole: dict[str, Any] = {
        "narration": "visit",
        "age_months": None,
        "heard": " ".join(said),
        "corrected": " ".join(said),
        "words": words,
        "findings": (
            Finding(
                modality="power",
                segment="wrist_extension",
                side="left",
                grade="3",
                confidence=0.55,
                evidence=evidence(0, 3),
            ),
            Finding(**jerk, grade="increased", confidence=0.9, evidence=evidence(4, 7)),
            Finding(**jerk, grade="absent", confidence=0.95, evidence=evidence(9, 12)),
        ),
        "claims": (
            Claim(kind="dermatome", subject="thumb", value="C5", evidence=evidence(18, 21)),
        ),
        "corrections": (
            Correction(
                heard="risk",
                became="wrist",
                term="wrist extension",
                score=0.6,
                reason="sounds alike",
                first_word=1,
                last_word=1,
                made=False,
            ),
        ),
        "unresolved": (
            Unresolved(reason="history", evidence=evidence(0, 0)),
            Unresolved(reason="no statement could be read", evidence=evidence(13, 16)),
        ),
    }
    return Record(**{**whole, **facts})


@pytest.fixture
def visit() -> Callable[..., Record]:
    return _visit


@st.composite
def _coherent(draw: st.DrawFn) -> Record:
    """A record as the stages make one: every range lies in the words and says what they say."""
    texts = draw(st.lists(_texts, min_size=1, max_size=14))
    timed = draw(st.booleans())
    words = tuple(
        Word(
            text=text,
            start_s=i / 2 if timed else None,
            end_s=i / 2 + 0.4 if timed else None,
            probability=draw(st.floats(0, 1)) if timed else None,
            new_line=draw(st.booleans()) if not timed else False,
        )
        for i, text in enumerate(texts)
    )
    transcript = Transcript(words)

    def evidence() -> Evidence:
        first, last = sorted(draw(st.tuples(*[st.integers(0, len(words) - 1)] * 2)))
        return transcript.evidence(first, last)

    def correction() -> Correction:
        at = evidence()
        became = " ".join(draw(st.lists(_texts, min_size=1, max_size=3)))
        return Correction(
            heard=at.corrected,
            became=became,
            term=became,
            score=0.5,
            reason="sounds alike",
            first_word=at.first_word,
            last_word=at.last_word,
            made=False,
        )

    findings = draw(st.lists(st.from_type(Finding), max_size=5))
    claims = draw(st.lists(st.from_type(Claim), max_size=2))
    return Record(
        age_months=draw(st.none() | st.integers(0, 1200)),
        heard=transcript.heard,
        corrected=transcript.corrected,
        words=words,
        findings=tuple(f.model_copy(update={"evidence": evidence()}) for f in findings),
        claims=tuple(c.model_copy(update={"evidence": evidence()}) for c in claims),
        corrections=tuple(correction() for _ in range(draw(st.integers(0, 3)))),
        unresolved=tuple(
            Unresolved(reason="no statement could be read", evidence=evidence())
            for _ in range(draw(st.integers(0, 3)))
        ),
    )


KINDS = [
    *("change_finding", "add_finding", "other_side", "reject_finding", "restore_finding"),
    *("confirm_finding", "settle_stretch", "resolve_stretch", "change_claim", "confirm_claim"),
    *("reject_claim", "decide_correction", "change_facts", *["change_words"] * 4),
]


@st.composite
def _edits(draw: st.DrawFn, kinds: Sequence[str] = KINDS) -> Edit:
    """Any edit, for places that small records have, and some that they have not."""
    kind = draw(st.sampled_from(kinds))
    place = draw(st.integers(0, 4))
    return EDIT.validate_python({"kind": kind, **_fields(draw, kind, place)})


def _fields(draw: st.DrawFn, kind: str, place: int) -> dict[str, Any]:
    if kind == "change_words":
        return {**_range(draw), "text": " ".join(draw(st.lists(_texts, max_size=4)))}
    if kind == "decide_correction":
        return {"correction": place, "accept": draw(st.booleans())}
    if kind == "change_facts":
        return {"age_months": draw(st.none() | st.integers(0, 1500))}
    if kind == "restore_finding":
        return {"rejected": place}
    if kind == "settle_stretch":
        return {"unresolved": place}
    if kind == "change_claim":
        value = draw(st.sampled_from(VOCABULARY.levels))
        return {"claim": place, "field": "value", "value": value}
    if kind.endswith("claim"):
        return {"claim": place}
    if kind not in ("change_finding", "add_finding", "resolve_stretch"):
        return {"finding": place}
    codes = draw(st.from_type(Finding)).model_dump(
        include={"modality", "segment", "side", "grade", "status"}
    )
    if kind == "change_finding":
        field = draw(st.sampled_from(list(codes)))
        also = {"also": codes} if draw(st.booleans()) else {}
        return {"finding": place, "field": field, "value": codes[field], **also}
    words = _range(draw) if draw(st.booleans()) else {}
    return {**codes, **words, **({"unresolved": place} if kind == "resolve_stretch" else {})}


def _range(draw: st.DrawFn) -> dict[str, int]:
    first = draw(st.integers(0, 12))
    return {"first_word": first, "last_word": max(first + draw(st.integers(-1, 3)), 0)}


@pytest.fixture(scope="session")
def coherent() -> Callable[[], st.SearchStrategy[Record]]:
    return _coherent


@pytest.fixture(scope="session")
def edits() -> Callable[[], st.SearchStrategy[Edit]]:
    return _edits
