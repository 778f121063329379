// What each key and button does to what is selected. The table is also the list on the page.

import { app, findingWords, names, record, shownFindings } from "./app.js";
import { choose } from "./choose.js";
import { composeAnew, composeFrom } from "./compose.js";
import { confirmSigning } from "./dialogs.js";
import { announce, focusOn } from "./dom.js";
import { editFact } from "./facts.js";
import { turn } from "./fields.js";
import { hear } from "./hear.js";
import { pressLater } from "./keys.js";
import * as offers from "./offers.js";
import { change, retry, sign, undo } from "./saving.js";
import { nextToCheck, select, selectedStretch } from "./selection.js";
import { chooseWords } from "./transcript.js";
import { changeWords } from "./wording.js";

const nothing = () => announce("Select something first, for example with n.");

function by(table) {
  const item = app.selected;
  const act = item && table[item.kind];
  return act ? act(item.index) : nothing();
}

const kinded = (kind, field, index, more) => ({ kind, [field]: index, ...more });

export const agree = () => by({
  finding: (i) => change(kinded("confirm_finding", "finding", i), `Confirmed: ${findingWords(record().findings[i])}.`),
  correction: acceptWords,
  claim: (i) => change(kinded("confirm_claim", "claim", i), "It was taught so."),
  rejected: restoreFinding,
});

async function acceptWords(index) {
  const { heard, became, made } = record().corrections[index];
  const edit = kinded("decide_correction", "correction", index, { accept: true });
  const base = app.view;
  if (await change(edit, `The words are “${became}”.`) && !made) offers.offerLesson(base, edit, heard, became);
}

// What is taken back in stands last among the findings, and is selected.
async function restoreFinding(index) {
  const told = `Taken back in: ${findingWords(record().rejected[index].finding)}.`;
  if (await change(kinded("restore_finding", "rejected", index), told)) {
    select({ kind: "finding", index: record().findings.length - 1 }, { quiet: true });
  }
}

// Nothing is selected afterwards: a second x must not take the next finding out as well.
async function rejectFinding(index) {
  const told = `Rejected: ${findingWords(record().findings[index])}.`;
  app.selected = null;
  app.near = index;
  if (!(await change(kinded("reject_finding", "finding", index), told))) {
    app.selected = { kind: "finding", index };
  }
}

export const refuse = () => by({
  finding: rejectFinding,
  correction: (i) => change(kinded("decide_correction", "correction", i, { accept: false }), `The words are “${record().corrections[i].heard}”, as heard.`),
  claim: (i) => change(kinded("reject_claim", "claim", i), "The taught fact is rejected."),
  unresolved: () => settle(),
});

export const settle = () => by({
  unresolved: (i) => change(kinded("settle_stretch", "unresolved", i), "Nothing to record there."),
});

export const bothSides = () => by({
  finding: (i) => change(kinded("other_side", "finding", i), "Put on the other side as well."),
});

export async function signRecord() {
  if (app.view.state === "signed") return announce("This version is signed already.");
  const { id } = app.view;
  const who = await confirmSigning();
  return who && app.view?.id === id ? sign(who) : announce("Not signed.");
}

// Which claim takes which codes: the kinds of place of the vocabulary, told apart by what
// takes them (a level is recorded for power and feeling, a region for wasting as well).
function claimCodes({ kind, subject }) {
  const of = (modality) => app.setup.vocabulary.modalities[modality].segments;
  const regions = new Set(of("wasting"));
  const felt = new Set(of("sensation"));
  const levels = of("power").filter((s) => felt.has(s) && !regions.has(s));
  const subjects = { dermatome: [...regions], reflex_root: of("reflex").filter((s) => !regions.has(s)),
    myotome: of("power").filter((s) => !felt.has(s) && !regions.has(s)), grade_meaning: [subject] }[kind];
  return { subjects, values: kind === "grade_meaning" ? gradesOfScale(subject) : levels };
}

const gradesOfScale = (scale) => app.setup.vocabulary.modalities[{ mrc: "power", reflex: "reflex",
  plantar: "plantar_response" }[scale] ?? scale]?.grades.map((g) => g.code) ?? [];

async function editClaim(field) {
  const index = app.selected?.kind === "claim" ? app.selected.index : null;
  if (index === null) return nothing();
  const claim = record().claims[index];
  const codes = claimCodes(claim)[field === "value" ? "values" : "subjects"];
  const value = await choose(document.querySelector(`[data-focus="do:${field}"]`), {
    title: field === "value" ? "Value" : "Subject", current: claim[field], after: pressLater,
    options: codes.map((code) => ({ value: code, label: names.segment(code) })),
  });
  if (value === null || value === claim[field]) return false;
  return change({ kind: "change_claim", claim: index, field, value }, `Taught fact: ${names.segment(value)}.`);
}

export const claimValue = () => editClaim("value");
export const claimSubject = () => editClaim("subject");

const ofClaim = (field, otherwise) => () =>
  (app.selected?.kind === "claim" ? editClaim(field) : otherwise());

async function find() {
  const anchor = document.querySelector('[data-focus="do:find"]');
  const options = shownFindings().map((i) => ({ value: i, label: findingWords(record().findings[i]) }));
  const index = await choose(anchor, { title: "Find a finding", options, likely: options[0]?.value });
  if (index !== null) select({ kind: "finding", index });
}

function reveal(id, focus) {
  const node = document.getElementById(id);
  const box = node?.querySelector("details");
  if (box) box.open = true;
  node?.scrollIntoView({ block: "start" });
  focusOn(focus, { preventScroll: true });
}

function fromStretch() {
  if (!app.range && app.selected?.kind !== "unresolved") return nothing();
  return composeFrom();
}

export const actions = {
  next: () => nextToCheck(1), hear, agree, refuse, settle, bothSides, fromStretch, claimValue,
  claimSubject, add: composeAnew, words: chooseWords, undo, sign: signRecord, find,
  changeWords: () => changeWords(selectedStretch()), leave: () => app.selected || app.range ? select(null) : null,
  keys: () => reveal("keys", "do:keys"),
};

// key, what it does, the function, and the part of the list that it stands in
export const COMMANDS = [
  { key: "n", does: "next to check", act: () => nextToCheck(1), part: "Go" },
  { key: "l", does: "the last one before it", act: () => nextToCheck(-1), part: "Go" },
  { show: "A…Z", does: "the finding with this letter (Shift and the letter; some have two)", part: "Go" },
  { show: "↑ ↓ ← →", does: "from finding to finding", part: "Go" },
  { key: "/", does: "find a finding by its name", act: find, part: "Go" },
  { key: "p", does: "hear it (again: stop)", act: hear, part: "Go" },
  { show: "Esc", does: "leave what is selected", part: "Go" },
  { key: "s", does: "side: turn left and right over", act: () => turn("side"), part: "Change" },
  { show: "0…9", does: "grade, where grades are numbers", part: "Change" },
  { key: "g", does: "grade (of a taught fact: value)", act: ofClaim("value", () => turn("grade")), part: "Change" },
  { key: "w", does: "where (of a taught fact: subject)", act: ofClaim("subject", () => turn("segment")), part: "Change" },
  { key: "m", does: "what was examined", act: () => turn("modality"), part: "Change" },
  { key: "c", does: "certainty: turn definite and possible over", act: () => turn("certainty"), part: "Change" },
  { key: "t", does: "status: observed, not examined…", act: () => turn("status"), part: "Change" },
  { key: "o", does: "note", act: () => turn("note"), part: "Change" },
  { key: "y", does: "right as it is; make a suggested change; take a rejected finding back in", act: agree, part: "Decide" },
  { key: "x", does: "reject a finding or fact; leave words as heard", act: refuse, part: "Decide" },
  { key: "b", does: "the same on the other side too", act: bothSides, part: "Decide" },
  { key: "d", does: "nothing to record in this stretch", act: settle, part: "Decide" },
  { key: "a", does: "add a finding", act: composeAnew, part: "Add" },
  { key: "v", does: "choose words: arrows move, Shift and arrows choose", act: chooseWords, part: "Add" },
  { key: "f", does: "make a finding from the stretch or the chosen words", act: fromStretch, part: "Add" },
  { key: "e", does: "change the chosen words", act: () => actions.changeWords(), part: "Add" },
  { key: "k", does: "keep changed words for next time", act: () => offers.keep(), part: "Add" },
  { key: "q", does: "add the finding that changed words now say", act: () => offers.take(), part: "Add" },
  { key: "z", does: "leave that finding out", act: () => offers.leave(), part: "Add" },
  { key: "i", does: "age", act: () => editFact("age_months"), part: "Record" },
  { key: "u", does: "undo the last change", act: undo, part: "Record" },
  { key: "r", does: "try again to save what was not saved", act: retry, part: "Record" },
  { key: ".", does: "sign", act: signRecord, part: "Record" },
  { key: "h", does: "hand on: the files that leave the program", act: () => reveal("export", "do:export"), part: "Record" },
  { key: "j", does: "history of changes", act: () => reveal("history", "do:history"), part: "Record" },
  { key: "?", does: "this list", act: () => actions.keys(), part: "Record" },
];
