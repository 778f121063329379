"""Valid records for property tests, and a short way to write one down."""

import datetime as dt
from collections.abc import Callable

import pytest
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.pipeline.record import (
    Audio,
    Claim,
    Correction,
    Decided,
    Evidence,
    Finding,
    Origin,
    Record,
    Rejected,
    Settled,
    Signature,
    Unresolved,
    Word,
)

VOCABULARY = load().vocabulary
MakeRecord = Callable[..., Record]

_words = st.text(max_size=12)
_probabilities = st.floats(0, 1)
_seconds = st.none() | st.floats(0, 4000)
_indices = st.integers(0, 50)
_times = st.datetimes(timezones=st.sampled_from([None, dt.UTC]))
_hashes = st.text("0123456789abcdef", min_size=64, max_size=64)


@st.composite
def _evidence(draw: st.DrawFn) -> Evidence:
    first, last = sorted((draw(_indices), draw(_indices)))
    return Evidence(
        heard=draw(_words),
        corrected=draw(_words),
        first_word=first,
        last_word=last,
        start_s=draw(_seconds),
        end_s=draw(_seconds),
    )


@st.composite
def _finding(draw: st.DrawFn) -> Finding:
    modality = draw(st.sampled_from(list(VOCABULARY.modalities)))
    places = [s for s in VOCABULARY.segment_kinds if VOCABULARY.takes(modality, s)]
    status = draw(st.sampled_from(["observed"] * 6 + ["not_examined", "not_assessable"]))
    observed = status == "observed"
    return Finding(
        modality=modality,
        segment=draw(st.sampled_from(places)),
        side=draw(st.sampled_from(["left", "right"] * 4 + ["midline", "none", "unstated"])),
        grade=draw(st.sampled_from(VOCABULARY.grades(modality))) if observed else None,
        status=status,
        certainty=draw(st.sampled_from(["definite", "possible"])),
        confidence=draw(_probabilities),
        evidence=draw(st.none() | _evidence()),
        origin=Origin(
            by=draw(st.sampled_from(["heard", "reviewer"])),
            who=draw(st.none() | _words),
            when=draw(st.none() | _times),
        ),
        rule=draw(st.none() | _words),
        corrections=tuple(draw(st.lists(_indices, max_size=2))),
        note=draw(st.none() | _words),
    )


@st.composite
def _claim(draw: st.DrawFn) -> Claim:
    kinds = {"dermatome": "region", "myotome": "movement", "reflex_root": "reflex"}
    kind = draw(st.sampled_from([*kinds, "grade_meaning"]))
    if kind == "grade_meaning":
        subject = draw(st.sampled_from(list(VOCABULARY.scales)))
        values = VOCABULARY.scales[subject]
    else:
        subject = draw(st.sampled_from(VOCABULARY.segments[kinds[kind]]))
        values = VOCABULARY.levels
    value = draw(st.sampled_from(values))
    return Claim(kind=kind, subject=subject, value=value, evidence=draw(st.none() | _evidence()))


def _tuples(items: st.SearchStrategy, most: int) -> st.SearchStrategy:
    return st.lists(items, max_size=most).map(tuple)


_record = st.builds(
    Record,
    narration=_words,
    age_months=st.none() | st.integers(0, 1200),
    examiner=st.none() | _words,
    date=st.none() | st.dates(),
    audio=st.none()
    | st.builds(
        Audio,
        file=_words,
        sha256=_hashes,
        duration_s=st.floats(0, 4000),
    ),
    model=st.none() | _words,
    lexicon_version=st.none() | _words,
    program_version=st.none() | _words,
    heard=_words,
    corrected=_words,
    words=_tuples(
        st.builds(
            Word,
            text=_words,
            start_s=_seconds,
            end_s=_seconds,
            probability=st.none() | _probabilities,
            heard=st.none() | _words,
            new_line=st.booleans(),
        ),
        3,
    ),
    findings=_tuples(_finding(), 8),
    claims=_tuples(_claim(), 3),
    corrections=_tuples(
        st.builds(
            Correction,
            heard=_words,
            became=_words,
            term=_words,
            score=_probabilities,
            reason=_words,
            first_word=_indices,
            last_word=_indices,
            made=st.booleans(),
            decided=st.none()
            | st.builds(
                Decided,
                who=_words,
                when=_times,
                how=st.sampled_from(["made", "confirmed", "declined", "taken_back", "replaced"]),
            ),
        ),
        2,
    ),
    unresolved=_tuples(
        st.builds(
            Unresolved,
            reason=_words,
            evidence=_evidence(),
            settled=st.none()
            | st.builds(
                Settled, who=_words, when=_times, how=st.sampled_from(["finding", "no_finding"])
            ),
        ),
        2,
    ),
    rejected=_tuples(
        st.builds(Rejected, finding=_finding(), who=_words, when=_times, why=st.none() | _words),
        2,
    ),
    signature=st.none() | st.builds(Signature, who=_words, when=_times, sha256=_hashes),
    amends=st.none() | _hashes,
)

# ``st.from_type(Record)`` and ``st.from_type(Finding)`` give valid ones from here on.
st.register_type_strategy(Record, _record)
st.register_type_strategy(Finding, _finding())
st.register_type_strategy(Claim, _claim())


@pytest.fixture(scope="session")
def make_record() -> MakeRecord:
    """A record from rows "modality segment side grade"; "both" is two findings.

    In the place of a grade, ``not_examined`` and ``not_assessable`` are statuses.
    """

    def made(*rows: str, age_months: int | None = 480, **fields: object) -> Record:
        findings = []
        for row in rows:
            modality, segment, side, grade = row.split()
            is_status = grade in ("not_examined", "not_assessable")
            findings.extend(
                Finding(
                    modality=modality,
                    segment=segment,
                    side=one,
                    grade=None if is_status else grade,
                    status=grade if is_status else "observed",
                )
                for one in (("left", "right") if side == "both" else (side,))
            )
        return Record(age_months=age_months, findings=tuple(findings), **fields)

    return made
