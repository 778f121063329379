// The list of valid codes that opens in place of a field. Typing narrows it; as soon as one
// code is left it is taken, and Enter takes the marked one. A key that fits no code takes a
// code that was typed out in full and then does what that key does elsewhere ("3", "n").
// Marked at first is what the field holds now, or what was said (`likely`); a code that
// nobody said is never marked unasked, so that Enter cannot put it in.

import { announce, h } from "./dom.js";
import { exact, matching } from "./matching.js";

let open = null;
let tail = { rest: "", until: 0 }; // letters of a code that was taken before it was typed out

export const isOpen = () => open !== null;
export const closeList = () => open?.close(null);

// Whether this key only finishes a word whose code was already taken.
export function isTail(pressed) {
  const fits = performance.now() < tail.until && tail.rest.startsWith(pressed.toLowerCase());
  tail = fits ? { ...tail, rest: tail.rest.slice(1) } : { rest: "", until: 0 };
  return fits;
}

// `anchor` is replaced while the list is open. Answers a value, or null when it was left.
export function choose(anchor, { title, options, current, likely, typed = "", after }) {
  closeList();
  return new Promise((answer) => {
    const input = h("input", {
      role: "combobox", "aria-expanded": "true", "aria-controls": "choices",
      "aria-autocomplete": "list", "aria-label": title, autocomplete: "off", spellcheck: "false",
      on: { input: typedSome, keydown: pressed, blur: () => list.close(null) },
    });
    const listbox = h("ul", { id: "choices", role: "listbox", "aria-label": title });
    const box = h("span", { class: "choose" }, input, listbox);
    let shown = options;
    const first = (among) => among.findIndex((o) => o.value === (current ?? likely));
    let marked = first(options);
    const list = { close, feed };
    open = list;
    anchor.hidden = true;
    anchor.after(box);
    input.focus({ preventScroll: true });
    input.value = typed;
    draw();
    listbox.scrollIntoView?.({ block: "nearest" });
    if (typed) typedSome();

    function draw() {
      listbox.replaceChildren(...shown.map((option, place) => h(
        "li",
        {
          id: `choice-${place}`, role: "option", "aria-selected": String(place === marked),
          on: { pointerdown: (event) => { event.preventDefault(); close(option.value); } },
        },
        option.label,
        option.value === current ? h("small", {}, " now") : null,
      )));
      if (!shown.length) listbox.append(h("li", { role: "option", "aria-disabled": "true",
        "aria-selected": "false" }, "No valid code begins like this"));
      input.setAttribute("aria-activedescendant", shown[marked] ? `choice-${marked}` : "");
      listbox.children[marked]?.scrollIntoView({ block: "nearest" });
    }
    function typedSome() {
      const found = matching(options, input.value);
      if (input.value.trim() && found.length === 1) {
        rememberTail(found[0].label, input.value);
        close(found[0].value);
        return;
      }
      shown = found;
      marked = input.value.trim() ? 0 : first(found);
      draw();
    }
    function pressed(event) {
      if (event.isComposing) return;
      event.stopPropagation();
      if (isTail(event.key) || take(event.key)) event.preventDefault();
    }
    function take(name) {
      if (name === "Escape") close(null);
      else if (name === "Enter") {
        if (shown[marked]) close(shown[marked].value);
        else announce("Nothing is marked yet: type, or use the arrows.");
      } else if (name === "ArrowDown" || name === "ArrowUp") {
        const step = name === "ArrowDown" ? 1 : -1;
        const from = marked < 0 && step < 0 ? 0 : marked;
        marked = (from + step + shown.length) % Math.max(1, shown.length);
        draw();
      } else if (name.length === 1 && name !== " ") {
        const whole = exact(options, input.value);
        if (!whole || matching(options, input.value + name).length) return false;
        close(whole.value);
        after?.(name);
      } else return false;
      return true;
    }
    function feed(name) {
      if (take(name)) return;
      if (name === "Backspace") input.value = input.value.slice(0, -1);
      else if (name.length === 1) input.value += name;
      else return;
      typedSome();
    }
    function close(value) {
      if (open !== list) return;
      open = null;
      const had = document.activeElement === input;
      box.remove();
      anchor.hidden = false;
      if (had) anchor.focus({ preventScroll: true });
      if (value === null) announce("Left as it was.");
      answer(value);
    }
  });
}

export const feed = (name) => isTail(name) || open?.feed(name);

function rememberTail(label, typed) {
  const said = typed.trim().toLowerCase();
  const whole = label.toLowerCase();
  const rest = whole.startsWith(said) ? whole.slice(said.length) : "";
  tail = { rest, until: performance.now() + 500 };
}

// A line of free text in place of a field; Enter keeps it, Escape leaves it as it was.
export function writeIn(anchor, { title, value, hint }) {
  closeList();
  return new Promise((answer) => {
    const input = h("input", {
      class: "written", "aria-label": title, placeholder: hint, value, maxlength: 400,
      on: { keydown: pressed, blur: () => line.close(null) },
    });
    const line = { close, feed: taken };
    open = line;
    anchor.hidden = true;
    anchor.after(input);
    input.focus({ preventScroll: true });
    input.select();

    function pressed(event) {
      if (event.isComposing) return;
      event.stopPropagation();
      if (event.key === "Enter") event.preventDefault();
      if (event.key === "Enter") close(input.value.trim());
      else if (event.key === "Escape") close(null);
    }
    function taken(name) {
      if (name === "Enter") close(input.value.trim());
      else if (name === "Escape") close(null);
      else if (name.length === 1) input.setRangeText(name, input.selectionStart, input.selectionEnd, "end");
    }
    function close(text) {
      if (open !== line) return;
      open = null;
      const had = document.activeElement === input;
      input.remove();
      anchor.hidden = false;
      if (had) anchor.focus({ preventScroll: true });
      if (text === null) announce("Left as it was.");
      answer(text);
    }
  });
}
