"""What a change does besides being saved: sent again it is saved once, and its words teach."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from plessor.pipeline.correct import read_personal
from plessor.pipeline.record import Record
from plessor.pipeline.transcript import from_text

OTHER_SIDE = {"kind": "change_finding", "finding": 0, "field": "side", "value": "right"}
GRADE_4 = {"kind": "change_finding", "finding": 0, "field": "grade", "value": "4"}


def _changes(session, id: str, version: int, who: str):
    """Each kind of change of one version, as the page sends it."""
    body = {"version": version, "who": who}
    yield lambda: session.edit(id, version, OTHER_SIDE, who=who)
    yield lambda: session.post(f"/api/records/{id}/sign", body)
    yield lambda: session.post(f"/api/records/{id}/undo", body)


def test_a_change_whose_answer_was_lost_can_be_sent_again(session, store, add, a_record) -> None:
    for number in range(3):
        id = add(a_record(f"visit-{number}"))
        session.edit(id, 1, GRADE_4)
        change = list(_changes(session, id, 2, "A. Reviewer"))[number]
        answers = [change() for _ in range(3)]
        assert [a.status_code for a in answers] == [200] * 3
        assert answers[0].json() == answers[1].json() == answers[2].json()
        assert store.load(id).version == 3  # saved once
        others = list(_changes(session, id, 2, "Somebody else"))
        assert [other().status_code for other in others] == [409] * 3
        rest = [c for n, c in enumerate(_changes(session, id, 2, "A. Reviewer")) if n != number]
        assert [other().status_code for other in rest] == [409] * 2
    assert session.edit(id, 1, GRADE_4).status_code == 409  # undone since: it does not stand


def test_a_change_of_an_older_version_is_never_taken_for_one_sent_again(session, add) -> None:
    id = add()
    session.edit(id, 1, GRADE_4)
    session.edit(id, 2, OTHER_SIDE)
    assert session.post(f"/api/records/{id}/undo", {"version": 3, "who": "A. Reviewer"}).is_success
    for version in (1, 2):
        body = {"version": version, "who": "A. Reviewer"}
        assert session.post(f"/api/records/{id}/undo", body).status_code == 409
        assert session.edit(id, version, GRADE_4).status_code == 409
    session.edit(id, 4, OTHER_SIDE)
    session.edit(id, 5, {**OTHER_SIDE, "value": "left"})
    assert session.edit(id, 4, {**OTHER_SIDE, "value": "left"}).status_code == 409


def test_the_same_change_at_once_is_saved_once(session, store, add) -> None:
    id = add()
    together = threading.Barrier(8)

    def send(_: int):
        together.wait()
        return session.edit(id, 1, GRADE_4)

    with ThreadPoolExecutor(8) as threads:
        answers = list(threads.map(send, range(8)))
    assert {(a.status_code, a.json()["version"]) for a in answers} == {(200, 2)}
    assert store.load(id).version == 2


def test_no_change_is_left_to_undo(session, add) -> None:
    answer = session.post(f"/api/records/{add()}/undo", {"version": 1, "who": "A. Reviewer"})
    assert answer.status_code == 422
    assert "no change left" in answer.json()["message"]


MISHEARD = {"kind": "change_words", "first_word": 2, "last_word": 3, "text": "biceps jerk"}


@pytest.fixture
def misheard(add) -> str:
    """A record in which the biceps jerk was misheard; the words are invented."""
    said = from_text("The left fleecy ox is brisk.")
    return add(Record(heard=said.heard, corrected=said.corrected, words=said.words))


def _teach(session, id: str, version: int, edit: dict):
    body = {"version": version, "who": "A. Reviewer", "edit": edit, "teach": True}
    return session.post(f"/api/records/{id}/edits", body)


def test_changed_words_are_kept_in_the_personal_lexicon_when_asked(
    session, misheard, personal
) -> None:
    assert "taught" not in session.edit(misheard, 1, MISHEARD).json()
    assert not personal.exists()
    for _ in range(2):  # sent again, as after a lost answer
        answer = _teach(session, misheard, 1, MISHEARD)
        assert answer.status_code == 200
        assert answer.json()["version"] == 2
        taught = answer.json()["taught"]
        assert (taught["kept"], taught["why"]) == (True, None)
        assert taught["heard"] == "fleecy ox"
        assert taught["means"] == "biceps jerk"
        assert read_personal(personal).variants
    view = session.get(f"/api/records/{misheard}").json()
    assert {**view, "taught": taught} == answer.json()


def test_what_cannot_be_kept_is_told_and_the_edit_is_saved(session, misheard, personal) -> None:
    ordinary = {**MISHEARD, "first_word": 0, "last_word": 0, "text": "biceps"}
    answer = _teach(session, misheard, 1, ordinary)
    assert (answer.status_code, answer.json()["version"]) == (200, 2)
    assert answer.json()["taught"]["kept"] is False
    assert answer.json()["taught"]["why"]
    personal.mkdir(parents=True)  # no file can be written there
    answer = _teach(session, misheard, 2, MISHEARD)
    assert (answer.status_code, answer.json()["version"]) == (200, 3)
    assert answer.json()["taught"]["kept"] is False
    assert str(personal) in answer.json()["taught"]["why"]


def test_only_changed_words_teach(session, store, add, personal) -> None:
    id = add()
    answer = _teach(session, id, 1, GRADE_4)
    assert answer.status_code == 422
    assert "teach" in answer.json()["message"]
    assert store.load(id).version == 1


def test_changed_words_suggest_what_they_say_now(session, misheard) -> None:
    assert session.get(f"/api/records/{misheard}/suggestions").json() == {"findings": []}
    session.edit(misheard, 1, MISHEARD)
    (found,) = session.get(f"/api/records/{misheard}/suggestions").json()["findings"]
    codes = ("modality", "segment", "side", "grade", "status")
    assert [found[code] for code in codes] == [
        "reflex",
        "biceps_jerk",
        "left",
        "increased",
        "observed",
    ]
    assert "left" in found["label"]
    evidence = found["evidence"]
    assert evidence["first_word"] <= 2 and evidence["last_word"] >= 3
    added = {code: found[code] for code in (*codes, "certainty")}
    words = {"first_word": evidence["first_word"], "last_word": evidence["last_word"]}
    view = session.edit(misheard, 2, {"kind": "add_finding", **added, **words})
    assert view.status_code == 200
    assert view.json()["record"]["findings"][0]["evidence"] == evidence
    assert session.get(f"/api/records/{misheard}/suggestions").json() == {"findings": []}
