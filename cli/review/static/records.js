// The list of records, those with most left to check first.

import { ageWords, fill, h } from "./dom.js";

const STATE = { signed: "✓ signed", unsigned: "○ not signed", altered: "✗ altered after signing" };
const LESS = new Set(["Age", "Date", "Examiner", "Findings"]); // left out on a narrow page
const RANK = { altered: 0, unsigned: 1, signed: 2 };

export function showRecords(main, found) {
  const sorted = [...found].sort((a, b) => RANK[a.state] - RANK[b.state] || (b.attention ?? 0) - (a.attention ?? 0));
  document.title = "Records: Plessor review";
  fill(main, h("div", { class: "records" },
    h("h1", { tabindex: "-1", "data-focus": "title" }, "Records"),
    found.length ? table(sorted)
      : h("p", {}, "There are no records here yet. Name some when you start: plessor review FOLDER.")));
}

function table(found) {
  const head = ["Record", "Age", "Date", "Examiner", "Findings", "To check", "State"];
  return h("div", { class: "wide" },
    h("table", { class: "list" },
      h("caption", { class: "soft" }, "What is not signed and has most left to check comes first."),
      h("thead", {}, h("tr", {}, head.map((words) => h("th", { scope: "col", class: LESS.has(words) ? "less" : null }, words)))),
      h("tbody", {}, found.map((r) => h("tr", {},
        h("th", { scope: "row" }, h("a", { href: `#/record/${encodeURIComponent(r.id)}`,
          "data-focus": `record:${r.id}` }, r.narration || r.id)),
        h("td", { class: "less" }, r.age_months === null ? "–" : ageWords(r.age_months)),
        h("td", { class: "less" }, r.date ?? "–"),
        h("td", { class: "less" }, r.examiner ?? "–"),
        h("td", { class: "number less" }, String(r.findings)),
        h("td", { class: "number" }, r.attention === null ? "…" : String(r.attention)),
        h("td", {}, STATE[r.state] ?? r.state))))));
}
