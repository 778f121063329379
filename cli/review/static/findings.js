// The findings side by side, left and right, as examined; the selected one opens in place.

import { app, gradeWords, isSelected, isUnsure, names, record, shownFindings, tagsOf } from "./app.js";
import { button, fill, h, moment, seconds, vh } from "./dom.js";
import { editField, fieldLabel, fieldValue } from "./fields.js";
import { select } from "./selection.js";

const FIELDS = [["modality", "m"], ["segment", "w"], ["side", "s"], ["grade", "g"],
  ["status", "t"], ["certainty", "c"], ["note", "o"]];

let act = {};
export function offer(actions) {
  act = actions;
}

export function drawFindings(section) {
  const { groups } = app.view;
  const shown = shownFindings();
  const context = {
    tags: tagsOf(shown),
    open: new Set(app.view.attention.flatMap((item) => [item.finding, ...(item.findings ?? [])])),
    abnormal: new Set(app.view.interpretation.abnormal),
    stop: app.selected?.kind === "finding" ? app.selected.index : shown[0],
  };
  fill(
    section,
    h("div", { class: "heading" },
      h("h2", {}, "Findings ", h("span", { class: "count soft" }, String(record().findings.length))),
      button("Add a finding", act.add, { shortcut: "a", focus: "do:add" })),
    h("div", { id: "compose" }),
    groups.length ? table(groups, context)
      : h("p", { class: "soft" }, "No findings are recorded. That does not mean that all is normal."),
  );
  drawEditor();
}

function table(groups, context) {
  return h(
    "table",
    { class: "findings" },
    h("caption", { class: "soft" }, "– stands for nothing recorded; it does not stand for normal. "
      + "● is other than normal at this age, ? is still to check."),
    h("thead", {}, h("tr", {},
      h("th", { scope: "col" }, vh("Place")),
      h("th", { scope: "col" }, "Left"),
      h("th", { scope: "col" }, "Right"))),
    groups.map((group) => body(group, context)),
  );
}

function body(group, context) {
  const alone = group.rows.length === 1 && group.rows[0].segment === "none";
  return h(
    "tbody",
    {},
    alone ? null : h("tr", { class: "group" }, h("th", { scope: "rowgroup", colspan: "3" }, group.label)),
    group.rows.flatMap((row) => rows(row, alone, context)),
  );
}

function rows(row, alone, context) {
  const head = () => h("th", { scope: "row", class: alone ? "lone" : null }, row.label);
  const cell = (column) => h("td", {}, row[column].length
    ? row[column].map((index) => chip(index, context))
    : [h("span", { class: "soft", "aria-hidden": "true" }, "–"), vh("nothing recorded")]);
  const lines = [];
  if (row.left.length || row.right.length) lines.push(h("tr", {}, head(), cell("left"), cell("right")));
  if (row.midline.length) {
    lines.push(h("tr", {}, head(), h("td", { colspan: "2", class: "middle" }, row.midline.map((index) => chip(index, context)))));
  }
  return lines;
}

function chip(index, { tags, open, abnormal, stop }) {
  const finding = record().findings[index];
  const side = ["left", "right", "none"].includes(finding.side) ? "" : names.side(finding.side);
  const unsure = isUnsure(finding);
  const tag = tags.get(index);
  return h(
    "button",
    {
      type: "button", "data-focus": `finding:${index}`, "data-finding": index,
      class: `chip${unsure ? " unsure" : ""}`, tabindex: index === stop ? "0" : "-1",
      "aria-expanded": String(isSelected("finding", index)),
      "aria-keyshortcuts": tag ? [...tag].map((letter) => `Shift+${letter}`).join(" ") : null,
      on: { click: () => select({ kind: "finding", index }) },
    },
    tag ? h("kbd", { class: "tag", "aria-hidden": "true" }, tag) : null,
    vh(`${names.modality(finding.modality)} ${finding.segment === "none" ? "" : names.segment(finding.segment)} ${["left", "right"].includes(finding.side) ? finding.side : ""}: `),
    abnormal.has(index) ? [h("span", { class: "dot", "aria-hidden": "true" }, "●"), vh("abnormal, ")] : null,
    h("span", { class: "grade" }, gradeWords(finding)),
    side ? h("small", {}, side) : null,
    finding.certainty === "possible" ? h("small", {}, "possible") : null,
    unsure ? h("small", {}, `unsure ${Math.round(finding.confidence * 100)} %`) : null,
    finding.origin.by === "reviewer" ? h("small", {}, "✓", vh(" by a reviewer")) : null,
    finding.note ? h("small", { class: "note" }, finding.note) : null,
    open.has(index) ? h("span", { class: "ask" }, h("span", { "aria-hidden": "true" }, "?"), vh(" to check")) : null,
  );
}

// Opens the editor under the row of the selected finding, and closes the one before.
export function drawEditor() {
  document.querySelectorAll("#table .editing").forEach((node) => node.remove());
  document.querySelectorAll("#table .chip").forEach((node) => {
    const on = isSelected("finding", Number(node.dataset.finding));
    node.setAttribute("aria-expanded", String(on));
    if (app.selected?.kind === "finding") node.tabIndex = on ? 0 : -1;
    if (on) node.closest("tr").after(h("tr", { class: "editing" },
      h("td", { colspan: "3" }, editor(app.selected.index))));
  });
}

function editor(index) {
  const finding = record().findings[index];
  const { evidence, origin } = finding;
  return h(
    "div",
    { role: "group", "aria-label": "The selected finding" },
    h("dl", { class: "fields" }, FIELDS.map(([field, shortcut]) => h("div", {},
      h("dt", {}, fieldLabel[field]),
      h("dd", {}, fieldButton(finding, field, shortcut))))),
    h("p", { class: "actions" },
      button("Hear", act.hear, { shortcut: "p", focus: "do:hear", disabled: !app.view.has_audio }),
      button("Right as it is", act.agree, { shortcut: "y", focus: "do:agree" }),
      button("Other side too", act.bothSides, { shortcut: "b", focus: "do:both" }),
      button("Reject", act.refuse, { shortcut: "x", focus: "do:refuse" })),
    h("p", { class: "soft source" },
      evidence ? [`“${evidence.corrected}” `,
        evidence.heard !== evidence.corrected ? `(heard “${evidence.heard}”) ` : "",
        seconds(evidence.start_s, evidence.end_s)] : "No words stand behind this finding.",
      " · ",
      origin.by === "reviewer" ? `by ${origin.who ?? "a reviewer"}, ${moment(origin.when)}`
        : `heard, ${Math.round(finding.confidence * 100)} % sure`),
  );
}

function fieldButton(finding, field, shortcut) {
  const flips = (field === "side" && ["left", "right"].includes(finding.side)) || field === "certainty";
  const value = fieldValue(finding, field);
  return button(value, () => editField(field), {
    shortcut, focus: `field:${field}`, class: "field", "aria-description": flips
      ? `The key ${shortcut} turns this over; the button offers all values` : null,
    hidden: `, change ${fieldLabel[field].toLowerCase()}`,
  });
}
