// Single keys. Each is listed on the page, and all can be turned off (WCAG 2.1.4); then every
// one of them still has its button. Keys typed while a change is being saved wait their turn.

import { app, shownFindings, tagsOf } from "./app.js";
import { feed, isOpen, isTail } from "./choose.js";
import { announce } from "./dom.js";

let commands = new Map();
let digit = () => false;
let arrow = () => {};
let leave = () => {};
let letters = { prefix: "", until: 0 };
const later = [];

export function listen(table, { onDigit, onArrow, onLeave, onTag }) {
  commands = new Map(table.filter((entry) => entry.key).map((entry) => [entry.key, entry.act]));
  digit = onDigit;
  arrow = onArrow;
  leave = onLeave;
  tag = onTag;
  document.addEventListener("keydown", pressed, { capture: true });
}

let tag = () => {};

const TYPING = "input:not([type=checkbox]), textarea, select, [contenteditable]";

function pressed(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
  if (document.querySelector("dialog[open]") || !app.view) return;
  if (app.busy || later.length) {
    if (event.key.length === 1 || ["Enter", "Escape", "Backspace"].includes(event.key)) {
      if (!app.shortcuts) return;
      event.preventDefault();
      event.stopPropagation();
      later.push(event.key);
    }
    return;
  }
  if (event.target.matches?.(TYPING)) return;
  if (isTail(event.key)) {
    event.preventDefault();
    return;
  }
  if (inTable(event) && event.key.startsWith("Arrow")) {
    event.preventDefault();
    arrow(event.key);
    return;
  }
  if (event.key === "Escape") leave();
  if (event.key === "Enter" || event.key === " " || !app.shortcuts) return;
  if (press(event.key)) event.preventDefault();
}

const inTable = (event) =>
  event.target.closest?.("#table table") || (event.target === document.body && app.shortcuts);

// What one key does; answers whether it did anything.
function press(name) {
  if (name.length !== 1) return false;
  if (/[A-Z]/.test(name) || letters.prefix) return pickByLetter(name.toUpperCase());
  if (/[0-9]/.test(name)) return digit(name);
  const act = commands.get(name);
  if (act) act();
  return Boolean(act);
}

function pickByLetter(letter) {
  const prefix = performance.now() < letters.until ? letters.prefix : "";
  letters = { prefix: "", until: 0 };
  if (!/[A-Z]/.test(letter)) return false;
  const tags = tagsOf(shownFindings());
  const wanted = prefix + letter;
  for (const [index, name] of tags) {
    if (name === wanted) {
      tag(index);
      return true;
    }
  }
  if ([...tags.values()].some((name) => name.startsWith(wanted))) {
    letters = { prefix: wanted, until: performance.now() + 3000 };
    announce(`${wanted}, and a second letter`);
    return true;
  }
  announce(`No finding has the letter ${wanted}.`);
  return true;
}

// A key that came too early, or that ended a list: done as soon as nothing is on its way.
export function pressLater(name) {
  later.push(name);
  setTimeout(replay, 0);
}

// Keys that were meant for a record that is no longer open are let go.
export function forget() {
  later.length = 0;
  letters = { prefix: "", until: 0 };
}

export function replay() {
  while (later.length && !app.busy) {
    const name = later.shift();
    if (isOpen()) feed(name);
    else if (name === "Enter") document.activeElement?.click?.();
    else if (!isTail(name)) press(name);
    if (later.length) {
      setTimeout(replay, 0); // a list or a save may only now be opening
      return;
    }
  }
}
