"""``plessor review`` as a command: what it takes, adds, prints and refuses."""

from __future__ import annotations

import socket
import sys
from pathlib import Path

import pytest
from plessor.cli.review.gathering import find_audio
from plessor.pipeline.store import Store


@pytest.fixture
def served(monkeypatch):
    """What would have been served: nothing listens here."""
    found = []

    def serve(app, listener, *, ready) -> None:
        found.append(listener.getsockname())
        ready()

    monkeypatch.setattr("plessor.cli.review.serving.serve", serve)
    return found


@pytest.fixture
def review(plessor, served, tmp_path):
    def run(*arguments: object):
        return plessor("review", "--no-browser", "--store", tmp_path / "r.sqlite", *arguments)

    return run


@pytest.fixture
def kept(tmp_path):
    return lambda: Store.open(str(tmp_path / "r.sqlite")).records()


def _write(path: Path, *records) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(r.model_dump_json() for r in records), encoding="utf-8")
    return path


def test_the_link_is_printed_and_nothing_else(review, served) -> None:
    ran = review()
    assert ran.code == 0
    (line,) = ran.out.splitlines()
    assert line.startswith(f"Review at http://127.0.0.1:{served[0][1]}/?token=")
    assert served[0][0] == "127.0.0.1"
    assert line.rpartition("=")[2] not in ran.err


def test_records_of_files_and_folders_are_added_once(review, kept, tmp_path, a_record) -> None:
    _write(tmp_path / "visits" / "a.json", a_record("a"))
    _write(tmp_path / "visits" / "below" / "b.jsonl", a_record("b"), a_record("c"))
    one = _write(tmp_path / "d.json", a_record("d"))
    for _ in range(2):
        assert review(tmp_path / "visits", one).code == 0
        assert sorted(s.narration for s in kept()) == ["a", "b", "c", "d"]


def test_a_recording_beside_its_record_is_found(
    review, kept, tmp_path, a_record, write_sound, sound_of
) -> None:
    sound = write_sound("visit.wav")
    record = a_record(audio=sound_of(sound))
    review(_write(tmp_path / "visit.json", record))
    (summary,) = kept()
    stored = Store.open(str(tmp_path / "r.sqlite")).load(summary.id)
    assert Path(stored.audio_path) == sound.resolve()


def test_a_recording_in_a_folder_that_was_named_is_found(
    review, kept, tmp_path, a_record, write_sound, sound_of
) -> None:
    sound = write_sound("visit.wav")
    (tmp_path / "sounds").mkdir()
    moved = sound.rename(tmp_path / "sounds" / "visit.wav")
    record = _write(tmp_path / "records" / "visit.json", a_record(audio=sound_of(moved)))
    _write(tmp_path / "sounds" / "other.json", a_record("other"))
    review(record, tmp_path / "sounds")
    store = Store.open(str(tmp_path / "r.sqlite"))
    paths = {s.narration: store.load(s.id).audio_path for s in kept()}
    assert paths == {"visit": str(moved.resolve()), "other": None}


def test_of_several_recordings_of_one_name_the_right_one_is_taken(
    tmp_path, write_sound, sound_of
) -> None:
    places = []
    for number, seconds in enumerate((0.2, 0.3, 0.4)):
        place = tmp_path / f"sounds-{number}" / "visit.wav"
        place.parent.mkdir()
        places.append(write_sound("visit.wav", seconds=seconds).rename(place))
    for place in places:
        found = find_audio(sound_of(place), [p.parent for p in places])
        assert found == place.resolve()


def test_a_file_that_is_no_record_is_told_and_the_others_are_served(
    review, served, kept, tmp_path, a_record
) -> None:
    good = _write(tmp_path / "good.json", a_record())
    bad = tmp_path / "bad.json"
    bad.write_text("{", encoding="utf-8")
    ran = review(bad, good)
    assert ran.code == 0
    assert "bad.json: not JSON" in ran.err
    assert len(served) == len(kept()) == 1


def test_nothing_that_can_be_read_starts_nothing(review, served, tmp_path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    for path in (empty, tmp_path / "missing.json"):
        ran = review(path)
        assert ran.code == 1
        assert str(path) in ran.sentence
    assert served == []


def test_a_port_that_is_taken_is_told(review, served) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        ran = review("--port", port)
    assert ran.code == 1
    assert f"Port {port} cannot be used" in ran.sentence
    assert "--port" in ran.sentence
    assert served == []


@pytest.mark.parametrize("option", ["--host", "--bind", "--ssl-keyfile"])
def test_there_is_no_way_to_listen_elsewhere(review, served, option) -> None:
    ran = review(option, "0.0.0.0")
    assert ran.code == 2
    assert option in ran.sentence
    assert served == []


@pytest.mark.parametrize("name", [" ", "x" * 201, "A\nB"])
def test_a_reviewer_needs_a_name(review, served, name) -> None:
    ran = review("--reviewer", name)
    assert ran.code == 2
    assert served == []


def test_a_missing_extra_is_told(review, served, monkeypatch) -> None:
    for module in [m for m in sys.modules if m.startswith(("plessor.cli.review.", "fastapi"))]:
        monkeypatch.delitem(sys.modules, module)
    monkeypatch.setitem(sys.modules, "fastapi", None)
    ran = review()
    assert ran.code == 3
    assert "pip install 'plessor[review]'" in ran.sentence
    assert served == []


def test_a_store_that_is_none_is_told(plessor, served, tmp_path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("these are notes " * 100, encoding="utf-8")
    ran = plessor("review", "--no-browser", "--store", other)
    assert ran.code == 1
    assert "notes.txt" in ran.sentence
    assert served == []


def test_the_browser_gets_a_link_for_one_use(plessor, served, tmp_path, monkeypatch) -> None:
    opened = []
    monkeypatch.setattr("plessor.cli.review.serving.open_browser", opened.append)
    ran = plessor("review", "--store", tmp_path / "r.sqlite")
    (url,) = opened
    assert url.startswith(f"http://127.0.0.1:{served[0][1]}/?token=")
    assert url.rpartition("=")[2] not in ran.out + ran.err
