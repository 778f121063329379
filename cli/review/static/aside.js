// What follows from the findings: sentences, sites, the body outline, coverage. All of it is
// made anew by the program after every change; the page only shows it.

import { app, shownFindings, tagsOf } from "./app.js";
import { fill, h, vh } from "./dom.js";
import { select } from "./selection.js";

const PARTS = [["summary", "Interpretation"], ["next_test", "Most useful to examine next"],
  ["caution", "Cautions"], ["comparison", "Comparisons"], ["score", "Scores and levels"],
  ["change", "Changes"]];

export function drawInterpretation(section) {
  const { sentences } = app.view.interpretation;
  const tags = tagsOf(shownFindings());
  const parts = PARTS.map(([kind, title]) => [kind, title, sentences.filter((s) => s.kind === kind && !s.urgent)])
    .filter(([, , found]) => found.length);
  fill(
    section,
    parts.length ? null : h("h2", {}, "Interpretation"),
    parts.map(([kind, title, found], place) => {
      const content = [h(kind === "summary" ? "div" : "ul", {}, found.map((s) =>
        h(kind === "summary" ? "p" : "li", {}, s.text, " ", grounds(s, tags)))),
        kind === "summary" ? sites() : null];
      return place < 3 ? [h("h2", {}, title), content]
        : h("details", {}, h("summary", {}, h("h2", {}, title, " ", h("span", { class: "count soft" }, String(found.length)))), content);
    }),
    h("p", { class: "caution soft" }, app.view.caution),
  );
}

// What cannot wait stands above everything else.
export function drawUrgent(section) {
  const urgent = app.view.interpretation.sentences.filter((s) => s.urgent);
  section.hidden = !urgent.length;
  fill(section, urgent.length ? h("div", { class: "urgent" }, h("h2", {}, "Urgent"),
    list(urgent, tagsOf(shownFindings()))) : null);
}

const list = (sentences, tags) => h("ul", {}, sentences.map((s) => h("li", {}, s.text, " ", grounds(s, tags))));

// The letters of the findings that a sentence rests on; each leads to its finding.
function grounds(sentence, tags) {
  if (!sentence.findings.length || sentence.findings.length > 8) return null;
  return h("span", { class: "grounds" }, sentence.findings.map((index) => h("button", {
    type: "button", class: "ground", on: { click: () => select({ kind: "finding", index }) },
    "data-focus": `ground:${sentence.kind}:${index}`,
  }, vh(`Finding: ${app.view.labels.findings[index]} `), h("span", { "aria-hidden": "true" }, tags.get(index) || "•"))));
}

function sites() {
  const found = app.view.interpretation.sites.map((site, index) => ({ site, label: app.view.labels.sites[index] }))
    .filter(({ site }) => site.probability >= 0.05).slice(0, 5);
  if (!found.length) return null;
  return h("table", { class: "sites" },
    h("caption", { class: "soft" }, "Where one lesion would explain the findings"),
    h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "Site"), h("th", { scope: "col", class: "number" }, "Share"))),
    h("tbody", {}, found.map(({ site, label }) => h("tr", {}, h("th", { scope: "row" }, label),
      h("td", { class: "number" },
        h("meter", { min: "0", max: "1", value: site.probability, "aria-hidden": "true" }),
        ` ${Math.round(site.probability * 100)} %`)))));
}

// The drawing comes as SVG from the program. Shown as an image it can run nothing; it is
// looked through all the same, and left out if it holds a script.
const UNFIT = /<(script|foreignObject|iframe)\b|\son\w+\s*=|javascript:/i;

export function drawOutline(section) {
  const { outline } = app.view;
  section.hidden = !outline || UNFIT.test(outline);
  if (section.hidden) return section.replaceChildren();
  const told = plain(/<desc[^>]*>([^<]*)<\/desc>/.exec(outline)?.[1]) || "Body outline of what was found";
  fill(section, h("h2", {}, "Body outline"),
    h("div", { class: "wide", tabindex: "0", role: "group", "aria-label": "Body outline, scrolls sideways" },
      h("img", { class: "outline", alt: told, src: `data:image/svg+xml;charset=utf-8,${encodeURIComponent(outline)}` })),
    h("details", {}, h("summary", {}, "In words"), h("p", {}, told)));
}

const plain = (markup) =>
  new DOMParser().parseFromString(markup ?? "", "text/html").body.textContent;

const STATES = { done: ["✓", "done"], one_side_only: ["◐", "one side only"],
  not_assessable: ["×", "could not be assessed"], not_examined: ["○", "not examined"],
  not_done: ["○", "not recorded"], not_expected: ["·", "not expected at this age"] };

const EXAMINATION = { full: "a full examination", upper_limbs: "an examination of the upper limbs",
  lower_limbs: "an examination of the lower limbs" };

export function drawCoverage(section) {
  const { coverage } = app.view.interpretation;
  section.hidden = !coverage;
  if (!coverage) return section.replaceChildren();
  const wanted = coverage.steps.filter((step) => step.state !== "not_expected");
  const done = wanted.filter((step) => step.state === "done").length;
  const groups = Map.groupBy ? Map.groupBy(coverage.steps, (s) => s.group) : grouped(coverage.steps);
  fill(section, h("h2", {}, "Coverage ", h("span", { class: "count soft" }, `${done} of ${wanted.length}`)),
    h("p", { class: "soft" }, `Held against ${EXAMINATION[coverage.examination] ?? coverage.examination}. What was not examined is not called normal.`),
    h("details", { open: true }, h("summary", {}, "Steps"), [...groups].map(([name, steps]) => [
      h("h3", {}, name.replaceAll("_", " ")),
      h("ul", { class: "steps" }, steps.map((step) => h("li", { class: step.state },
        h("span", { class: "state", "aria-hidden": "true" }, STATES[step.state][0]), " ", step.title,
        step.state === "done" ? vh(": done") : h("small", { class: "soft" }, ` ${STATES[step.state][1]}`))))])));
}

function grouped(steps) {
  const groups = new Map();
  for (const step of steps) groups.set(step.group, [...(groups.get(step.group) ?? []), step]);
  return groups;
}
