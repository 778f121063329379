// Opens the page: the list of records or one record, redrawn after each answer.

import * as api from "./api.js";
import { app, recall, setShortcuts, setWho } from "./app.js";
import * as aside from "./aside.js";
import { closeList } from "./choose.js";
import { actions, COMMANDS } from "./commands.js";
import { announce, button, fill, focusOn, h, keepFocus, key } from "./dom.js";
import * as facts from "./facts.js";
import * as findings from "./findings.js";
import { typeGrade } from "./fields.js";
import { hush } from "./hear.js";
import * as items from "./items.js";
import { drawOffers } from "./offers.js";
import { forget, listen, replay } from "./keys.js";
import { showRecords } from "./records.js";
import { layAside, onChange, retry } from "./saving.js";
import { focusName, keepSelection, onSelection, select, step } from "./selection.js";
import * as transcript from "./transcript.js";

const $ = (id) => document.getElementById(id);

// id, what draws it; the order is that of a narrow page
const SECTIONS = [
  ["facts", facts.drawFacts], ["urgent", aside.drawUrgent], ["check", items.drawCheck], ["offers", drawOffers], ["words", transcript.drawTranscript],
  ["table", findings.drawFindings], ["unresolved", items.drawUnresolved],
  ["corrections", items.drawCorrections], ["claims", items.drawClaims],
  ["rejected", items.drawRejected], ["interpretation", aside.drawInterpretation],
  ["outline", aside.drawOutline], ["coverage", aside.drawCoverage], ["export", facts.drawExport],
  ["history", (node) => facts.drawHistory(node, node.querySelector("details")?.open)],
];
const COLUMNS = [["head", ["facts", "urgent"]], ["hearing", ["check", "offers", "words"]],
  ["found", ["table", "unresolved", "corrections", "claims", "rejected", "coverage", "history"]],
  ["follows", ["interpretation", "outline", "export", "keys"]]];

let drawn = null; // the view that stands on the page

let asked = 0; // an answer that comes after the next question is let go

async function route() {
  if (location.hash && !location.hash.startsWith("#/")) return;
  closeList();
  document.querySelectorAll("dialog[open]").forEach((box) => box.close());
  forget();
  hush();
  asked += 1;
  const [, id] = /^#\/record\/(.+)$/.exec(location.hash) ?? [];
  const mine = asked;
  const current = () => mine === asked;
  try {
    if (id) await openRecord(decodeURIComponent(id), current);
    else await openList(current);
  } catch (fault) {
    if (current()) notice(fault.message);
  }
}

async function openList(current) {
  const found = await api.records();
  if (!current()) return;
  const left = app.view?.id;
  app.view = drawn = null;
  showRecords($("main"), found);
  drawBar();
  if (!focusOn(`record:${left}`)) focusOn("title");
}

async function openRecord(id, current) {
  const view = await api.open(id);
  if (!current()) return;
  Object.assign(app, { view, selected: null, range: null, checking: null });
  drawn = null;
  document.title = `${view.record.narration || view.id}: Plessor review`;
  fill($("main"), h("div", { class: "record", "data-record": id }, COLUMNS.map(([name, ids]) =>
    h("div", { class: `column ${name}` }, h("div", { class: "inside" }, ids.map((part) => h("section", { id: part })))))));
  drawKeys();
  redraw();
  focusOn("title");
}

function redraw() {
  drawNotices();
  if (!app.view) return;
  if (drawn !== app.view) {
    closeList();
    keepSelection();
    app.range = null;
    keepFocus(() => {
      for (const [id, draw] of SECTIONS) draw($(id));
      drawBar();
    });
    drawn = app.view;
    transcript.drawMarks();
    if (document.activeElement === document.body) refocus();
  }
  setTimeout(replay, 0);
}

// What had the focus is gone: stay with what is selected, else near it.
function refocus() {
  const there = app.selected && focusOn(focusName(app.selected), { preventScroll: true });
  if (!there) focusOn("title", { preventScroll: true });
}

function drawSelection() {
  keepFocus(() => {
    findings.drawEditor();
    for (const [id, draw] of [["check", items.drawCheck], ["unresolved", items.drawUnresolved],
      ["corrections", items.drawCorrections], ["claims", items.drawClaims], ["rejected", items.drawRejected]]) {
      draw($(id));
    }
  });
  transcript.drawMarks();
}

function drawBar() {
  const open = Boolean(app.view);
  fill($("bar"),
    h("nav", { "aria-label": "Page" }, h("a", { href: "#/", class: "brand" }, open ? "← Records" : "Plessor review")),
    open ? h("p", { class: "actions" },
      button("Next", actions.next, { shortcut: "n", focus: "bar:next", hidden: "to check" }),
      button("Hear", actions.hear, { shortcut: "p", focus: "bar:hear", disabled: !app.view.has_audio }),
      button("Find", actions.find, { shortcut: "/", focus: "do:find" }),
      button("Undo", actions.undo, { shortcut: "u", focus: "bar:undo" }),
      app.view.state === "signed" ? null : button("Sign…", actions.sign, { shortcut: ".", focus: "bar:sign" }),
      button("Keys", actions.keys, { shortcut: "?", focus: "bar:keys" })) : null,
    h("p", { class: "who" }, h("label", { for: "who" }, "Reviewer "),
      h("input", { id: "who", value: app.who, maxlength: 120, autocomplete: "name", "data-focus": "who",
        on: { change: (event) => setWho(event.target.value) } })),
    open ? h("label", { class: "switch" }, h("input", { type: "checkbox", checked: app.shortcuts,
      "data-focus": "shortcuts", on: { change: switchKeys } }), " Single keys") : null);
  $("foot").textContent = `${app.setup.caution} Plessor ${app.setup.version}.`;
}

function switchKeys(event) {
  setShortcuts(event.target.checked);
  document.body.classList.toggle("no-keys", !app.shortcuts);
  announce(app.shortcuts ? "Single keys are on." : "Single keys are off; everything has its button.");
}

function drawKeys() {
  const parts = [...new Set(COMMANDS.map((c) => c.part))];
  fill($("keys"), h("details", { open: true }, h("summary", { "data-focus": "do:keys" }, h("h2", {}, "Keys")),
    h("p", { class: "soft" }, "“Single keys” at the top turns them all off. In a list of codes, letters "
      + "or numbers narrow it; the last one left is taken at once, Enter takes the marked one, "
      + "Escape leaves all as it was."),
    parts.map((part) => [h("h3", {}, part), h("dl", { class: "keys" }, COMMANDS.filter((c) => c.part === part)
      .map((c) => h("div", {}, h("dt", {}, key(c.show ?? c.key), h("span", { class: "vh" }, c.show ?? c.key)), h("dd", {}, c.does))))])));
}

let noticed = "";
function notice(words) {
  noticed = words;
  drawNotices();
  if (words) announce(words);
}

function drawNotices() {
  const kept = app.waiting;
  const mine = kept && h("div", { class: "notice" },
    h("p", {}, h("strong", {}, "Not saved. "), kept.message),
    h("p", {}, "Kept here: ", h("q", {}, kept.told)),
    h("p", { class: "actions" },
      button(kept.kept === "conflict" ? "Apply it to the newest version" : "Try again", retry,
        { shortcut: "r", focus: "do:retry", class: "strong" }),
      button("Lay it aside", () => { layAside(); }, { focus: "do:aside" })));
  const said = noticed && h("div", { class: "notice" }, h("p", {}, noticed),
    h("p", { class: "actions" }, button("Close", () => notice(""), { focus: "do:close" })));
  keepFocus(() => fill($("notices"), mine, said));
}

function drawRange() {
  findings.drawEditor();
  transcript.drawMarks();
  const node = document.querySelector("#text .cursor");
  const { first, last } = app.range;
  const words = app.view.record.words.slice(first, last + 1).map((w) => w.text).join(" ");
  if (node) announce(`“${words}”: f makes a finding, e changes the words.`);
}

async function begin() {
  app.setup = await api.setup();
  recall();
  document.body.classList.toggle("no-keys", !app.shortcuts);
  onChange(redraw, notice);
  facts.onFault(notice);
  onSelection(drawSelection);
  items.offer(actions);
  findings.offer(actions);
  transcript.offer(actions);
  listen(COMMANDS, { onDigit: typeGrade, onArrow: step, onLeave: actions.leave, onTag: (index) => select({ kind: "finding", index }) });
  document.addEventListener("words-chosen", drawRange);
  document.addEventListener("finding-added", (event) => select({ kind: "finding", index: event.detail },
    { told: "Added and saved:" }));
  globalThis.addEventListener("hashchange", route);
  await route();
}

begin().catch((fault) => fill($("main"), h("h1", {}, "This page cannot open"), h("p", {}, fault.message)));
