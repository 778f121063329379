// What a person may take up after words were changed: to keep what was heard for the next
// narration, and findings that the words say now. Neither is done before it is asked for.

import * as api from "./api.js";
import { app, findingWords, record } from "./app.js";
import { announce, button, fill, h, keepFocus } from "./dom.js";
import { change } from "./saving.js";
import { select } from "./selection.js";

let lesson = null; // the last change of words: {id, version before, who, edit, was, now, told}
let found = { id: null, version: null, findings: [] };
let asking = Promise.resolve();
const aside = new Set();

const open = () => document.getElementById("offers");
const learnable = () => (lesson?.id === app.view?.id && lesson.version + 1 === app.view.version ? lesson : null);
const name = (finding) => JSON.stringify([app.view.id, finding.label, finding.evidence?.first_word]);
const offered = () => (found.id === app.view?.id && found.version === app.view.version
  ? found.findings.filter((finding) => !aside.has(name(finding))) : []);

// A change of words that was saved; `base` is the view before it.
export function offerLesson(base, edit, was, now) {
  lesson = { id: base.id, version: base.version, who: app.who, edit, was, now, told: "" };
  draw();
}

export function drawOffers() {
  const { id, version, state } = app.view;
  const changed = record().corrections.some((c) => ["made", "taken_back"].includes(c.decided?.how));
  if (changed && state !== "signed" && !(found.id === id && found.version === version)) asking = ask(id, version);
  draw();
}

async function ask(id, version) {
  try {
    const { findings } = await api.suggestions(id);
    if (app.view?.id !== id || app.view.version !== version) return;
    found = { id, version, findings };
    draw();
    const count = offered().length;
    if (count) announce(`The changed words now say ${count === 1 ? "a finding that is" : `${count} findings that are`} not recorded: ${offered()[0].label}. q adds it, z leaves it.`);
  } catch (fault) {
    announce(`What the changed words say cannot be told now. ${fault.message}`);
  }
}

function draw() {
  const section = open();
  if (!section) return;
  const lessons = learnable();
  const findings = app.view.state === "signed" ? [] : offered();
  section.hidden = !lessons && !findings.length;
  keepFocus(() => fill(section, lessons ? teaching(lessons) : null, findings.length ? saying(findings) : null));
}

const teaching = ({ was, now, told }) => h("div", { class: "offer" },
  h("p", {}, told || [h("q", {}, was), " became ", h("q", {}, now), "."]),
  told ? null : h("p", { class: "actions" }, button("Keep this for next time", keep, { shortcut: "k", focus: "do:keep" })));

const saying = (findings) => h("div", { class: "offer" },
  h("h2", {}, "The changed words now say"),
  h("p", { class: "soft" }, "Not recorded unless you add it."),
  h("ul", { class: "items" }, findings.map((finding, place) => h("li", { class: "item" },
    h("p", {}, h("strong", {}, findingWords(finding)), " ", finding.evidence ? h("q", {}, finding.evidence.corrected) : ""),
    h("p", { class: "actions" },
      button("Add it", () => take(place), { shortcut: place ? null : "q", focus: `offer:${place}`, hidden: `: ${findingWords(finding)}` }),
      button("Leave it", () => leave(place), { shortcut: place ? null : "z", focus: `offer-leave:${place}`, hidden: `: ${findingWords(finding)}` }))))));

// The same change sent again is answered without being made again, and teaches.
export async function keep() {
  const kept = learnable();
  if (!kept) return announce("Words can be kept for next time right after they were changed.");
  if (kept.told) return announce(kept.told);
  const { id, version, who, edit } = kept;
  try {
    const { taught } = await api.write(id, "edits", { version, who, edit, teach: true });
    kept.told = taught.kept ? `Kept for next time: “${taught.heard}” will be read as “${taught.means}”.`
      : `Not kept for next time: ${taught.why}`;
  } catch (fault) {
    kept.told = `Not kept for next time. ${fault.message}`;
  }
  draw();
  return announce(kept.told);
}

export async function take(place = 0) {
  await asking;
  const finding = offered()[place];
  if (!finding) return announce("No finding is offered; changed words can offer some.");
  const { evidence, label, ...codes } = finding;
  const range = evidence ? { first_word: evidence.first_word, last_word: evidence.last_word } : {};
  const stretch = record().unresolved.findIndex((u) => !u.settled && evidence
    && u.evidence.first_word <= evidence.last_word && u.evidence.last_word >= evidence.first_word);
  const kind = stretch < 0 ? { kind: "add_finding" } : { kind: "resolve_stretch", unresolved: stretch };
  const index = record().findings.length;
  if (!(await change({ ...kind, ...codes, ...range }, `Added: ${findingWords(codes)}.`))) return false;
  select({ kind: "finding", index }, { quiet: true });
  return true;
}

export async function leave(place = 0) {
  await asking;
  const finding = offered()[place];
  if (!finding) return announce("No finding is offered; changed words can offer some.");
  aside.add(name(finding));
  draw();
  return announce(`Left out: ${findingWords(finding)}.`);
}
