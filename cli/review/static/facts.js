// The head of a record: its facts, its state of signing, and what leads out of it.

import * as api from "./api.js";
import { app, record } from "./app.js";
import { writeIn } from "./choose.js";
import { ageWords, announce, button, fill, h, moment, readAge, vh } from "./dom.js";
import { change } from "./saving.js";

const FACTS = [["age_months", "Age"], ["examiner", "Examiner"], ["date", "Date"]];

export function drawFacts(section) {
  const { version } = app.view;
  fill(
    section,
    h("h1", { tabindex: "-1", "data-focus": "title" }, "Examination ", record().narration || app.view.id),
    h("dl", { class: "fields facts" }, FACTS.map(([field, label]) => h("div", {},
      h("dt", {}, label),
      h("dd", {}, button(shown(field), () => editFact(field), {
        focus: `fact:${field}`, class: "field", hidden: `, change ${label.toLowerCase()}` }))))),
    h("p", { class: "soft" }, source(), `Version ${version}. `),
    signing(),
  );
}

function source() {
  const { audio } = record();
  if (!audio) return "From a text, without a recording. ";
  return `Recording ${audio.file}, ${audio.duration_s.toFixed(0)} s${app.view.has_audio ? "" : " (not beside the record)"}. `;
}

function shown(field) {
  const value = record()[field];
  return field === "age_months" ? ageWords(value) : value || "not recorded";
}

function signing() {
  const { state, signature } = app.view;
  if (state === "signed") {
    return h("p", { class: "state-note signed" }, h("strong", {}, "✓ Signed"),
      ` by ${signature.who}, ${moment(signature.when)}. A later change makes an amendment, which wants a signature of its own.`);
  }
  if (state === "altered") {
    return h("p", { class: "state-note urgent" }, h("strong", {}, "✗ Altered"),
      " after it was signed: the content is not what the signature covers. Do not rely on it.");
  }
  if (record().amends) {
    return h("p", { class: "state-note" }, h("strong", {}, "△ Amendment, not signed"),
      ". It amends a signed version, which stays as it was (see the history).");
  }
  return h("p", { class: "state-note" }, h("strong", {}, "○ Not signed"), ".");
}

export async function editFact(field) {
  const anchor = document.querySelector(`[data-focus="fact:${field}"]`);
  const label = FACTS.find(([code]) => code === field)[1];
  const hint = { age_months: "5y4m or months", date: "YYYY-MM-DD", examiner: "Name" }[field];
  const value = field === "age_months" && record().age_months !== null
    ? `${Math.floor(record().age_months / 12)}y${record().age_months % 12}m` : (record()[field] ?? "");
  const typed = await writeIn(anchor, { title: `${label}, ${hint}`, value, hint });
  if (typed === null || typed === value) return;
  const read = field === "age_months" ? readAge(typed) : typed;
  if (read === null) return announce("Give the age as years and months, as in 5y4m, or as months.");
  const now = read === "" ? null : read;
  if (now === (record()[field] ?? null)) return;
  await change({ kind: "change_facts", [field]: now },
    `${label}: ${field === "age_months" ? ageWords(now) : (now ?? "not recorded")}.`);
}

export function drawExport(section) {
  const unsigned = app.view.state !== "signed";
  fill(section, h("h2", {}, "Hand on"),
    unsigned ? h("p", { class: "soft" }, "Not signed: every file says so.") : null,
    h("ul", { class: "formats" }, (app.setup.formats ?? []).map(({ format, label }, place) => h("li", {},
      h("a", { href: api.exportAddress(app.view.id, format), download: true,
        "data-focus": place ? `export:${format}` : "do:export",
        on: { click: (event) => { event.preventDefault(); handOn(format, label); } } }, format),
      h("span", { class: "soft" }, ` ${label}`)))));
}

async function handOn(format, label) {
  try {
    const { name, content } = await api.download(app.view.id, format);
    const link = h("a", { href: URL.createObjectURL(content), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
    announce(`${label}: ${name} is handed to the browser.`);
  } catch (fault) {
    tell(`${label}: ${fault.message}`);
  }
}

let tell = announce;
export const onFault = (notify) => { tell = notify; };

export async function drawHistory(section, isOpen = false) {
  const { id, version } = app.view;
  const box = h("details", { open: isOpen, on: { toggle: () => box.open && load() } },
    h("summary", { "data-focus": "do:history" }, h("h2", {}, "History")), h("div", { class: "events" }));
  fill(section, box);
  if (isOpen) await load();
  async function load() {
    try {
      const events = await api.history(id);
      if (app.view?.id === id && app.view.version === version) fill(box.lastChild, list(events));
    } catch (fault) {
      fill(box.lastChild, h("p", {}, fault.message));
    }
  }
}

// The history names each change by its kind first; what a person calls it.
const CHANGES = { "change finding": "changed", "add finding": "added", "other side": "on the other side too",
  "reject finding": "rejected", "restore finding": "taken back in", "confirm finding": "confirmed",
  "settle stretch": "nothing to record in", "resolve stretch": "made a finding from words",
  "change claim": "changed a taught fact", "confirm claim": "confirmed a taught fact",
  "reject claim": "rejected a taught fact", "change words": "changed the words",
  "decide correction": "decided on corrected words", "change facts": "changed", sign: "signed",
  "add the record": "record added" };

function changeWords(what) {
  const undone = what.startsWith("undo: ");
  const [kind, ...rest] = (undone ? what.slice(6) : what).split(": ");
  const words = [CHANGES[kind] ?? kind, ...rest].join(": ");
  return undone ? `undone: ${words}` : words;
}

function list(events) {
  return h("ol", { class: "events", reversed: true }, [...events].reverse().map((e) => h("li", {},
    h("strong", {}, changeWords(e.what)), e.before || e.after ? [": ", e.before || "nothing", h("span", { "aria-hidden": "true" }, " → "), vh(" became "), e.after || "nothing"] : "",
    e.why ? `, because: ${e.why}` : "",
    h("small", { class: "soft" }, ` version ${e.version}, ${e.who}, ${moment(e.when)}`))));
}
