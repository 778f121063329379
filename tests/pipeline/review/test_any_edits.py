"""Whatever a reviewer does, in whatever order: what must hold of the record afterwards."""

from __future__ import annotations

import datetime as dt

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Evidence, Record
from plessor.pipeline.review import (
    ChangeWords,
    Edit,
    EditError,
    OtherSide,
    RejectFinding,
    RestoreFinding,
    apply,
    attention,
    describe,
    sign,
    state,
)
from plessor.pipeline.transcript import Transcript

MANY = settings(
    max_examples=80,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.function_scoped_fixture,
    ],
)
FEW = settings(MANY, max_examples=30)
WHEN = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)


def applied(record: Record, edit: Edit) -> Record | None:
    """The record after ``edit``; None when it was refused, and then the record is untouched."""
    before = record.model_dump_json()
    try:
        after = apply(record, edit, who="A. Reader", when=WHEN)
    except EditError as error:
        after = None
        said = str(error)
        assert said.endswith(".") and "\n" not in said and said[:1].isupper()
    assert record.model_dump_json() == before
    return after


def evidences(record: Record) -> list[Evidence]:
    found = [
        *(f.evidence for f in record.findings),
        *(c.evidence for c in record.claims),
        *(u.evidence for u in record.unresolved),
        *(r.finding.evidence for r in record.rejected),
    ]
    return [e for e in found if e is not None]


def require_sound(record: Record) -> None:
    """Valid, and every range lies in the words and says what they say."""
    assert Record.model_validate_json(record.model_dump_json()) == record
    transcript = Transcript(record.words)
    assert record.corrected == transcript.corrected
    assert transcript.heard.split() == record.heard.split()
    for evidence in evidences(record):
        assert 0 <= evidence.first_word <= evidence.last_word < len(record.words)
        wanted = transcript.evidence(evidence.first_word, evidence.last_word)
        assert (evidence.heard, evidence.corrected) == (wanted.heard, wanted.corrected)
        assert (evidence.start_s, evidence.end_s) == (wanted.start_s, wanted.end_s)
    for correction in record.corrections:
        assert 0 <= correction.first_word <= correction.last_word < len(record.words)


@MANY
@given(st.data())
def test_any_sequence_of_edits_gives_a_sound_record_or_a_sentence(coherent, edits, data) -> None:
    record = data.draw(coherent())
    require_sound(record)
    for _ in range(6):
        edit = data.draw(edits())
        after = applied(record, edit)
        if after is None:
            continue
        change = describe(record, edit)
        assert change.what.startswith(edit.kind.replace("_", " "))
        assert all(isinstance(t, str) for t in (change.before, change.after))
        require_sound(after)
        record = after


@MANY
@given(st.data())
def test_no_record_however_odd_makes_an_edit_fail_otherwise(edits, data) -> None:
    """Records from elsewhere may have ranges without words; nothing but a sentence may follow."""
    record = data.draw(st.from_type(Record)).model_copy(update={"signature": None})
    for _ in range(3):
        after = applied(record, data.draw(edits()))
        if after is not None:
            assert Record.model_validate_json(after.model_dump_json()) == after
            record = after


@MANY
@given(st.data())
def test_evidence_never_loses_what_was_heard(coherent, edits, data) -> None:
    record = data.draw(coherent())
    at_first = [e.heard for e in evidences(record.model_copy(update={"rejected": ()}))]
    for _ in range(5):
        edit = data.draw(edits(["change_words", "change_words", "decide_correction"]))
        record = applied(record, edit) or record
    for before, after in zip(at_first, evidences(record), strict=True):
        assert f" {before} " in f" {after.heard} "


@MANY
@given(st.data())
def test_words_that_an_edit_changes_keep_what_was_heard(coherent, data) -> None:
    record = data.draw(coherent())
    first = data.draw(st.integers(0, len(record.words) - 1))
    last = data.draw(st.integers(first, len(record.words) - 1))
    text = data.draw(st.lists(st.sampled_from(["xylo", "yew", "zest"]), min_size=1, max_size=5))
    edit = ChangeWords(first_word=first, last_word=last, text=" ".join(text))
    after = applied(record, edit)
    assert after is not None
    texts = [w.text for w in record.words]
    assert [w.text for w in after.words] == [*texts[:first], *text, *texts[last + 1 :]]
    assert after.heard == record.heard
    changed = after.words[first : first + len(text)]
    heard = [w.heard for w in changed]
    if len(text) == last - first + 1:
        assert heard == texts[first : last + 1]
    else:
        assert heard == [" ".join(texts[first : last + 1]), *[""] * (len(text) - 1)]
    # and back again: the words are as they were heard
    back = ChangeWords(
        first_word=first,
        last_word=first + len(text) - 1,
        text=" ".join(texts[first : last + 1]),
    )
    again = applied(after, back)
    assert again is not None
    assert [(w.text, w.heard) for w in again.words] == [(t, None) for t in texts]
    for before, now in zip(evidences(record), evidences(again), strict=True):
        assert now.first_word <= before.first_word and now.last_word >= before.last_word


@MANY
@given(st.data())
def test_both_sides_is_two_findings(coherent, data) -> None:
    record = data.draw(coherent())
    sided = [i for i, f in enumerate(record.findings) if f.side in ("left", "right")]
    assume(sided)
    place = data.draw(st.sampled_from(sided))
    after = applied(record, OtherSide(finding=place))
    finding = record.findings[place]
    mirrored = finding.model_copy(update={"side": {"left": "right", "right": "left"}[finding.side]})
    if after is None:  # it is there already
        assert any(
            (f.key, f.grade, f.status) == (mirrored.key, mirrored.grade, mirrored.status)
            for f in record.findings
        )
        return
    assert after.findings[:-1] == record.findings
    new = after.findings[-1]
    same = {"origin", "confidence"}
    assert new.model_dump(exclude=same) == mirrored.model_dump(exclude=same)
    assert (new.confidence, new.origin.who, new.origin.when) == (1.0, "A. Reader", WHEN)


@MANY
@given(st.data())
def test_reject_and_restore_change_nothing_but_the_order(coherent, data) -> None:
    record = data.draw(coherent())
    assume(record.findings)
    place = data.draw(st.integers(0, len(record.findings) - 1))
    rejected = applied(record, RejectFinding(finding=place, why="never said"))
    assert rejected is not None and len(rejected.findings) == len(record.findings) - 1
    assert rejected.rejected[-1].finding == record.findings[place]
    restored = applied(rejected, RestoreFinding(rejected=len(rejected.rejected) - 1))
    assert restored is not None
    in_order = [*record.findings[:place], *record.findings[place + 1 :], record.findings[place]]
    assert restored == record.model_copy(update={"findings": tuple(in_order)})


@MANY
@given(st.data())
def test_an_edit_of_a_signed_record_is_an_unsigned_amendment(coherent, edits, data) -> None:
    record = data.draw(coherent())
    signed = sign(record, who="A. Reader", when=WHEN)
    edit = data.draw(edits())
    plain, amended = applied(record, edit), applied(signed, edit)
    assert (plain is None) == (amended is None)
    if plain is None or amended is None or signed.signature is None:
        return
    assert state(amended) == "unsigned"
    assert amended == plain.model_copy(update={"amends": signed.signature.sha256})
    # the signature does not hold for what it has become
    assert state(amended.model_copy(update={"signature": signed.signature})) == "altered"
    again = sign(amended, who="A. Reader", when=WHEN)
    assert state(again) == "signed" and again.amends == signed.signature.sha256


@FEW
@given(st.data())
def test_what_is_to_be_checked_points_into_the_record(coherent, edits, data) -> None:
    record = data.draw(coherent())
    for _ in range(2):
        record = applied(record, data.draw(edits())) or record
    items = attention(record, interpret(record))
    assert len(set(items)) == len(items)
    for item in items:
        named = [
            (record.findings, item.finding),
            (record.unresolved, item.unresolved),
            (record.corrections, item.correction),
            (record.claims, item.claim),
        ]
        places = [(where, place) for where, place in named if place is not None]
        assert len(places) == (0 if item.kind == "missing_age" else 1)
        assert all(0 <= place < len(where) for where, place in places)
        if item.first_word is not None and item.last_word is not None:
            assert 0 <= item.first_word <= item.last_word < len(record.words)
    findings = [item.finding for item in items if item.finding is not None]
    assert len(findings) == len(set(findings)), "a finding is to be checked once"
