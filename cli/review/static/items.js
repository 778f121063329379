// Everything beside the table that a person decides on: what to check, stretches that were
// not understood, corrected words, taught facts, and findings that were rejected.

import { app, findingWords, isSelected, record, stretchOf } from "./app.js";
import { button, fill, h, moment, seconds } from "./dom.js";
import { check, checkedPlace, select } from "./selection.js";

let act = {};
export function offer(actions) {
  act = actions;
}

export function drawCheck(section) {
  const { attention } = app.view;
  const now = checkedPlace();
  fill(
    section,
    h("div", { class: "heading" },
      h("h2", {}, "To check ", h("span", { class: "count soft" }, String(attention.length))),
      button("Next", act.next, { shortcut: "n", focus: "do:next", class: "strong", hidden: "to check" })),
    attention.length
      ? h("ol", { class: "todo" }, attention.map((item, place) => h("li", {},
        button(item.text, () => check(place), {
          focus: `check:${place}`, class: "plain", "aria-current": place === now ? "true" : null,
        }))))
      : h("p", { class: "soft" }, "Nothing is left to check."),
  );
}

function item(kind, index, content, actions) {
  const on = isSelected(kind, index);
  return h("li", { "data-item": `${kind}:${index}`, class: on ? "item on" : "item" },
    h("button", {
      type: "button", class: "plain", "data-focus": `${kind}:${index}`,
      "aria-expanded": String(on), on: { click: () => select({ kind, index }) },
    }, content),
    on ? h("p", { class: "actions" }, actions) : null);
}

function section(node, title, count, note, items) {
  node.hidden = !items.length;
  if (node.hidden) return node.replaceChildren();
  fill(node, h("h2", {}, `${title} `, h("span", { class: "count soft" }, String(count))),
    note ? h("p", { class: "soft" }, note) : null, h("ul", { class: "items" }, items));
}

const hearButton = () => button("Hear", act.hear, {
  shortcut: "p", focus: "do:hear", disabled: !app.view.has_audio });

const quoted = (words) => h("q", {}, words);

function time(kind, index) {
  const stretch = stretchOf({ kind, index });
  const words = stretch ? seconds(stretch.start, stretch.end) : "";
  return words ? h("small", { class: "soft" }, ` ${words}`) : null;
}

export function drawUnresolved(node) {
  const all = record().unresolved.map((u, index) => ({ u, index }));
  const open = all.filter(({ u }) => !u.settled);
  section(node, "Not understood", open.length,
    "Words of the trade that made no finding. Nothing said is left out silently.",
    all.map(({ u, index }) => item("unresolved", index,
      [u.settled ? h("span", { class: "state" }, u.settled.how === "finding" ? "✓ made a finding" : "✓ nothing to record") : null,
        " ", quoted(u.evidence.corrected), time("unresolved", index),
        h("small", { class: "soft" }, ` ${u.reason}`)],
      [hearButton(),
        button("Make a finding", act.fromStretch, { shortcut: "f", focus: "do:make" }),
        button("Nothing to record", act.settle, { shortcut: "d", focus: "do:settle" }),
        button("Choose words", act.words, { shortcut: "v", focus: "do:words" })])));
}

export function drawCorrections(node) {
  section(node, "Corrected words", record().corrections.length, null,
    record().corrections.map((c, index) => item("correction", index,
      [h("span", { class: "state" }, c.decided ? "✓ " : "", c.made ? "changed" : c.decided ? "left as heard" : "only suggested"), " heard ", quoted(c.heard),
        c.made ? " became " : " perhaps ", quoted(c.became), time("correction", index),
        isSelected("correction", index) ? h("small", { class: "soft" }, ` ${c.reason}`) : null],
      [hearButton(),
        button(c.made ? "Right as it is" : "Make the change", act.agree, { shortcut: "y", focus: "do:agree" }),
        c.made ? button("Take it back", act.refuse, { shortcut: "x", focus: "do:refuse" })
          : button("Leave as heard", act.refuse, { shortcut: "x", focus: "do:refuse" })])));
}

const RESULT = { agrees: "✓ agrees with the tables", variant: "≈ some tables say so",
  contradicts: "✗ contradicts the tables", no_table: "no table to check against" };

export function drawClaims(node) {
  const checks = new Map(app.view.interpretation.claim_checks.map((c) => [c.claim, c]));
  section(node, "Taught facts", record().claims.length,
    "Said to teach, not found in this person. They are held against the reference tables.",
    record().claims.map((c, index) => {
      const held = checks.get(index);
      return item("claim", index,
        [h("span", { class: "state" }, c.origin?.by === "reviewer" ? "✓ by a reviewer, " : "", RESULT[held?.result] ?? ""), " ", app.view.labels.claims[index],
          time("claim", index), held && held.result !== "agrees" ? h("small", { class: "soft" }, ` ${held.text}`) : null],
        [hearButton(),
          button("It was taught so", act.agree, { shortcut: "y", focus: "do:agree" }),
          button("Change the value", act.claimValue, { shortcut: "g", focus: "do:value" }),
          button("Change the subject", act.claimSubject, { shortcut: "w", focus: "do:subject" }),
          button("Reject", act.refuse, { shortcut: "x", focus: "do:refuse" })]);
    }));
}

export function drawRejected(node) {
  section(node, "Rejected findings", (record().rejected ?? []).length, "They count for nothing, and can be taken back in.",
    (record().rejected ?? []).map((r, index) => item("rejected", index,
      [h("s", {}, findingWords(r.finding)), h("small", { class: "soft" }, ` by ${r.who}, ${moment(r.when)}`, r.why ? `: ${r.why}` : "")],
      [hearButton(), button("Take back in", act.agree, { shortcut: "y", focus: "do:agree" })])));
}
