// A finding that is put in by hand: what, where, side, grade, one list after the other. Codes
// whose names were said in the words behind it come first and marked, so that Enter takes
// them; where none was said nothing is marked.

import { app, findingWords, names, rangeWords, record, segmentsOf, stretchOf } from "./app.js";
import { choose } from "./choose.js";
import { announce, button, fill, focusOn, h } from "./dom.js";
import { optionsOf } from "./fields.js";
import { pressLater } from "./keys.js";
import { saidFirst } from "./matching.js";
import { change } from "./saving.js";

const STEPS = [["modality", "What"], ["segment", "Where"], ["side", "Side"], ["grade", "Grade"]];
const MORE = [{ value: "?possible", label: "possible: grade to follow" }];

// From a stretch that was not understood (its number), from chosen words, or from nothing.
export function composeFrom() {
  const stretch = app.selected?.kind === "unresolved" ? app.selected.index : null;
  const words = app.range ?? (stretch === null ? null : stretchOf(app.selected));
  return compose({ stretch, words });
}

export const composeAnew = () => compose({ stretch: null, words: app.range });

async function compose({ stretch, words }) {
  const place = document.getElementById("compose");
  const spoken = words ? rangeWords(words.first, words.last) : "";
  draw(place, spoken);
  place.scrollIntoView({ block: "nearest" });
  announce(spoken ? `New finding from “${spoken}”. What?` : "New finding. What?");
  const codes = await ask(spoken);
  fill(place);
  if (!codes) {
    announce("No finding was added.");
    focusOn(stretch === null ? "do:add" : `unresolved:${stretch}`, { preventScroll: true });
    return;
  }
  await save(codes, stretch, words);
}

function draw(place, spoken) {
  fill(place, h("div", { class: "composer", role: "group", "aria-label": "A new finding" },
    h("p", { class: "soft" }, spoken ? ["New finding from ", h("q", {}, spoken)] : "New finding",
      ". Escape leaves it."),
    h("dl", { class: "fields" }, STEPS.map(([field, label]) => h("div", {},
      h("dt", {}, label), h("dd", {}, button("–", null, { focus: `new:${field}`, class: "field", disabled: true })))))));
}

async function ask(spoken) {
  const codes = { certainty: "definite" };
  for (const [field, title] of STEPS) {
    const options = choices(field, codes, spoken);
    const value = options.length === 1 ? options[0].value : await pick(field, title, options);
    if (value === null) return null;
    if (value === "?possible") {
      codes.certainty = "possible";
      const sure = await pick(field, title, options.filter((o) => o.value !== value));
      if (sure === null) return null;
      codes[field] = sure;
    } else codes[field] = value;
    show(field, codes);
  }
  return settled(codes);
}

function pick(field, title, options) {
  const anchor = document.querySelector(`[data-focus="new:${field}"]`);
  const likely = options[0].said ? options[0].value : undefined;
  return choose(anchor, { title, options, likely, after: pressLater });
}

function show(field, codes) {
  const node = document.querySelector(`[data-focus="new:${field}"]`);
  const words = field === "grade" ? codes.grade : names[field](codes[field]);
  if (node) node.firstChild.textContent = words ?? "";
}

function choices(field, codes, spoken) {
  if (field === "modality") {
    const options = optionsOf.modality().map((o) => ({ ...o,
      hints: segmentsOf(o.value).filter((s) => s !== "none" && likely(o.value, s)).map(names.segment) }));
    return saidFirst(options, spoken);
  }
  if (field === "segment") return saidFirst(optionsOf.segment(codes.modality), spoken);
  if (field === "side") {
    return saidFirst([...optionsOf.side(), { value: "both", label: "both" }], spoken);
  }
  const unseen = optionsOf.status().filter((o) => o.value !== "observed")
    .map((o) => ({ value: `status:${o.value}`, label: o.label }));
  return [...saidFirst(optionsOf.grade(codes.modality), spoken), ...unseen, ...MORE];
}

// A movement speaks for power and a jerk for reflexes; a mere region speaks for nothing.
const likely = (modality, segment) =>
  (modality === "power" && !segmentsOf("wasting").includes(segment) && !segmentsOf("sensation").includes(segment))
  || (modality === "reflex" && !segmentsOf("wasting").includes(segment));

function settled(codes) {
  if (!codes.grade.startsWith("status:")) return { ...codes, status: "observed" };
  return { ...codes, status: codes.grade.slice(7), grade: null };
}

async function save({ side, ...codes }, stretch, words) {
  const range = words ? { first_word: words.first, last_word: words.last } : {};
  const first = side === "both" ? "left" : side;
  const made = { ...codes, side: first };
  const edit = stretch === null ? { kind: "add_finding", ...made, ...range }
    : { kind: "resolve_stretch", unresolved: stretch, ...made, ...range };
  const before = record().findings.length;
  if (!(await change(edit, `Added: ${findingWords(made)}.`))) return;
  if (side === "both") await change({ kind: "other_side", finding: before }, "And on the other side.");
  app.range = null;
  document.dispatchEvent(new CustomEvent("finding-added", { detail: before }));
}
