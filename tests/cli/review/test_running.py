"""The real server, a process of its own: many editors at once, and its sudden end.

What was acknowledged must be in the store, whatever happens: the store is read afterwards with
the program's own ``verify`` and, for the counts, with SQLite directly.
"""

from __future__ import annotations

import http.client
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from plessor.pipeline.store import Store

GRADES = ["4", "5", "0", "1", "2", "3"]  # the first is not what the record has


class Server:
    """``plessor review`` as a person starts it."""

    def __init__(self, store: Path, *arguments: str) -> None:
        command = [sys.executable, "-c", "from plessor.cli.main import run; run()", "review"]
        command += ["--no-browser", "--store", str(store), "--reviewer", "A. Reviewer"]
        self.process = subprocess.Popen(
            [*command, *arguments],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert line.startswith("Review at http://127.0.0.1:"), line
        self.address, self.link = line.split()[-1].removeprefix("http://").split("/?token=")
        answer, _ = self._ask("GET", f"/?token={self.link}", {})
        self.root = answer.getheader("location", "").rstrip("/")
        self.cookie = answer.getheader("set-cookie", "").partition(";")[0]

    def get(self, path: str) -> Any:
        return json.loads(self._ask("GET", self.root + path, {"cookie": self.cookie})[1])

    def post(self, path: str, body: Any) -> tuple[int, Any]:
        headers = {
            "cookie": self.cookie,
            "origin": f"http://{self.address}",
            "content-type": "application/json",
        }
        answer, content = self._ask("POST", self.root + path, headers, json.dumps(body))
        return answer.status, json.loads(content)

    def _ask(self, method: str, path: str, headers: dict[str, str], body: str | None = None):
        with closing(http.client.HTTPConnection(self.address, timeout=60)) as connection:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer, answer.read()

    def end(self, how: int) -> tuple[int, str]:
        """End it by a signal; its exit code and what it said on standard error."""
        self.process.send_signal(how)
        _, said = self.process.communicate(timeout=30)
        return self.process.returncode, said


@pytest.fixture
def start(tmp_path: Path):
    servers: list[Server] = []

    def begin(*arguments: str) -> Server:
        servers.append(Server(tmp_path / "records.sqlite", *arguments))
        return servers[-1]

    yield begin
    for server in servers:
        server.process.kill()
        server.process.communicate()


@pytest.fixture
def folder(tmp_path: Path, a_record) -> Path:
    path = tmp_path / "visits"
    path.mkdir()
    for number in range(100):
        record = a_record(f"visit-{number:03}")
        (path / f"{number:03}.json").write_text(record.model_dump_json(), encoding="utf-8")
    return path


def _edit(server: Server, id: str, version: int, grade: str, who: str) -> tuple[int, Any]:
    edit = {"kind": "change_finding", "finding": 0, "field": "grade", "value": grade}
    return server.post(f"/api/records/{id}/edits", {"version": version, "who": who, "edit": edit})


def test_a_hundred_editors_at_once_lose_nothing(start, folder, tmp_path) -> None:
    server = start(str(folder))
    ids = [row["id"] for row in server.get("/api/records")]
    assert len(ids) == 100
    together = threading.Barrier(len(ids))

    def editor(number: int) -> None:
        together.wait()
        status, answer = _edit(server, ids[number], 1, "45"[number % 2], f"Editor {number}")
        assert (status, answer["version"]) == (200, 2)

    with ThreadPoolExecutor(len(ids)) as threads:
        list(threads.map(editor, range(len(ids))))
    code, said = server.end(signal.SIGINT)
    assert (code, said.splitlines()[1:]) == (0, [])
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as database:
        assert database.execute("SELECT count(*) FROM events").fetchone() == (200,)
        assert database.execute("SELECT count(*) FROM versions").fetchone() == (200,)
    store = Store.open(str(tmp_path / "records.sqlite"))
    assert store.verify().faults == []
    for number, id in enumerate(ids):
        stored = store.load(id)
        assert stored.version == 2
        assert stored.record.findings[0].grade == "45"[number % 2]
        assert stored.record.findings[0].origin.who == f"Editor {number}"


def test_a_sudden_end_loses_no_edit_that_was_acknowledged(start, folder, tmp_path) -> None:
    chance = random.Random(6)
    acknowledged: dict[tuple[str, int], str] = {}
    files = [str(path) for path in sorted(folder.iterdir())[:4]]
    for _ in range(2):
        server = start(*files)
        rows = {row["id"]: row["version"] for row in server.get("/api/records")}
        assert all(rows[id] >= version for id, version in acknowledged)
        some = threading.Semaphore(0)

        def editor(id: str, version: int, server=server, some=some) -> None:
            while True:
                grade = GRADES[version % 6]
                try:
                    status, answer = _edit(server, id, version, grade, "A. Reviewer")
                except (OSError, http.client.HTTPException, ValueError):
                    return  # the end: not acknowledged
                assert status == 200, answer
                version = answer["version"]
                acknowledged[id, version] = grade
                some.release()

        threads = [threading.Thread(target=editor, args=item) for item in rows.items()]
        for thread in threads:
            thread.start()
        for _ in range(8):
            assert some.acquire(timeout=30)
        time.sleep(chance.uniform(0.0, 0.3))
        assert server.end(signal.SIGKILL)[0] == -signal.SIGKILL
        for thread in threads:
            thread.join()
    store = Store.open(str(tmp_path / "records.sqlite"))
    assert store.verify().faults == []
    assert len(acknowledged) >= 16
    for (id, version), grade in acknowledged.items():
        assert store.load(id, version).record.findings[0].grade == grade


def test_it_listens_on_the_loopback_alone_and_says_nothing_of_a_record(start, folder) -> None:
    server = start(str(folder / "000.json"))
    (row,) = server.get("/api/records")
    assert server.post(f"/api/records/{row['id']}/edits", {})[0] == 422
    assert server.post(f"/api/records/{row['id']}/nothing", {})[0] == 404
    assert _edit(server, row["id"], 1, "4", "A. Reviewer")[0] == 200
    tables = [Path("/proc/net/tcp"), Path("/proc/net/tcp6")]
    if tables[0].exists():  # proc(5): state 0A listens; 0100007F is 127.0.0.1, little-endian
        port = f"{int(server.address.rpartition(':')[2]):04X}"
        lines = [line.split() for t in tables if t.exists() for line in t.read_text().splitlines()]
        listening = [a[1] for a in lines if a[3] == "0A" and a[1].endswith(f":{port}")]
        assert listening == [f"0100007F:{port}"]
    code, said = server.end(signal.SIGTERM)
    assert code in (143, -signal.SIGTERM)
    for word in ("wrist", "visit", "Reviewer", "Traceback", server.link):
        assert word not in said
