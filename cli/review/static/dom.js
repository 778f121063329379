// Builds elements. Words of a record only ever become text nodes or attribute values.

export function h(tag, props, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "on") {
      for (const [kind, act] of Object.entries(value)) node.addEventListener(kind, act);
    } else if (name === "value" || name === "checked" || name === "disabled") {
      node[name] = value;
    } else {
      node.setAttribute(name, value === true ? "" : String(value));
    }
  }
  put(node, children);
  return node;
}

export function put(node, children) {
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false || child === "") continue;
    node.append(child instanceof Node ? child : String(child));
  }
}

export function fill(node, ...children) {
  node.replaceChildren();
  put(node, children);
}

export const vh = (words) => h("span", { class: "vh" }, words);
export const key = (name) => h("kbd", { "aria-hidden": "true" }, name);

// A button that names its key; `focus` is what finds it again after the page was redrawn.
export function button(words, act, { shortcut, focus, hidden, ...props } = {}) {
  return h(
    "button",
    {
      type: "button",
      "data-focus": focus,
      "aria-keyshortcuts": shortcut,
      ...props,
      on: { click: act },
    },
    words,
    hidden ? vh(` ${hidden}`) : null,
    shortcut ? key(shortcut) : null,
  );
}

let timer = 0;
export function announce(words) {
  const live = document.getElementById("live");
  clearTimeout(timer);
  live.textContent = "";
  timer = setTimeout(() => { live.textContent = words; }, 40);
}

export function focusOn(name, options) {
  const node = name && document.querySelector(`[data-focus="${CSS.escape(name)}"]`);
  if (node) node.focus(options);
  return Boolean(node);
}

// Redraws and gives the focus back to what stands in the place of what had it.
export function keepFocus(redraw) {
  const active = document.activeElement;
  const name = active?.dataset?.focus;
  redraw();
  if (name && document.activeElement !== active) focusOn(name, { preventScroll: true });
}

export function seconds(start, end) {
  if (start === null || start === undefined) return "";
  const last = end === null || end === undefined ? "" : `–${end.toFixed(1)}`;
  return `${start.toFixed(1)}${last} s`;
}

export function moment(text) {
  if (!text) return "";
  const when = new Date(text);
  if (Number.isNaN(when.getTime())) return String(text);
  return when.toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
}

export function ageWords(months) {
  if (months === null || months === undefined) return "not recorded";
  const years = Math.floor(months / 12);
  const rest = months % 12;
  const part = (count, word) => (count ? `${count} ${word}${count === 1 ? "" : "s"}` : "");
  return [part(years, "year"), part(rest, "month")].filter(Boolean).join(" ") || "0 months";
}

// "5y4m", "5 years", "64" (months), "64m"; null when it is none of these, "" means none.
export function readAge(text) {
  const said = text.trim().toLowerCase();
  if (said === "") return "";
  const match = /^(?:(\d{1,3})\s*y(?:ears?|rs?)?)?\s*(?:(\d{1,4})\s*(?:m(?:onths?|os?)?)?)?$/.exec(said);
  if (!match || (match[1] === undefined && match[2] === undefined)) return null;
  return Number(match[1] ?? 0) * 12 + Number(match[2] ?? 0);
}
