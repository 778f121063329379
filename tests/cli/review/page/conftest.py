"""The review page in a real Chromium, against the real server in this process.

Chromium is that of the system (``PLESSOR_CHROMIUM`` names another); without one these tests are
skipped. Screenshots are kept in the folder that ``PLESSOR_SCREENSHOTS`` names.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect, sync_playwright
from plessor.cli.review import _setup
from plessor.cli.review.app import make_app
from plessor.cli.review.desk import Desk
from plessor.cli.review.security import Keys
from plessor.cli.review.serving import HOST, open_port
from plessor.pipeline.record import (
    Audio,
    Claim,
    Correction,
    Evidence,
    Finding,
    Record,
    Unresolved,
    Word,
)
from plessor.pipeline.store import Store

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
SAID = (
    "left wrist extension three right wrist extension five knee jerk brisk on the left "
    "grip on the right is poor the thumb is C six hop down now"
)


def _chromium() -> str | None:
    named = os.environ.get("PLESSOR_CHROMIUM")
    return named or next((found for name in NAMES if (found := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = _chromium()
    if path is None:
        pytest.skip("no Chromium on this machine; PLESSOR_CHROMIUM can name one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, headless=True, args=FLAGS)
        yield browser
        browser.close()


def _visit(sound: Path | None = None, said: str = SAID, **facts: Any) -> Record:
    """What was heard of ``SAID``, with one planted fault: finding 0 is of the left wrist."""
    words = [
        Word(text=text, start_s=i / 2, end_s=i / 2 + 0.4, probability=0.4 if i == 3 else 0.9)
        for i, text in enumerate(said.split())
    ]
    words[1] = words[1].model_copy(update={"heard": "risk"})

    def evidence(first: int, last: int) -> Evidence:
        said = words[first : last + 1]
        return Evidence(
            heard=" ".join(w.heard or w.text for w in said),
            corrected=" ".join(w.text for w in said),
            first_word=first,
            last_word=last,
            start_s=said[0].start_s,
            end_s=said[-1].end_s,
        )

    wrist = {"modality": "power", "segment": "wrist_extension", "side": "right"}
    findings = (
        Finding(**wrist, grade="3", confidence=0.55, evidence=evidence(0, 3)),
        Finding(**wrist, grade="5", confidence=0.97, evidence=evidence(4, 7)),
        Finding(
            modality="reflex",
            segment="knee_jerk",
            side="left",
            grade="increased",
            confidence=0.9,
            evidence=evidence(8, 13),
        ),
    )
    whole: dict[str, Any] = {
        "narration": "visit",
        "age_months": None,
        "audio": None
        if sound is None
        else Audio(
            file=sound.name,
            sha256=hashlib.sha256(sound.read_bytes()).hexdigest(),
            duration_s=20.0,
        ),
        "heard": said.replace("wrist", "risk", 1),
        "corrected": said,
        "words": tuple(words),
        "findings": findings,
        "claims": (
            Claim(kind="dermatome", subject="thumb", value="C5", evidence=evidence(20, 24)),
        ),
        "corrections": (
            Correction(
                heard="risk",
                became="wrist",
                term="wrist extension",
                score=0.93,
                reason="sounds alike",
                first_word=1,
                last_word=1,
            ),
        ),
        "unresolved": (Unresolved(reason="no grade was said", evidence=evidence(14, 19)),),
    }
    return Record(**{**whole, **facts})


@pytest.fixture
def visit() -> Callable[..., Record]:
    return _visit


class Review:
    """A server that can be stopped and started again, and the records behind it."""

    def __init__(self, folder: Path) -> None:
        self.store = Store.open(f"sqlite:///{folder / 'records.sqlite'}")
        self.folder, self.keys, self._count = folder, Keys(), 0
        self._listener = open_port(0)
        self.port = int(self._listener.getsockname()[1])
        self.desk = Desk(self.store, folders=[folder], now=lambda: dt.datetime.now(dt.UTC))
        self._start()

    @property
    def origin(self) -> str:
        return f"http://{HOST}:{self.port}"

    def add(self, record: Record, audio: Path | None = None) -> str:
        """Put a record into the store, as one of its own, and return its id."""
        self._count += 1
        return self.store.add(
            record.model_copy(update={"model": f"invented {self._count}"}),
            who="A. Reader",
            when=dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC),
            source="visit.json",
            audio_path=None if audio is None else str(audio),
        ).id

    def record(self, id: str) -> Record:
        """The newest version, from the store itself."""
        return self.store.load(id).record

    def stop(self) -> None:
        """The program ends."""
        self._server.should_exit = True
        self._thread.join(10)
        self._listener.close()

    def start_again(self) -> None:
        """The program is there again, at the same address; nothing when it never left."""
        if self._thread.is_alive():
            return
        self._listener = open_port(self.port)
        self._start()

    def _start(self) -> None:
        app = make_app(self.desk, keys=self.keys, port=self.port, setup=_setup("A. Reader"))
        config = uvicorn.Config(
            app, http="h11", ws="none", lifespan="off", log_config=None, log_level="critical"
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [self._listener]}, daemon=True
        )
        self._thread.start()
        until = time.monotonic() + 10
        while not self._server.started and time.monotonic() < until:
            time.sleep(0.01)


@pytest.fixture(scope="session")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Review]:
    running = Review(tmp_path_factory.mktemp("review"))
    yield running
    running.stop()


@pytest.fixture
def review(running: Review) -> Review:
    running.start_again()  # where a test ended while it was away
    return running


class Reader:
    """A person before the page who uses the keyboard alone."""

    def __init__(self, page: Page, review: Review) -> None:
        self.page, self.review = page, review
        self.requests: list[str] = []
        self.faults: list[str] = []
        page.on("request", lambda request: self.requests.append(request.url))
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        page.on(
            "console",
            lambda line: (
                self.faults.append(line.text)
                if line.type == "error" and "Failed to load resource" not in line.text
                else None
            ),
        )
        page.goto(f"{review.origin}/?token={review.keys.link}")
        expect(page.locator("h1")).to_have_text("Records")

    def open(self, id: str) -> None:
        """Go to a record."""
        self.page.goto(f"{self.review.origin}{self.review.keys.root}#/record/{id}")
        expect(self.page.locator(f'[data-record="{id}"] #table h2')).to_be_visible()

    def press(self, *keys: str) -> None:
        """Press keys, one after the other."""
        for key in keys:
            self.page.keyboard.press(key)

    def saved(self, version: int) -> None:
        """Wait until the page shows this version."""
        expect(self.page.locator("#facts")).to_contain_text(f"Version {version}.")

    def told(self, words: str) -> None:
        """Wait until a screen reader was told these words."""
        expect(self.page.locator("#live")).to_contain_text(words)

    def letter_of(self, finding: int) -> str:
        """The letter that the page shows beside a finding."""
        return self.page.locator(f'[data-finding="{finding}"] .tag').inner_text()

    def is_as_found(self) -> bool:
        """Whether nothing of what was done is left in the page: no question, notice or setting."""
        left = "dialog[open], .notice, .no-keys, #choices, [aria-busy]"
        script = "left => !document.querySelector(left) && !sessionStorage.length"
        return bool(self.page.evaluate(script, left))


@contextmanager
def _new_reader(browser: Browser, review: Review) -> Iterator[Reader]:
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    context.set_default_timeout(20_000)  # a busy machine takes long for the first PDF
    yield Reader(context.new_page(), review)
    context.close()


@pytest.fixture
def reader(browser: Browser, review: Review) -> Iterator[Reader]:
    with _new_reader(browser, review) as reader:
        yield reader
    assert reader.faults == []


@pytest.fixture(scope="module")
def readers() -> Iterator[list[tuple[Reader, ExitStack]]]:
    """The reader that the tests of a module share, where one is open."""
    shared: list[tuple[Reader, ExitStack]] = []
    yield shared
    for _, stack in shared:
        stack.close()


@pytest.fixture
def shared_reader(
    browser: Browser, review: Review, readers: list[tuple[Reader, ExitStack]]
) -> Iterator[Reader]:
    """As ``reader``, but the page of the test before where that left nothing behind."""
    if not readers:
        stack = ExitStack()
        readers.append((stack.enter_context(_new_reader(browser, review)), stack))
    reader, stack = readers[0]
    yield reader
    faults = list(reader.faults)
    reader.requests.clear()
    if faults or not reader.is_as_found():
        readers.clear()
        stack.close()
    assert faults == []


@pytest.fixture
def shoot() -> Callable[[Page, str], None]:
    """Keeps a screenshot, where a folder for them is named."""
    folder = os.environ.get("PLESSOR_SCREENSHOTS")

    def keep(page: Page, name: str) -> None:
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            page.screenshot(path=Path(folder) / f"{name}.png")

    return keep
