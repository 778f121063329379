// The words, each corrected stretch with what was heard beneath it, and what was made of them.

import { app, record, stretchOf } from "./app.js";
import { button, fill, h, vh } from "./dom.js";
import { select, selectedStretch } from "./selection.js";

const UNSURE_WORD = 0.5;

let act = {};
export function offer(actions) {
  act = actions;
}

export function drawTranscript(section) {
  const { words, corrected, dropped } = record();
  const text = h("div", {
    id: "text", class: "text", tabindex: "0", role: "group", "data-focus": "text",
    "aria-label": "Transcript. Left and right arrows go from word to word, with Shift they choose words.",
    on: { pointerup: chosenByPointer, keydown: arrowKeys },
  });
  if (words.length) fill(text, ...lines(words));
  else fill(text, corrected ? h("p", {}, corrected) : h("p", { class: "soft" }, "This record has no words."));
  fill(
    section,
    h("h2", {}, "Transcript"),
    text,
    h("p", { id: "chosen", class: "actions", hidden: true }),
    words.length ? legend() : null,
    (dropped ?? []).length ? h("details", {},
      h("summary", {}, `Taken out as most likely never said: ${dropped.length}`),
      h("ul", {}, dropped.map((d) => h("li", {}, `“${d.text}” (${d.reason})`)))) : null,
  );
}

function legend() {
  return h("p", { class: "legend soft" },
    h("span", { class: "word unsure" }, "dotted"), " heard with doubt · ",
    h("span", { class: "word loose" }, "dashed"), " not understood · ",
    h("span", { class: "word suggested" }, "wavy"), " a change is suggested · ",
    h("ruby", {}, "corrected", h("rt", {}, "heard")));
}

function lines(words) {
  const loose = new Set();
  for (const item of record().unresolved) {
    if (item.settled) continue;
    for (let i = item.evidence.first_word; i <= item.evidence.last_word; i += 1) loose.add(i);
  }
  const suggested = new Set();
  for (const item of record().corrections) {
    if (!item.made) for (let i = item.first_word; i <= item.last_word; i += 1) suggested.add(i);
  }
  const blocks = [];
  let line = h("p", {});
  for (let at = 0; at < words.length; at += 1) {
    if (words[at].new_line && line.childNodes.length) {
      blocks.push(line);
      line = h("p", {});
    }
    const last = endOfChange(words, at);
    const spans = [];
    for (let i = at; i <= last; i += 1) spans.push(word(words[i], i, loose, suggested), " ");
    spans.pop();
    line.append(words[at].heard ? h("ruby", { class: last - at < 3 ? "short" : null }, spans, h("rt", {}, vh("heard: "), words[at].heard))
      : h("span", {}, spans), " ");
    at = last;
  }
  return [...blocks, line];
}

// A changed stretch: its first word holds all that was heard, the others hold "".
function endOfChange(words, at) {
  let last = at;
  if (words[at].heard) while (words[last + 1]?.heard === "") last += 1;
  return last;
}

function word({ text, probability }, index, loose, suggested) {
  const unsure = probability !== null && probability !== undefined && probability < UNSURE_WORD;
  return h("span", {
    class: ["word", unsure && "unsure", loose.has(index) && "loose", suggested.has(index) && "suggested"]
      .filter(Boolean).join(" "),
    "data-word": index,
  }, text);
}

const spanOf = (index) => document.querySelector(`#text [data-word="${index}"]`);

// Marks the words of what is selected, and scrolls the transcript (not the page) to them.
export function drawMarks() {
  drawChosen();
  document.querySelectorAll("#text .picked").forEach((node) => node.classList.remove("picked", "cursor"));
  const stretch = selectedStretch();
  if (!stretch) return;
  for (let i = stretch.first; i <= stretch.last; i += 1) spanOf(i)?.classList.add("picked");
  if (app.range) spanOf(app.range.head)?.classList.add("cursor");
  const text = document.getElementById("text");
  const node = spanOf(app.range?.head ?? stretch.first);
  if (!node || text.scrollHeight <= text.clientHeight) return;
  const away = node.getBoundingClientRect().top - text.getBoundingClientRect().top;
  if (away < 0 || away > text.clientHeight - 48) text.scrollTop += away - text.clientHeight / 3;
}

// What can be done with chosen words, while there are any.
function drawChosen() {
  const place = document.getElementById("chosen");
  if (!place) return;
  place.hidden = !app.range;
  if (!app.range) place.replaceChildren();
  else if (!place.childNodes.length) fill(place,
    button("Hear", act.hear, { shortcut: "p", focus: "words:hear", disabled: !app.view.has_audio }),
    button("Make a finding", act.fromStretch, { shortcut: "f", focus: "words:make" }),
    button("Change the words", act.changeWords, { shortcut: "e", focus: "words:change" }));
}

function setRange(anchor, head) {
  app.range = { anchor, head, first: Math.min(anchor, head), last: Math.max(anchor, head) };
  document.dispatchEvent(new CustomEvent("words-chosen"));
}

// Begins to choose words: at those of the selected item, else at the first.
export function chooseWords() {
  document.getElementById("text").focus();
  const from = selectedStretch();
  setRange(from?.first ?? 0, from?.last ?? 0);
}

function arrowKeys(event) {
  const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  const count = record().words.length;
  if (!step || !count || event.ctrlKey || event.altKey || event.metaKey) return;
  event.preventDefault();
  const from = app.range ?? { anchor: selectedStretch()?.first ?? 0, head: selectedStretch()?.first ?? 0 };
  const wide = app.range && app.range.first !== app.range.last && !event.shiftKey; // to its end first
  const to = wide ? (step > 0 ? app.range.last : app.range.first) : from.head + (app.range ? step : 0);
  const head = Math.min(count - 1, Math.max(0, to));
  setRange(event.shiftKey ? from.anchor : head, head);
}

function chosenByPointer() {
  const marked = globalThis.getSelection();
  const first = wordAt(marked.anchorNode);
  const last = wordAt(marked.focusNode);
  if (first === null || last === null) return;
  if (marked.isCollapsed) {
    const items = ["finding", "unresolved", "correction", "claim"];
    const hit = items.flatMap((kind) => all(kind).map((_, index) => ({ kind, index })))
      .find((item) => covers(item, first));
    if (hit) select(hit);
    else setRange(first, first);
    return;
  }
  setRange(first, last);
}

function all(kind) {
  const at = record();
  return { finding: at.findings, unresolved: at.unresolved, correction: at.corrections, claim: at.claims }[kind];
}

function covers(item, index) {
  const stretch = stretchOf(item);
  return stretch && stretch.first <= index && index <= stretch.last;
}

function wordAt(node) {
  const span = (node?.nodeType === Node.TEXT_NODE ? node.parentElement : node)?.closest?.("[data-word]");
  return span ? Number(span.dataset.word) : null;
}
