// Changes on their way to the program. One at a time; none is given up before it is saved,
// refused with a reason, or laid aside by the person.

import * as api from "./api.js";
import { app, findingWords } from "./app.js";
import { announce } from "./dom.js";
import { askName, confirmAmendment } from "./dialogs.js";

let redraw = () => {};
let notify = () => {};
export function onChange(drawn, noticed) {
  redraw = drawn;
  notify = noticed;
}

export const change = (edit, told) => write("edits", { edit }, told);
export const undo = () => write("undo", {}, "The last change is undone.");
export const sign = (who) => write("sign", { who }, `Signed by ${who}.`);

async function write(what, extra, told) {
  if (app.waiting) {
    notify("A change is still waiting to be saved; try it again, or lay it aside, first.");
    return false;
  }
  const base = app.view;
  if (!app.who && !extra.who && !(await askName())) return false;
  if (what !== "sign" && base.state === "signed" && !(await confirmAmendment())) return false;
  return post({ what, extra, told, base });
}

export function retry() {
  const kept = app.waiting;
  if (!kept || app.busy) return false;
  if (app.view?.id !== kept.base.id) {
    location.hash = `#/record/${encodeURIComponent(kept.base.id)}`;
    notify("The change that waits belongs to this record; look at it, then try again.");
    return false;
  }
  const extra = moved(kept);
  if (!extra) {
    notify("What the change was about is no longer there; lay the change aside.");
    return false;
  }
  app.waiting = null;
  return post({ ...kept, extra, base: app.view });
}

export function layAside() {
  app.waiting = null;
  notify("The change that was not saved is laid aside.");
}

async function post(job) {
  const { what, extra, told, base } = job;
  app.busy = true;
  document.body.setAttribute("aria-busy", "true");
  try {
    const view = await api.write(base.id, what, { version: base.version, who: app.who, ...extra });
    adopt(view);
    notify("");
    announce(`${told} Saved as version ${view.version}.${openItems(view)}`);
    return true;
  } catch (fault) {
    return failed(job, fault);
  } finally {
    app.busy = false;
    document.body.removeAttribute("aria-busy");
    redraw();
  }
}

function failed(job, fault) {
  if (fault instanceof api.Refused && fault.status === 409 && fault.body?.view) {
    adopt(fault.body.view);
    if (job.what !== "edits") {
      notify(`${fault.message} Look at version ${app.view.version}, then do it again.`);
      return false;
    }
    app.waiting = { ...job, kept: "conflict", message: fault.message };
  } else if (fault instanceof api.Refused && fault.status < 500 && ![401, 403].includes(fault.status)) {
    notify(`Not changed. ${fault.message}`);
    return false;
  } else if (fault instanceof api.Refused || fault instanceof api.Away) {
    app.waiting = { ...job, kept: "away", message: fault.message };
  } else {
    throw fault;
  }
  notify("");
  announce(`Not saved. ${fault.message}`);
  return false;
}

function adopt(view) {
  if (app.view && app.view.id === view.id) app.view = view;
}

function openItems(view) {
  const left = view.attention.length;
  return left ? ` ${left} still to check.` : " Nothing left to check.";
}

// After somebody else's save a finding may stand at another number: find the same one again.
function moved({ extra, base }) {
  const edit = extra.edit;
  if (!edit || base.version === app.view.version) return extra;
  const lists = { finding: "findings", unresolved: "unresolved", correction: "corrections",
    claim: "claims", rejected: "rejected" };
  for (const [field, list] of Object.entries(lists)) {
    if (typeof edit[field] !== "number") continue;
    const was = JSON.stringify(base.record[list][edit[field]]);
    const index = app.view.record[list].findIndex((item) => JSON.stringify(item) === was);
    if (index < 0) return null;
    return { ...extra, edit: { ...edit, [field]: index } };
  }
  return extra;
}

export function toldOf(index, words) {
  return `${findingWords(app.view.record.findings[index])}: ${words}.`;
}

globalThis.addEventListener("beforeunload", (event) => {
  if (app.waiting || app.busy) event.preventDefault();
});
