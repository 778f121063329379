"""A simulated reviewer before the review page, for ``bench/review.py``.

It knows the true record, sees what the page shows and nothing else, and has a keyboard only.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from planting import Case
from playwright.sync_api import Page
from plessor.lexicon.labels import name
from plessor.pipeline.record import Finding

#: Between two values, so that a key is not taken for the end of the word before.
PACE_MS = 520
Seen = tuple[str, str, str, str, bool]  # modality, place, side, grade or status, possible


@dataclass
class Costs:
    """Keys of each repair: ``(kind, keys, fields)``, and what was pressed in all."""

    repairs: list[tuple[str, int, int]] = field(default_factory=list)
    keys: int = 0
    presses: int = 0
    wrong: int = 0


def shown_as(finding: Finding) -> Seen:
    """What the page writes for a finding."""
    said = name("grade", finding.grade) if finding.grade else name("status", finding.status)
    place = "" if finding.segment == "none" else name("segment", finding.segment)
    side = "" if finding.side == "none" else name("side", finding.side)
    possible = finding.certainty == "possible"
    return name("modality", finding.modality).lower(), place.lower(), side, said, possible


READ = """() => {
  const text = (node) => node ? node.textContent.trim() : "";
  const chips = [...document.querySelectorAll("#table .chip")].map((chip) => {
    const row = chip.closest("tr"), head = row.querySelector("th");
    const lone = head.matches(".lone");
    const group = lone ? head : chip.closest("tbody").querySelector(".group th");
    const column = [...row.children].indexOf(chip.closest("td"));
    const wide = chip.closest("td").hasAttribute("colspan");
    const small = [...chip.querySelectorAll("small")].map(text);
    const side = wide ? (["midline", "side not stated"].find((s) => small.includes(s)) ?? "")
      : ["left", "right"][column - 1];
    return {letter: text(chip.querySelector(".tag")), open: chip.ariaExpanded === "true",
      seen: [text(group).toLowerCase(), lone ? "" : text(head).toLowerCase(), side,
        text(chip.querySelector(".grade")), small.includes("possible")]};
  });
  const list = document.querySelector("#choices");
  const on = document.querySelector(".item.on");
  return {chips, on: on && on.dataset.item, quoted: text(on && on.querySelector("q")),
    version: Number(/Version (\\d+)/.exec(text(document.querySelector("#facts")))[1]),
    title: list && list.ariaLabel,
    list: list && [...list.children].map(text).map((t) => t.replace(/ now$/, "")),
    marked: list && text(list.querySelector("[aria-selected=true]")).replace(/ now$/, ""),
    todo: [...document.querySelectorAll("#check .todo button")].map(text),
    now: text(document.querySelector("#check [aria-current=true]")),
    settled: text(on && on.querySelector(".state")),
    age: text(document.querySelector('[data-focus="fact:age_months"]'))};
}"""


class Reviewer:
    """Mends one record: looks, decides, presses keys."""

    def __init__(self, page: Page, case: Case, costs: Costs) -> None:
        self.page, self.case, self.costs = page, case, costs
        self.wanted = {shown_as(f): f for f in case.true.findings}
        self.since = costs.keys

    def look(self) -> dict[str, Any]:
        """What the page shows now."""
        return self.page.evaluate(READ)

    def press(self, key: str) -> None:
        """Press one key."""
        self.page.keyboard.press(key)
        self.costs.keys += 1
        self.costs.presses += 2 if key.startswith("Shift+") else 1

    def settle(self, before: int) -> None:
        """Wait until the page shows a newer version."""
        self.page.wait_for_function(
            "(v) => Number(/Version (\\d+)/.exec(document.querySelector('#facts').textContent)[1])"
            " > v && !document.body.hasAttribute('aria-busy')",
            arg=before,
            timeout=10_000,
        )

    def repaired(self, kind: str, fields: int = 1) -> None:
        """Note what the last repair cost."""
        self.costs.repairs.append((kind, self.costs.keys - self.since, fields))
        self.since = self.costs.keys

    def pairs(self, seen: list[Seen]) -> tuple[dict[Seen, Seen], list[Seen], list[Seen]]:
        """What is wrong: ``{shown: true}``, shown but not true, true but not shown."""
        extra = [s for s in seen if s not in self.wanted]
        missing = [w for w in self.wanted if w not in seen]
        distances = sorted(
            (sum(a != b for a, b in zip(s, w, strict=True)), n, m)
            for n, s in enumerate(extra)
            for m, w in enumerate(missing)
        )
        found: dict[Seen, Seen] = {}
        for distance, n, m in distances:
            if distance > 1:
                break
            if extra[n] not in found and missing[m] not in found.values():
                found[extra[n]] = missing[m]
        return (
            found,
            [s for s in extra if s not in found],
            [w for w in missing if w not in found.values()],
        )

    def review(self) -> None:
        """Everything that is to check, then everything that is still wrong."""
        visited: set[str] = set()
        while True:
            page = self.look()
            if not page["todo"] or not set(page["todo"]) - visited:
                break
            self.press("n")
            page = self.look()
            if page["now"] in visited and len(visited) > 200:
                break
            visited.add(page["now"])
            self.check(page)
        for _ in range(100):
            page = self.look()
            seen = [tuple(c["seen"]) for c in page["chips"]]
            wrong, invented, missing = self.pairs(seen)
            if page["age"].startswith("not recorded"):
                self.mend_age()
            elif wrong:
                shown = next(iter(wrong))
                self.go(page, shown)
                self.mend(shown, wrong[shown])
            elif invented:
                self.go(page, invented[0])
                self.reject(page)
            elif missing:
                self.add(page, missing[0])
            else:
                return

    def check(self, page: dict[str, Any]) -> None:
        """Decide on the one item that is selected."""
        chip = next((c for c in page["chips"] if c["open"]), None)
        seen = [tuple(c["seen"]) for c in page["chips"]]
        wrong, invented, missing = self.pairs(seen)
        if chip is not None:
            shown = tuple(chip["seen"])
            if shown in wrong:
                self.mend(shown, wrong[shown])
            elif shown in invented:
                self.reject(page)
        elif page["on"] and page["on"].startswith("unresolved"):
            for want in missing:
                evidence = self.wanted[want].evidence
                if evidence and evidence.corrected == page["quoted"] and not page["settled"]:
                    self.press("f")
                    self.fill(want, page["version"])
                    self.repaired("missed, in a stretch", 4)
                    return
        elif "age" in page["now"].lower() and page["age"].startswith("not recorded"):
            self.mend_age()

    def go(self, page: dict[str, Any], shown: Seen) -> None:
        """Go to a finding by its letter."""
        chip = next(c for c in page["chips"] if tuple(c["seen"]) == shown)
        for letter in chip["letter"]:
            self.press(f"Shift+{letter}")

    def mend(self, shown: Seen, want: Seen) -> None:
        """Change the one field that is wrong."""
        version = self.look()["version"]
        place = next(i for i in range(5) if shown[i] != want[i])
        kind = ("modality", "place", "side", "grade", "certainty")[place]
        if kind == "side":
            self.press("s")
        elif kind == "certainty":
            self.press("c")
        elif kind == "grade":
            if shown[3] == name("status", "not_examined"):
                kind = "status"  # a grade makes a finding observed
            if not want[3][:1].isdigit():
                self.press("g")
            self.pick(want[3])
        else:
            self.press("m" if kind == "modality" else "w")
            self.pick(want[place])
        self.settle(version)
        self.repaired(kind)

    def pick(self, label: str) -> None:
        """Type first letters of words, or the word, until one code is left or it is marked."""
        words = label.replace("(", "").split()
        typed = "".join(w[0] for w in words) if len(words) > 1 else label
        title = self.look()["title"]
        for letter in typed.lower():
            page = self.look()
            if page["title"] and page["marked"].lower() == label.lower():
                break
            self.press(letter)
            title = title or self.look()["title"]
            if self.look()["title"] != title or title is None:
                break
        page = self.look()
        for _ in range(len(page["list"] or ())):
            if page["title"] != title:
                break
            if page["marked"].lower() == label.lower():
                self.press("Enter")
                break
            self.press("ArrowDown")
            page = self.look()
        self.page.wait_for_timeout(PACE_MS)

    def reject(self, page: dict[str, Any]) -> None:
        """Take the selected finding out."""
        self.press("x")
        self.settle(page["version"])
        self.repaired("invented")

    def mend_age(self) -> None:
        """Write the age."""
        version = self.look()["version"]
        months = self.case.true.age_months or 0
        self.press("i")
        for letter in f"{months // 12}y" + (f"{months % 12}m" if months % 12 else ""):
            self.press(letter)
        self.press("Enter")
        self.settle(version)
        self.repaired("age")

    def add(self, page: dict[str, Any], want: Seen) -> None:
        """Put in a finding that no stretch speaks of."""
        other = {"left": "right", "right": "left"}.get(want[2], "")
        twin = (*want[:2], other, *want[3:])
        if any(tuple(c["seen"]) == twin for c in page["chips"]):
            self.go(page, twin)
            self.press("b")
            self.settle(page["version"])
        else:
            self.press("a")
            self.fill(want, page["version"])
        self.repaired("missed", 4)

    def fill(self, want: Seen, version: int) -> None:
        """Answer the lists of a new finding."""
        for label in (want[0], want[1], want[2] or "no side"):
            if label:
                self.pick(label)
        if want[4]:
            self.pick("possible: grade to follow")
        self.pick(want[3])
        self.settle(version)
