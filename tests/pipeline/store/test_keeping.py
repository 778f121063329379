"""What is kept comes back, nobody overwrites anybody, and an undo is a new version."""

from __future__ import annotations

import datetime as dt
import math
import traceback

import pytest
from hypothesis import HealthCheck, given, settings
from plessor.pipeline.record import Audio, Finding, Record
from plessor.pipeline.review import sign
from plessor.pipeline.store import (
    ConflictError,
    NothingToUndoError,
    Store,
    StoreError,
    UnknownRecordError,
)

WHEN = dt.datetime(2026, 5, 4, 9, 30, tzinfo=dt.UTC)
LATER = WHEN + dt.timedelta(minutes=5)
ADDED = {"who": "Ada Lind", "when": WHEN}
SAVED = {"who": "Bo Falk", "when": LATER, "what": "age"}


def test_store_gives_back_what_was_added(store: Store, exam) -> None:
    stored = store.add(exam(), **ADDED, source="visit-1.json", audio_path="/sound/visit-1.wav")
    assert stored.version == 1
    again = store.load(stored.id)
    assert again == stored
    assert again.record == exam()
    assert again.audio_path == "/sound/visit-1.wav"
    (event,) = store.history(stored.id)
    assert (event.kind, event.who, event.when) == ("add", "Ada Lind", WHEN)
    assert (event.source, event.version, event.record) == ("visit-1.json", 1, stored.id)


def test_store_keeps_every_version(store: Store, exam) -> None:
    first = store.add(exam(), **ADDED)
    changed = exam(age_months=50)
    second = store.save(
        first.id, changed, base_version=1, **SAVED, before="61", after="50", why="born later"
    )
    assert (second.version, second.record) == (2, changed)
    assert store.load(first.id) == second
    assert store.load(first.id, 1).record == exam()
    event = store.history(first.id)[-1]
    assert (event.what, event.before, event.after, event.why) == ("age", "61", "50", "born later")
    assert (event.kind, event.when, event.who) == ("save", LATER, "Bo Falk")


def test_store_outlives_its_process(url: str, exam) -> None:
    with Store.open(url) as store:
        stored = store.add(exam(), **ADDED)
        store.save(stored.id, exam(age_months=9), base_version=1, **SAVED)
    with Store.open(url) as store:
        assert store.load(stored.id).record == exam(age_months=9)
        assert [e.version for e in store.history(stored.id)] == [1, 2]
        assert not store.verify().faults


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(record=...)
def test_store_round_trips_any_record(store: Store, record: Record) -> None:
    stored = store.add(record, **ADDED)
    assert store.load(stored.id).record == store.add(record, **ADDED).record == record
    assert not store.verify().faults


def test_store_lists_records_in_the_order_added(store: Store, exam) -> None:
    ids = [store.add(exam(n), **ADDED).id for n in range(3)]
    store.save(
        ids[0], exam(0, examiner="Ada Lind", date=dt.date(2026, 5, 3)), base_version=1, **SAVED
    )
    listed = store.records()
    assert [s.id for s in listed] == ids
    first = listed[0]
    assert (first.narration, first.version, first.who, first.when) == (
        "visit-0",
        2,
        "Bo Falk",
        LATER,
    )
    assert (first.age_months, first.examiner, first.date) == (60, "Ada Lind", dt.date(2026, 5, 3))
    assert (first.findings, first.state) == (2, "unsigned")


def test_add_same_content_is_the_record_that_is_there(store: Store, exam) -> None:
    stored = store.add(exam(), **ADDED)
    changed = store.save(stored.id, exam(age_months=50), base_version=1, **SAVED)
    again = store.add(exam(), **ADDED, audio_path="/sound/found.wav")
    assert (again.id, again.version, again.record) == (stored.id, 2, changed.record)
    assert store.load(stored.id).audio_path == "/sound/found.wav"
    assert store.add(exam(age_months=50), **ADDED).id == stored.id
    assert len(store.records()) == 1
    assert store.verify().events == 2


def test_save_over_a_newer_version_is_told_and_writes_nothing(store: Store, exam) -> None:
    stored = store.add(exam(), **ADDED)
    mine = store.save(stored.id, exam(age_months=50), base_version=1, **SAVED)
    with pytest.raises(ConflictError, match="version 2") as caught:
        store.save(stored.id, exam(age_months=70), base_version=1, **SAVED)
    assert caught.value.current == mine
    with pytest.raises(ConflictError):
        store.undo(stored.id, base_version=1, **ADDED)
    with pytest.raises(ConflictError):
        store.save(stored.id, exam(age_months=70), base_version=3, **SAVED)
    assert store.load(stored.id) == mine
    assert store.verify().events == 2


def test_undo_goes_back_one_change_after_the_other(store: Store, exam) -> None:
    id = store.add(exam(), **ADDED).id
    store.save(id, exam(age_months=50), base_version=1, **SAVED, before="61", after="50")
    store.save(id, exam(age_months=40), base_version=2, **SAVED, before="50", after="40")
    once = store.undo(id, base_version=3, **ADDED)
    assert (once.version, once.record.age_months) == (4, 50)
    twice = store.undo(id, base_version=4, **ADDED)
    assert (twice.version, twice.record) == (5, exam())
    with pytest.raises(NothingToUndoError, match="no change left to undo"):
        store.undo(id, base_version=5, **ADDED)
    last = store.history(id)[-1]
    assert (last.kind, last.undoes, last.before, last.after) == ("undo", 2, "50", "61")
    assert store.load(id, 3).record.age_months == 40
    assert not store.verify().faults


def test_undo_takes_a_change_made_after_an_undo_first(store: Store, exam) -> None:
    id = store.add(exam(), **ADDED).id
    store.save(id, exam(age_months=50), base_version=1, **SAVED)
    store.save(id, exam(age_months=40), base_version=2, **SAVED)
    store.undo(id, base_version=3, **ADDED)
    store.save(id, exam(age_months=30), base_version=4, **SAVED)
    ages = []
    for version in (5, 6):
        ages.append(store.undo(id, base_version=version, **ADDED).record.age_months)
    assert ages == [50, 61]


def test_undo_after_a_signature_amends_what_was_signed(store: Store, exam) -> None:
    id = store.add(exam(), **ADDED).id
    store.save(id, exam(age_months=50), base_version=1, **SAVED)
    signed = sign(exam(age_months=50), who="Bo Falk", when=LATER)
    store.save(id, signed, base_version=2, who="Bo Falk", when=LATER, what="sign")
    assert store.records()[0].state == "signed"
    first = store.undo(id, base_version=3, **ADDED).record
    assert (first.signature, first.age_months) == (None, 50)
    second = store.undo(id, base_version=4, **ADDED).record
    assert (second.signature, second.age_months) == (None, 61)
    assert first.amends == second.amends == signed.signature.sha256
    assert store.records()[0].state == "unsigned"
    assert store.load(id, 3).record == signed
    assert not store.verify().faults


def test_undo_of_an_amendment_lets_the_signed_version_stand(store: Store, exam) -> None:
    signed = sign(exam(), who="Bo Falk", when=LATER)
    id = store.add(signed, **ADDED).id
    amendment = exam(age_months=50, amends=signed.signature.sha256)
    store.save(id, amendment, base_version=1, **SAVED)
    assert store.undo(id, base_version=2, **ADDED).record == signed
    assert store.records()[0].state == "signed"


def test_list_tells_a_record_that_was_altered_after_it_was_signed(store: Store, exam) -> None:
    signed = sign(exam(), who="Bo Falk", when=LATER)
    store.add(signed.model_copy(update={"age_months": 9}), **ADDED)
    assert store.records()[0].state == "altered"


def test_store_knows_no_other_record(store: Store, exam) -> None:
    stored = store.add(exam(), **ADDED)
    for strange in ("", "nobody", "x" * 999, "\0", "'; DROP TABLE events; --", "0" * 32):
        for deed in (store.load, store.history):
            with pytest.raises(UnknownRecordError, match="there is no"):
                deed(strange)
        with pytest.raises(UnknownRecordError):
            store.save(strange, exam(), base_version=1, **SAVED)
    for version in (0, 2, -1, 10**30):
        with pytest.raises(UnknownRecordError, match="there is no version"):
            store.load(stored.id, version)


def test_store_wants_a_name_for_each_change(store: Store, exam) -> None:
    with pytest.raises(StoreError, match="say who"):
        store.add(exam(), who=" ", when=WHEN)
    assert store.records() == []
    assert store.verify().events == 0


def test_store_refuses_what_would_not_come_back(store: Store, exam) -> None:
    sound = Audio(file="a.wav", sha256="0" * 64, duration_s=math.inf)
    with pytest.raises(StoreError, match="cannot keep"):
        store.add(exam(audio=sound), **ADDED)
    assert store.records() == []


def test_store_takes_text_that_databases_do_not(store: Store) -> None:
    record = Record(narration="a\0b", examiner="\0")
    stored = store.add(record, who="A\0", when=WHEN, source="\0.json")
    store.save(stored.id, record, base_version=1, who="Ö", when=WHEN, what="é\0", before="\ud800")
    assert store.load(stored.id).record == record
    assert store.records()[0].narration == "a\ufffdb"
    assert store.history(stored.id)[1].before == "?"
    assert not store.verify().faults


def test_store_keeps_times_in_utc(store: Store, exam) -> None:
    zone = dt.timezone(dt.timedelta(hours=5, minutes=30))
    stored = store.add(exam(), who="Ada Lind", when=WHEN.astimezone(zone))
    event = store.history(stored.id)[0]
    assert event.when == WHEN
    assert event.when.utcoffset() == dt.timedelta(0)


def test_store_errors_do_not_quote_the_record(store: Store, exam) -> None:
    secret = Finding(
        modality="power", segment="grip", side="left", grade="3", note="said zebrafish"
    )
    stored = store.add(exam(findings=(secret,), narration="zebrafish"), **ADDED)
    store.save(stored.id, exam(), base_version=1, **SAVED)
    with pytest.raises(ConflictError) as conflict:
        store.save(stored.id, exam(), base_version=1, **SAVED)
    infinite = Audio(file="zebrafish", sha256="0" * 64, duration_s=math.inf)
    with pytest.raises(StoreError) as refused:
        store.add(exam(audio=infinite), **ADDED)
    for error in (conflict, refused):
        told = "".join(traceback.format_exception(error.value))
        assert "zebrafish" not in told
