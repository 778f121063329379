"""A review server in this process, with a session that is open, and records to work on."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from plessor.cli.review.app import make_app
from plessor.cli.review.desk import Desk
from plessor.cli.review.security import Keys
from plessor.cli.review.views import vocabulary
from plessor.pipeline.record import Audio, Evidence, Finding, Record, Word
from plessor.pipeline.store import Store
from starlette.testclient import TestClient

PORT = 8912
HOST = f"127.0.0.1:{PORT}"
ORIGIN = {"origin": f"http://{HOST}"}
WHEN = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)


def _a_record(narration: str = "visit", **facts: Any) -> Record:
    """Left wrist extension three, right five; the words are there, the seconds too."""
    said = "left wrist extension three right five"
    words = tuple(
        Word(text=text, start_s=i / 2, end_s=i / 2 + 0.4, probability=0.9)
        for i, text in enumerate(said.split())
    )

    def evidence(first: int, last: int) -> Evidence:
        text = " ".join(w.text for w in words[first : last + 1])
        return Evidence(
            heard=text,
            corrected=text,
            first_word=first,
            last_word=last,
            start_s=words[first].start_s,
            end_s=words[last].end_s,
        )

    left = Finding(
        modality="power",
        segment="wrist_extension",
        side="left",
        grade="3",
        confidence=0.6,
        evidence=evidence(0, 3),
    )
    right = left.model_copy(update={"side": "right", "grade": "5", "evidence": evidence(4, 5)})
    whole: dict[str, Any] = {
        "narration": narration,
        "age_months": 90,
        "heard": said,
        "corrected": said,
        "words": words,
        "findings": (left, right),
    }
    return Record(**{**whole, **facts})


@pytest.fixture
def a_record() -> Callable[..., Record]:
    return _a_record


@pytest.fixture
def sound_of() -> Callable[[Path], Audio]:
    """What a record tells of a recording."""

    def tell(path: Path) -> Audio:
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        return Audio(file=path.name, sha256=digest, duration_s=4.0)

    return tell


class Session:
    """One reviewer's requests, as the page makes them."""

    def __init__(self, client: TestClient) -> None:
        self.client = client

    def get(self, path: str, **options: Any) -> Any:
        return self.client.get(path, **options)

    def post(self, path: str, body: Any, **headers: str) -> Any:
        return self.client.post(path, json=body, headers={**ORIGIN, **headers})

    def edit(self, id: str, version: int, edit: dict[str, Any], who: str = "A. Reviewer") -> Any:
        body = {"version": version, "who": who, "edit": edit}
        return self.post(f"/api/records/{id}/edits", body)


@pytest.fixture
def keys() -> Keys:
    return Keys()


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store.open(f"sqlite:///{tmp_path / 'records.sqlite'}")


@pytest.fixture
def add(store: Store) -> Callable[..., str]:
    """Puts a record into the store and returns its id."""

    def put(record: Record | None = None, audio: Path | None = None) -> str:
        stored = store.add(
            record or _a_record(),
            who="A. Reviewer",
            when=WHEN,
            source="visit.json",
            audio_path=None if audio is None else str(audio),
        )
        return stored.id

    return put


@pytest.fixture
def app(store: Store, keys: Keys, tmp_path: Path):
    desk = Desk(store, folders=[tmp_path], now=lambda: WHEN)
    setup = {"reviewer": "A. Reviewer", "vocabulary": vocabulary()}
    return make_app(desk, keys=keys, port=PORT, setup=setup)


@pytest.fixture
def stranger(app) -> Iterator[TestClient]:
    """Somebody without the link."""
    with TestClient(app, base_url=f"http://{HOST}", follow_redirects=False) as client:
        yield client


@pytest.fixture
def session(stranger: TestClient, keys: Keys) -> Session:
    answer = stranger.get("/", params={"token": keys.link})
    assert answer.status_code == 303
    stranger.base_url = f"http://{HOST}{answer.headers['location']}"
    return Session(stranger)
