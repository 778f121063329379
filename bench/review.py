"""What it costs to correct a record on the page: keystrokes a corrected field, what stays wrong.

``python bench/review.py [--records N] [--seed S]`` takes narrations of ``tests/narrations`` that
are read exactly as their authors wrote them down, plants faults in the records (wrong side,
grade, place, modality, status, certainty and age; findings that are missing, with and without a
stretch that was not understood; findings that nobody made), and has a simulated reviewer mend
them in a real Chromium before the real server, keyboard only. The reviewer knows the true record
and sees what the page shows, nothing else: first everything that is to check, one key after the
other, then what is still wrong. Half of the faults are marked as unsure, as a calibrated
confidence would mark some and not others; the rest look like any other finding.

Counted is every key, those that lead to a finding and those that confirm right ones included; a
letter with Shift is one key (the number of presses with Shift counted is printed too). A finding
that was missing counts as its four fields, one that nobody made as one. What remains wrong is
counted in the store, against the true record. Wanted: a median of three keys or fewer a field,
nothing wrong in the end. Then a record of 500 findings is opened: wanted within one second.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import random
import shutil
import statistics
import tempfile
import threading
import time
from collections import Counter, defaultdict
from collections.abc import Sequence

import uvicorn
from planting import FAULTS, Case, many_findings, plant, still_wrong, true_records
from playwright.sync_api import Page, sync_playwright
from plessor.cli.review import _setup
from plessor.cli.review.app import make_app
from plessor.cli.review.desk import Desk
from plessor.cli.review.security import Keys
from plessor.cli.review.serving import HOST, open_port
from plessor.pipeline.record import Record
from plessor.pipeline.store import Store
from reviewer import Costs, Reviewer

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
#: Faults planted in each record.
PLANTED = 7
WANTED_KEYS, WANTED_OPEN_S = 3.0, 1.0

OPEN = """async ([id, count]) => {
  const start = performance.now();
  location.hash = `#/record/${id}`;
  while (document.querySelectorAll("#table .chip").length !== count)
    await new Promise((done) => setTimeout(done, 5));
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  return performance.now() - start;
}"""


def opening_times(page: Page, root: str, id: str, count: int) -> list[float]:
    """Seconds from the choice in the list to the drawn record: first, then again."""
    times = []
    for _ in range(3):
        page.goto(f"{root}#/")
        page.wait_for_selector("table.list")
        times.append(page.evaluate(OPEN, [id, count]) / 1000)
    return times


def serve(store: Store) -> tuple[str, str, uvicorn.Server]:
    """The real server in a thread: the address of its page, the link, and the server to stop."""
    listener, keys = open_port(0), Keys()
    port = int(listener.getsockname()[1])
    desk = Desk(store, folders=[], now=lambda: dt.datetime.now(dt.UTC))
    app = make_app(desk, keys=keys, port=port, setup=_setup("A. Reviewer"))
    server = uvicorn.Server(
        uvicorn.Config(app, http="h11", ws="none", lifespan="off", log_config=None)
    )
    threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True).start()
    while not server.started:
        time.sleep(0.01)
    origin = f"http://{HOST}:{port}"
    return origin + keys.root, f"{origin}/?token={keys.link}", server


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--records", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    chromium = os.environ.get("PLESSOR_CHROMIUM") or shutil.which("chromium")
    if chromium is None:
        print("Not measured: no Chromium on this machine; PLESSOR_CHROMIUM can name one.")
        return
    chance = random.Random(arguments.seed)
    true = true_records()
    chance.shuffle(true)
    cases = []
    for number, record in enumerate(true[: arguments.records]):
        kinds = [FAULTS[(number * 3 + k) % len(FAULTS)] for k in range(PLANTED)]
        cases.append(plant(record, chance, kinds))
    costs = Costs()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        store = Store.open(f"sqlite:///{folder}/records.sqlite")

        def put(record: Record) -> str:
            return store.add(
                record, who="A. Reviewer", when=dt.datetime.now(dt.UTC), source=None,
                audio_path=None,
            ).id  # fmt: skip

        ids = [put(case.planted) for case in cases]
        large = put(many_findings(500))
        root, link, server = serve(store)
        browser = playwright.chromium.launch(executable_path=chromium, headless=True, args=FLAGS)
        page = browser.new_page(viewport={"width": 1400, "height": 900})
        page.goto(link)
        page.wait_for_selector("table.list")
        for case, id in zip(cases, ids, strict=True):
            page.goto(f"{root}#/record/{id}")
            page.wait_for_selector(f'[data-record="{id}"] #table h2')
            Reviewer(page, case, costs).review()
            costs.wrong += still_wrong(case, store.load(id).record)
        times = opening_times(page, root, large, 500)
        browser.close()
        server.should_exit = True
    print_costs(cases, costs)
    print_times(times)


def print_costs(cases: Sequence[Case], costs: Costs) -> None:
    """The table of repairs and the figures that are wanted."""
    kinds: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for kind, keys, fields in costs.repairs:
        kinds[kind].append((keys, fields))
    planted = Counter(kind for case in cases for kind in case.faults)
    print(
        f"{len(cases)} records, {sum(len(c.true.findings) for c in cases)} findings, "
        f"{sum(planted.values())} faults planted"
    )
    print(f"{'fault':<22}{'planted':>8}{'repairs':>8}{'keys each':>11}{'keys a field':>14}")
    for kind, found in sorted(kinds.items()):
        each = statistics.mean(keys for keys, _ in found)
        a_field = statistics.median(keys / fields for keys, fields in found)
        print(f"{kind:<22}{planted[kind]:>8}{len(found):>8}{each:>11.1f}{a_field:>14.2f}")
    a_field = [keys / fields for _, keys, fields in costs.repairs for _ in range(fields)]
    each = [keys for _, keys, _ in costs.repairs]
    print(
        f"keys a corrected field: median {statistics.median(a_field):.2f}, mean "
        f"{statistics.mean(a_field):.2f}, most {max(a_field):.0f} "
        f"(wanted: median {WANTED_KEYS:.0f} or fewer)"
    )
    print(f"keys a repair: median {statistics.median(each):.0f}, most {max(each)}")
    print(f"keys in all: {costs.keys}; with Shift counted: {costs.presses}")
    print(f"still wrong in the store: {costs.wrong} (wanted: 0)")


def print_times(times: Sequence[float]) -> None:
    """How long a large record takes to open."""
    print(
        f"a record of 500 findings opens in {times[0]:.2f} s, again in "
        f"{min(times[1:]):.2f} s (wanted: within {WANTED_OPEN_S:.0f} s)"
    )


if __name__ == "__main__":
    main()
