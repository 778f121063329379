// The fields of a finding, each edited in place with the codes that are valid for it.

import { app, findingWords, gradesOf, names, placeWords, record, segmentsOf } from "./app.js";
import { choose, writeIn } from "./choose.js";
import { announce } from "./dom.js";
import { change } from "./saving.js";
import { pressLater } from "./keys.js";

const OTHER = { left: "right", right: "left" };

export const optionsOf = {
  modality: () => app.setup.vocabulary.order.map((c) => ({ value: c, label: names.modality(c) })),
  segment: (modality) => segmentsOf(modality).map((c) => ({ value: c, label: names.segment(c) })),
  grade: (modality) => gradesOf(modality).map((g) => ({ value: g.code, label: g.label })),
  side: () => Object.entries(app.setup.vocabulary.sides).map(([value, label]) => ({ value, label })),
  status: () => Object.entries(app.setup.vocabulary.statuses).map(([value, label]) => ({ value, label })),
  certainty: () => Object.entries(app.setup.vocabulary.certainties).map(([value, label]) => ({ value, label })),
};

export const fieldLabel = {
  modality: "What", segment: "Where", side: "Side", grade: "Grade", status: "Status",
  certainty: "Certainty", note: "Note",
};

export function fieldValue(finding, field) {
  if (field === "modality") return names.modality(finding.modality);
  if (field === "segment") return names.segment(finding.segment);
  if (field === "grade") return finding.grade === null ? "none" : names.grade(finding.modality, finding.grade);
  if (field === "note") return finding.note || "none";
  return names[field](finding[field]);
}

const anchorOf = (field) => document.querySelector(`[data-focus="field:${field}"]`);

function pick(field, options, current, typed = "") {
  return choose(anchorOf(field), {
    title: fieldLabel[field], options, current, typed, after: pressLater,
  });
}

function save(index, field, value, also) {
  const before = record().findings[index];
  const edit = { kind: "change_finding", finding: index, field, value };
  if (also && Object.keys(also).length) edit.also = also;
  const after = { ...before, [field]: value, ...also };
  return change(edit, `${findingWords(after)}. It was ${findingWords(before)}.`);
}

// The key of a field: side and certainty turn over at once, the others open their list.
export function turn(field) {
  const index = app.selected?.kind === "finding" ? app.selected.index : null;
  if (index === null) return announce("Select a finding first.");
  const finding = record().findings[index];
  if (field === "side" && OTHER[finding.side]) return save(index, "side", OTHER[finding.side]);
  if (field === "certainty") {
    return save(index, field, finding.certainty === "possible" ? "definite" : "possible");
  }
  return editField(field);
}

// A digit goes straight to the grade of a scale that has numbers.
export function typeGrade(digit) {
  if (app.selected?.kind !== "finding") return false;
  const { modality } = record().findings[app.selected.index];
  if (!gradesOf(modality).some((g) => g.label.startsWith(digit))) return false;
  editField("grade", digit);
  return true;
}

export async function editField(field, typed = "") {
  const { index } = app.selected;
  const finding = record().findings[index];
  if (field === "note") return editNote(index, finding);
  if (field === "modality") return editModality(index, finding);
  if (field === "status") return editStatus(index, finding);
  const options = optionsOf[field](finding.modality);
  const value = await pick(field, options, finding[field], typed);
  if (value === null || value === finding[field]) return false;
  return save(index, field, value, field === "grade" && finding.status !== "observed"
    ? { status: "observed" } : undefined);
}

async function editModality(index, finding) {
  const modality = await pick("modality", optionsOf.modality(), finding.modality);
  if (modality === null || modality === finding.modality) return false;
  const also = {};
  if (!segmentsOf(modality).includes(finding.segment)) {
    const places = optionsOf.segment(modality);
    const segment = places.length === 1 ? places[0].value : await pick("segment", places, null);
    if (segment === null) return false;
    also.segment = segment;
  }
  if (finding.grade !== null && !gradesOf(modality).some((g) => g.code === finding.grade)) {
    const grade = await pick("grade", optionsOf.grade(modality), null);
    if (grade === null) return false;
    also.grade = grade;
  }
  return save(index, "modality", modality, also);
}

async function editStatus(index, finding) {
  const status = await pick("status", optionsOf.status(), finding.status);
  if (status === null || status === finding.status) return false;
  if (status !== "observed") return save(index, "status", status, { grade: null });
  const grade = await pick("grade", optionsOf.grade(finding.modality), null);
  return grade === null ? false : save(index, "status", status, { grade });
}

async function editNote(index, finding) {
  const note = await writeIn(anchorOf("note"), {
    title: `Note on ${placeWords(finding)}`, value: finding.note ?? "", hint: "Why, or what else",
  });
  if (note === null || note === (finding.note ?? "")) return false;
  return save(index, "note", note || null);
}
