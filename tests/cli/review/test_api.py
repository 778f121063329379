"""The API: what it answers, what it refuses, and that nothing is lost on the way."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from email.message import Message

import pytest
from plessor.lexicon import load
from plessor.lexicon.rules import load_rules
from plessor.pipeline.formats import FORMATS
from plessor.pipeline.record import Record
from plessor.pipeline.store import Store
from sqlalchemy import Engine, event

SCRIPT = "<script>alert(1)</script>"
OTHER_SIDE = {"kind": "change_finding", "finding": 0, "field": "side", "value": "right"}
GRADE_4 = {"kind": "change_finding", "finding": 0, "field": "grade", "value": "4"}
REJECT = {"kind": "reject_finding", "finding": 1, "why": "never said"}


def test_setup_offers_the_codes_of_the_vocabulary_and_no_other(session) -> None:
    answer = session.get("/api/setup").json()
    codes = answer["vocabulary"]
    vocabulary = load().vocabulary
    assert codes["order"] == list(vocabulary.modalities)
    for code, modality in codes["modalities"].items():
        assert [g["code"] for g in modality["grades"]] == list(vocabulary.grades(code))
        assert modality["segments"]
        assert all(vocabulary.takes(code, segment) for segment in modality["segments"])
        every = {s for s in vocabulary.segment_kinds if vocabulary.takes(code, s)}
        assert set(modality["segments"]) == every
        assert set(modality["segments"]) <= set(codes["segments"])
    assert "both" not in codes["sides"]
    assert set(codes["statuses"]) == set(vocabulary.statuses)


def test_a_view_holds_all_that_the_page_shows(session, add, a_record) -> None:
    id = add()
    view = session.get(f"/api/records/{id}").json()
    assert (view["id"], view["version"], view["state"]) == (id, 1, "unsigned")
    assert Record.model_validate(view["record"]) == a_record()
    assert view["signature"] is None
    assert view["has_audio"] is False
    assert view["outline"].startswith("<svg")
    assert view["caution"] == load_rules().standing
    assert {"sentences", "comparisons", "sites", "next_tests", "cautions", "coverage"} <= set(
        view["interpretation"]
    )
    assert any(item["finding"] == 0 for item in view["attention"])  # confidence 0.6


def test_a_view_puts_findings_side_by_side_in_the_order_of_an_examination(
    session, add, a_record
) -> None:
    power = a_record().findings
    gait = {"modality": "gait", "segment": "none", "side": "none", "grade": "ataxic"}
    tone = {"modality": "tone", "segment": "elbow", "side": "left", "grade": "increased"}
    record = Record.model_validate(
        {**a_record().model_dump(), "findings": [gait, *(f.model_dump() for f in power), tone]}
    )
    groups = session.get(f"/api/records/{add(record)}").json()["groups"]
    order = list(load().vocabulary.modalities)
    assert [g["modality"] for g in groups] == ["tone", "power", "gait"]
    assert sorted(order.index(g["modality"]) for g in groups) == [
        order.index(g["modality"]) for g in groups
    ]
    (row,) = groups[1]["rows"]
    assert (row["segment"], row["left"], row["right"], row["midline"]) == (
        "wrist_extension",
        [1],
        [2],
        [],
    )
    assert groups[2]["rows"][0]["midline"] == [0]


def test_an_edit_is_saved_and_the_interpretation_follows(session, store, add) -> None:
    id = add()
    before = session.get(f"/api/records/{id}").json()
    answer = session.edit(id, 1, {**GRADE_4, "value": "5"})
    assert answer.status_code == 200
    view = answer.json()
    assert view["version"] == 2
    finding = view["record"]["findings"][0]
    assert (finding["grade"], finding["confidence"]) == ("5", 1.0)
    assert finding["origin"]["by"] == "reviewer"
    assert finding["origin"]["who"] == "A. Reviewer"
    assert view["interpretation"] != before["interpretation"]
    assert view["outline"] != before["outline"]
    assert store.load(id).record.findings[0].grade == "5"
    assert store.load(id, 1).record.findings[0].grade == "3"
    assert session.get(f"/api/records/{id}").json() == view


def test_undo_gives_back_what_was(session, add) -> None:
    id = add()
    before = session.get(f"/api/records/{id}").json()
    session.edit(id, 1, REJECT)
    body = {"version": 2, "who": "A. Reviewer"}
    view = session.post(f"/api/records/{id}/undo", body).json()
    assert view["version"] == 3
    assert view["record"]["findings"] == before["record"]["findings"]
    assert view["record"]["rejected"] == []


def test_signing_freezes_and_a_later_change_amends(session, add) -> None:
    id = add()
    body = {"version": 1, "who": "A. Reviewer"}
    signed = session.post(f"/api/records/{id}/sign", body).json()
    assert signed["state"] == "signed"
    assert signed["signature"]["who"] == "A. Reviewer"
    amended = session.edit(id, 2, GRADE_4).json()
    assert amended["state"] == "unsigned"
    assert amended["record"]["amends"] == signed["signature"]["sha256"]


def test_the_second_of_two_reviewers_is_told_and_overwrites_nothing(session, store, add) -> None:
    id = add()
    assert session.edit(id, 1, GRADE_4, who="First").status_code == 200
    undo = {"version": 1, "who": "Second"}
    for answer in (
        session.edit(id, 1, OTHER_SIDE, who="Second"),
        session.post(f"/api/records/{id}/undo", undo),
        session.post(f"/api/records/{id}/sign", undo),
    ):
        assert answer.status_code == 409
        assert answer.json()["message"].startswith("Somebody else has changed this record")
        assert answer.json()["view"]["version"] == 2
        assert answer.json()["view"]["record"]["findings"][0]["grade"] == "4"
    assert store.load(id).version == 2


def test_history_tells_who_did_what(session, add) -> None:
    id = add()
    session.edit(id, 1, REJECT)
    history = session.get(f"/api/records/{id}/history").json()
    assert [event["version"] for event in history] == [1, 2]
    assert history[1]["who"] == "A. Reviewer"
    assert history[1]["why"] == "never said"


def test_the_list_counts_what_wants_attention(session, add, a_record) -> None:
    ids = {add(a_record(f"visit-{n}")) for n in range(3)}
    rows = session.get("/api/records").json()
    assert {row["id"] for row in rows} == ids
    for row in rows:
        view = session.get(f"/api/records/{row['id']}").json()
        assert row["attention"] == len(view["attention"]) > 0
        assert (row["findings"], row["state"], row["age_months"]) == (2, "unsigned", 90)


def test_no_records_give_an_empty_list(session) -> None:
    assert session.get("/api/records").json() == []


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        ({**GRADE_4, "value": "brisk"}, "grade"),
        ({**GRADE_4, "finding": 99}, "99|finding"),
        ({**GRADE_4, "finding": -1}, "finding"),
        ({**GRADE_4, "field": "origin"}, "field"),
        ({"kind": "drop_table"}, "kind"),
        ({"kind": "reject_finding"}, "finding"),
        ({}, "edit"),
        ([], "edit"),
        ({**GRADE_4, "more": 1}, "more"),
    ],
)
def test_an_edit_that_is_not_valid_is_told_in_a_sentence(session, store, add, edit, said) -> None:
    id = add()
    answer = session.edit(id, 1, edit)
    assert answer.status_code == 422
    assert list(answer.json()) == ["message"]
    assert re.search(said, answer.json()["message"])
    assert answer.json()["message"].endswith(".")
    assert store.load(id).version == 1


@pytest.mark.parametrize("who", ["", "   ", "x" * 201, "A\nB", "A\x00", "A\u2028B", 7, None])
def test_a_change_needs_somebody_who_made_it(session, add, who) -> None:
    assert session.edit(add(), 1, GRADE_4, who=who).status_code == 422


NOT_JSON = [b"", b"{", b"\xff\xfe", b"[" * 100_000, b'{"version": NaN}', b"null", b'"x"']


@pytest.mark.parametrize("content", NOT_JSON)
@pytest.mark.parametrize("path", ["/api/records", "/api/records/{id}/edits"])
def test_what_is_not_json_is_told_in_a_sentence(session, add, path, content) -> None:
    headers = {"origin": "http://127.0.0.1:8912", "content-type": "application/json"}
    answer = session.client.post(path.format(id=add()), content=content, headers=headers)
    assert answer.status_code in (400, 422)
    assert list(answer.json()) == ["message"]


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ([], "holds 0 records"),
        ({"findings": [{"modality": "powr"}]}, "findings"),
        ({"nonsense": 1}, "unknown key “nonsense”"),
        ({"age_months": -1}, "age_months"),
        ("text", "record"),
    ],
)
def test_an_upload_that_is_no_record_is_told_in_a_sentence(session, store, sent, said) -> None:
    answer = session.post("/api/records", sent)
    assert answer.status_code == 422
    assert said in answer.json()["message"]
    assert store.records() == []


_SUM = f'"sha256": "{"0" * 64}"'
ODD = {
    b'{"audio": {"file": "a", %s, "duration_s": 1e999}}' % _SUM.encode(): "out of all bounds",
    b'{"audio": {"file": "a", %s, "duration_s": Infinity}}' % _SUM.encode(): "out of all bounds",
    b'{"words": [{"text": "a", "probability": NaN}]}': "out of all bounds",
    b'{"age_months": ' + b"9" * 5_000 + b"}": "out of all bounds",
    b'{"narration": "\\ud800"}': "half of a character",
    b'{"examiner": "\\uDC00x"}': "half of a character",
}


@pytest.mark.parametrize("content", ODD)
def test_an_upload_that_could_not_be_kept_is_refused(session, store, content) -> None:
    headers = {"origin": "http://127.0.0.1:8912", "content-type": "application/json"}
    answer = session.client.post("/api/records", content=content, headers=headers)
    assert answer.status_code == 422
    assert ODD[content] in answer.json()["message"]
    assert store.records() == []


@pytest.mark.parametrize("narration", ["\0", "\u202egpj.exe", "😀", "a\u0085b"])
def test_odd_characters_come_back_as_they_went(session, add, a_record, narration) -> None:
    id = add(a_record(narration, examiner=narration))
    assert session.get(f"/api/records/{id}").json()["record"]["narration"] == narration
    assert session.edit(id, 1, GRADE_4).json()["record"]["examiner"] == narration
    for format in FORMATS:
        answer = session.get(f"/api/records/{id}/export/{format}")
        assert answer.status_code == 200, (format, answer.text[:200])


def test_an_upload_is_added_once(session, a_record) -> None:
    sent = json.loads(a_record().model_dump_json())
    first, second = (session.post("/api/records", sent).json() for _ in range(2))
    assert first == second
    assert len(session.get("/api/records").json()) == 1


def test_an_upload_cannot_point_at_files_of_this_machine(session, tmp_path, a_record) -> None:
    secret = tmp_path.parent / "secret.wav"
    secret.write_bytes(b"private")
    for file in (str(secret), "../secret.wav", "..\\secret.wav", "..", ".", "/", "secret.wav"):
        sent = json.loads(a_record(narration=file).model_dump_json())
        sent["audio"] = {"file": file, "sha256": "0" * 64, "duration_s": 4}
        view = session.post("/api/records", sent).json()
        assert view["has_audio"] is False
        clip = session.get(f"/api/records/{view['id']}/clip?start_s=0&end_s=1")
        assert clip.status_code == 422


def test_script_in_a_transcript_stays_text(session, a_record) -> None:
    record = a_record(narration=SCRIPT, heard=SCRIPT, corrected=SCRIPT, examiner=SCRIPT)
    sent = json.loads(record.model_dump_json())
    sent["findings"][0]["note"] = SCRIPT
    sent["findings"][0]["evidence"]["heard"] = SCRIPT
    answer = session.post("/api/records", sent)
    assert answer.headers["content-type"] == "application/json"
    assert answer.headers["x-content-type-options"] == "nosniff"
    view = answer.json()
    assert view["record"]["narration"] == SCRIPT
    assert "<script" not in view["outline"]
    page = session.get(f"/api/records/{view['id']}/export/html")
    assert "<script" not in page.text
    assert "sandbox" in page.headers["content-security-policy"]


@pytest.mark.parametrize(
    "narration",
    [
        SCRIPT,
        "../../etc/passwd",
        'x"; filename="evil.exe',
        "a\r\nset-cookie: x=1",
        "C:\\visit.wav",
        "Größe – 検査",
        "",
        ".htaccess",
        "x" * 500,
    ],
)
def test_an_export_is_a_download_with_a_safe_name(session, add, a_record, narration) -> None:
    id = add(a_record(narration))
    answer = session.get(f"/api/records/{id}/export/json")
    assert answer.status_code == 200
    assert "set-cookie" not in answer.headers
    parsed = Message()  # RFC 6266, read by the standard library
    parsed["content-disposition"] = answer.headers["content-disposition"]
    assert parsed.get_content_disposition() == "attachment"
    for name in (parsed.get_filename(), parsed.get_param("filename", header="content-disposition")):
        name = name[2] if isinstance(name, tuple) else name
        assert name.endswith(".json")
        assert not set(name) & set('/\\":;<>\r\n\0')
        assert not name.startswith(".")
        assert len(name) < 120


@pytest.mark.parametrize("format", [*FORMATS])
def test_every_format_can_be_had(session, add, format) -> None:
    answer = session.get(f"/api/records/{add()}/export/{format}")
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(FORMATS[format].media_type)
    assert len(answer.content) > 100


def test_the_page_and_its_files_are_served_as_what_they_are(session) -> None:
    page = session.get("/")
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert not re.search(r"<style|<script(?![^>]*\ssrc=)|\son\w+=|\sstyle=|https?:", page.text)
    files = re.findall(r'(?:src|href)="/?(static/[^"]+)"', page.text)
    assert files
    for file in files:
        kind = {"js": "text/javascript", "css": "text/css"}[file.rpartition(".")[2]]
        answer = session.get(f"/{file}")
        assert answer.status_code == 200
        assert answer.headers["content-type"] == f"{kind}; charset=utf-8"


TRAVERSALS = ["../app.py", "..%2fapp.py", "%2e%2e/app.py", "/etc/passwd", "..\\app.py", "x%00.js"]


@pytest.mark.parametrize("path", TRAVERSALS)
@pytest.mark.parametrize("below", ["/static/", "/api/records/", "/api/records/{id}/export/"])
def test_no_address_leads_out(session, add, below, path) -> None:
    answer = session.get(below.format(id=add()) + path)
    assert answer.status_code in (404, 422)
    assert list(answer.json()) == ["message"]
    assert "root:" not in answer.text


@pytest.mark.parametrize("id", ["nothing", "0", "-1", "1' OR '1'='1", "%00", "x" * 5_000])
@pytest.mark.parametrize(
    "below", ["", "/history", "/suggestions", "/export/json", "/clip?start_s=0&end_s=1"]
)
def test_a_record_that_is_not_there_is_told(session, add, id, below) -> None:
    add()
    answer = session.get(f"/api/records/{id}{below}")
    assert answer.status_code == 404
    assert list(answer.json()) == ["message"]


def test_the_sound_of_a_finding_is_heard(session, add, a_record, write_sound, sound_of) -> None:
    path = write_sound("visit.wav", seconds=4.0)
    id = add(a_record(audio=sound_of(path)), path)
    view = session.get(f"/api/records/{id}").json()
    assert view["has_audio"] is True
    answer = session.get(f"/api/records/{id}/clip", params={"start_s": 1.0, "end_s": 2.0})
    assert answer.headers["content-type"] == "audio/wav"
    assert answer.content[:4] == b"RIFF"
    assert len(answer.content) == 44 + 2 * 2 * 16_000  # 2 s of 16 bits
    path.write_bytes(path.read_bytes()[:-2] + b"zz")
    answer = session.get(f"/api/records/{id}/clip", params={"start_s": 1.0, "end_s": 2.0})
    assert answer.status_code == 422
    assert "SHA-256 differs" in answer.json()["message"]
    assert str(path.parent) not in answer.text


def test_a_recording_that_is_found_later_can_be_heard(
    session, add, a_record, write_sound, sound_of
) -> None:
    path = write_sound("visit.wav", seconds=4.0)
    record = a_record(audio=sound_of(path))
    id = add(record)
    assert session.get(f"/api/records/{id}").json()["has_audio"] is False
    assert add(record, path) == id
    assert session.get(f"/api/records/{id}").json()["has_audio"] is True


@pytest.mark.parametrize("query", ["", "start_s=1", "start_s=nan&end_s=2", "start_s=-1&end_s=2"])
def test_a_clip_needs_its_seconds(session, add, query) -> None:
    answer = session.get(f"/api/records/{add()}/clip?{query}")
    assert answer.status_code == 422
    assert "_s" in answer.json()["message"]


def test_a_full_disk_is_told_and_the_last_good_state_stays(session, store, add) -> None:
    """SQLite itself answers SQLITE_FULL, once its file may not grow any more."""
    id = add()

    def limit(connection, _) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    with _each_connection(store, limit):
        for version in range(1, 60):  # until the free pages are used up
            answer = session.edit(id, version, {**GRADE_4, "value": "45"[version % 2]})
            if answer.status_code != 200:
                break
        assert answer.status_code == 503
        assert "no room left" in answer.json()["message"]
        assert "wrist" not in answer.text
        kept = session.get(f"/api/records/{id}").json()
        assert kept["version"] == version
        assert store.verify().faults == []
    answer = session.edit(id, version, {**GRADE_4, "value": "45"[version % 2]})
    assert (answer.status_code, answer.json()["version"]) == (200, version + 1)


@contextmanager
def _each_connection(store: Store, prepare) -> Iterator[None]:
    """Has every connection that is made prepared; those before and after are not."""
    store.close()
    event.listen(Engine, "connect", prepare)
    try:
        yield
    finally:
        event.remove(Engine, "connect", prepare)
        store.close()


def test_a_bug_is_told_without_words_of_the_record(session, add, monkeypatch, capsys) -> None:
    id = add()

    def fail(*_, **__) -> None:
        raise RuntimeError("left wrist extension three")

    monkeypatch.setattr("plessor.cli.review.views.interpret", fail)
    answer = session.get(f"/api/records/{id}")
    assert answer.status_code == 500
    assert "RuntimeError at plessor.cli.review" in answer.json()["message"]
    said = capsys.readouterr()
    assert "wrist" not in answer.text + said.out + said.err
    assert "Traceback" not in said.err
