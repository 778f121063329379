// The few questions that stop the work: who reviews, whether to amend, whether to sign.

import { app, setWho } from "./app.js";
import { moment } from "./dom.js";
import { button, h } from "./dom.js";

// Shows a dialog and answers what its form gave, or null when it was left.
function ask(title, content, confirm, read) {
  return new Promise((answer) => {
    const before = document.activeElement;
    let result = null;
    const box = h(
      "dialog",
      { "aria-labelledby": "ask-title", on: { close: done } },
      h(
        "form",
        { method: "dialog", on: { submit: taken } },
        h("h2", { id: "ask-title" }, title),
        content,
        h(
          "p",
          { class: "choices" },
          h("button", { type: "submit", class: "strong" }, confirm),
          button("Cancel", () => box.close()),
        ),
      ),
    );
    function taken(event) {
      event.preventDefault();
      result = read(box);
      if (result !== null) box.close();
    }
    function done() {
      box.remove();
      if (before?.isConnected) before.focus({ preventScroll: true });
      answer(result);
    }
    document.body.append(box);
    box.showModal();
    box.querySelector("#ask-name")?.select();
  });
}

function nameField(label, value) {
  return h(
    "p",
    { class: "field" },
    h("label", { for: "ask-name" }, label),
    h("input", {
      id: "ask-name", required: true, maxlength: 120, autocomplete: "name", value,
    }),
  );
}

const readName = (box) => box.querySelector("#ask-name").value.trim() || null;

export async function askName() {
  const name = await ask(
    "Who reviews?",
    [h("p", {}, "Your name stands with every change in the history."), nameField("Name", app.who)],
    "Go on",
    readName,
  );
  if (name) setWho(name);
  return name;
}

export async function confirmAmendment() {
  const by = app.view.signature;
  return ask(
    "This record is signed",
    [
      h("p", {}, `Version ${app.view.version} was signed by ${by?.who ?? "somebody"}`,
        by ? `, ${moment(by.when)}` : "", ". It stays as it is."),
      h("p", {}, "Your change makes an amendment: a new version that wants a signature of its own."),
    ],
    "Make an amendment",
    () => true,
  );
}

const OPEN_SHOWN = 5;

export async function confirmSigning() {
  const items = app.view.attention;
  const open = items.length;
  const more = open - OPEN_SHOWN;
  return ask(
    "Sign this record",
    [
      h("p", {}, open
        ? `${open} ${open === 1 ? "item is" : "items are"} still open to check.`
        : "Nothing is left to check."),
      open ? h("ul", {}, items.slice(0, OPEN_SHOWN).map((item) => h("li", {}, item.text)),
        more > 0 ? h("li", {}, `and ${more} more`) : null) : null,
      h("p", {}, "Your name and the time are put to this version, and a later change makes an "
        + "amendment. What you sign is a record of what was found; it is not a diagnosis."),
      nameField("Signed by", app.who),
      h("p", { class: "check" },
        h("label", {}, h("input", { type: "checkbox", required: true, id: "ask-read" }),
          " I have read this record against what I found.")),
    ],
    "Sign",
    readName,
  );
}
