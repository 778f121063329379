// What is selected, and how the eye, the focus and the voice follow it.

import { app, findingWords, names, record, shownFindings, stretchOf } from "./app.js";
import { announce, focusOn } from "./dom.js";

let drawSelection = () => {};
export function onSelection(draw) {
  drawSelection = draw;
}

export const focusName = ({ kind, index }) => `${kind}:${index}`;

export function select(item, { told = "", quiet = false } = {}) {
  app.selected = item;
  app.range = null;
  drawSelection();
  if (!item) return;
  const name = focusName(item);
  if (focusOn(name, { preventScroll: true })) bringIntoView(name);
  if (!quiet) announce([told, itemWords(item)].filter(Boolean).join(" "));
}

function bringIntoView(name) {
  const node = document.querySelector(`[data-focus="${CSS.escape(name)}"]`);
  const block = node?.closest("[data-item]") ?? node?.closest("tr") ?? node;
  const below = block?.nextElementSibling?.matches(".editing") ? block.nextElementSibling : block;
  below?.scrollIntoView({ block: "nearest" });
  block?.scrollIntoView({ block: "nearest" });
}

export function itemWords(item) {
  const at = record();
  return {
    finding: () => at.findings[item.index] && findingWords(at.findings[item.index]),
    unresolved: () => at.unresolved[item.index] && `Not understood: “${at.unresolved[item.index].evidence.corrected}”`,
    correction: () => {
      const c = at.corrections[item.index];
      return c && `${c.made ? "Changed" : "Suggested"}: heard “${c.heard}”, ${c.made ? "became" : "perhaps"} “${c.became}”`;
    },
    claim: () => at.claims[item.index] && `Taught: ${names.segment(at.claims[item.index].subject)}, ${at.claims[item.index].value}`,
    rejected: () => at.rejected[item.index] && `Rejected: ${findingWords(at.rejected[item.index].finding)}`,
    fact: () => ({ age_months: "Age", examiner: "Examiner", date: "Date" })[item.index],
  }[item.kind]?.() ?? "";
}

// The item of the list of things to check, as something that can be selected.
export function itemOf(attention) {
  for (const kind of ["finding", "unresolved", "correction", "claim"]) {
    if (typeof attention[kind] === "number") return { kind, index: attention[kind] };
  }
  if (/age/.test(attention.kind)) return { kind: "fact", index: "age_months" };
  return null;
}

const identity = (item) => JSON.stringify([item.kind, item.text, item.finding, item.unresolved,
  item.correction, item.claim]);

// The next thing to check, from where the last one was, even when that one is done with.
export function nextToCheck(step) {
  const items = app.view.attention;
  if (!items.length) {
    announce("Nothing is left to check.");
    return;
  }
  let place = step > 0 ? 0 : items.length - 1;
  let told = "";
  if (app.checking) {
    const still = items.findIndex((item) => identity(item) === app.checking.id);
    const gone = still < 0;
    place = (gone ? app.checking.position : still) + (gone && step > 0 ? 0 : step);
    if (place >= items.length || place < 0) told = "From the other end of the list.";
    place = (place + items.length) % items.length;
  }
  check(place, told);
}

export function check(place, told = "") {
  const item = app.view.attention[place];
  app.checking = { id: identity(item), position: place };
  const target = itemOf(item);
  const count = `To check, ${place + 1} of ${app.view.attention.length}: ${item.text}`;
  select(target, { quiet: true });
  if (!target) focusOn(`check:${place}`);
  const now = target?.kind === "finding" ? itemWords(target) : "";
  announce([told, now ? `${count}. The finding: ${now}.` : count].filter(Boolean).join(" "));
}

export const checkedPlace = () =>
  app.checking ? app.view.attention.findIndex((item) => identity(item) === app.checking.id) : -1;

// Arrow keys in the table: up and down by row, left and right by side.
export function step(key) {
  if (app.selected?.kind !== "finding") {
    const shown = shownFindings();
    const near = shown.includes(app.near) ? app.near : shown[0];
    if (near !== undefined) select({ kind: "finding", index: near });
    return;
  }
  const target = neighbour(app.selected.index, key);
  if (target !== null) select({ kind: "finding", index: target });
}

function neighbour(index, key) {
  const rows = app.view.groups.flatMap((group) => group.rows);
  const columns = ["left", "right", "midline"];
  const has = (row, column) => (row[column] ?? []).length > 0;
  const at = rows.findIndex((row) => columns.some((c) => (row[c] ?? []).includes(index)));
  if (at < 0) return null;
  const column = columns.find((c) => (rows[at][c] ?? []).includes(index));
  const cell = rows[at][column];
  const place = cell.indexOf(index);
  if (key === "ArrowLeft" || key === "ArrowRight") {
    const line = columns.flatMap((c) => rows[at][c] ?? []);
    return line[line.indexOf(index) + (key === "ArrowRight" ? 1 : -1)] ?? null;
  }
  const way = key === "ArrowDown" ? 1 : -1;
  if (cell[place + way] !== undefined) return cell[place + way];
  const row = rows[at + way];
  if (!row) return null;
  const where = has(row, column) ? column : columns.find((c) => has(row, c));
  return where ? (way > 0 ? row[where][0] : row[where].at(-1)) : null;
}

// After a change the same thing stays selected, if it is still there.
export function keepSelection() {
  const item = app.selected;
  if (!item || item.kind === "fact") return;
  const list = { finding: "findings", unresolved: "unresolved", correction: "corrections",
    claim: "claims", rejected: "rejected" }[item.kind];
  if (!(record()[list] ?? [])[item.index]) app.selected = null;
}

export const selectedStretch = () =>
  app.range ? stretchOf({ kind: "words", ...app.range }) : stretchOf(app.selected);
