// What the page knows: one object, and the few questions that all parts ask of it.

export const app = {
  setup: null, // labels and codes, from the program
  view: null, // the record that is open, as the program last answered
  selected: null, // {kind, index}: finding, unresolved, correction, claim, rejected, fact
  near: null, // where a finding was that is rejected now
  range: null, // {first, last}: words chosen in the transcript
  checking: null, // where `next to check` stands: {id, position}
  waiting: null, // a change that is not saved yet: {what, body, told, message, kept}
  busy: false, // a change is on its way
  who: "",
  shortcuts: true,
};

const WHO = "plessor.reviewer";

// A cookie, since it holds for every port: each run of the program may have another.
const KEYS_OFF = "plessor_keys=off";

export function recall() {
  app.shortcuts = !document.cookie.split("; ").includes(KEYS_OFF);
  app.who = sessionStorage.getItem(WHO) || app.setup?.reviewer || "";
}

export function setShortcuts(on) {
  app.shortcuts = on;
  document.cookie = `${KEYS_OFF}; path=/; SameSite=Strict; max-age=${on ? 0 : 31_536_000}`;
}

export function setWho(name) {
  app.who = name.trim();
  sessionStorage.setItem(WHO, app.who);
}

export const record = () => app.view.record;
export const isSelected = (kind, index) =>
  app.selected?.kind === kind && app.selected.index === index;

const code = (words) => (words ?? "").replaceAll("_", " ");
const vocabulary = () => app.setup.vocabulary;

export const names = {
  modality: (c) => vocabulary().modalities[c]?.label ?? code(c),
  segment: (c) => (c === "none" ? "no place" : (vocabulary().segments[c] ?? code(c))),
  side: (c) => vocabulary().sides[c] ?? code(c),
  status: (c) => vocabulary().statuses[c] ?? code(c),
  certainty: (c) => vocabulary().certainties[c] ?? code(c),
  grade: (modality, c) =>
    vocabulary().modalities[modality]?.grades.find((g) => g.code === c)?.label ?? code(c),
};

export function segmentsOf(modality) {
  return vocabulary().modalities[modality]?.segments ?? [];
}

export function gradesOf(modality) {
  return vocabulary().modalities[modality]?.grades ?? [];
}

export function placeWords(finding) {
  const what = names.modality(finding.modality);
  return finding.segment === "none" ? what : `${what}, ${names.segment(finding.segment)}`;
}

export function gradeWords(finding) {
  return finding.grade === null
    ? names.status(finding.status)
    : names.grade(finding.modality, finding.grade);
}

export function findingWords(finding) {
  const side = finding.side === "none" ? "" : `, ${names.side(finding.side)}`;
  const doubt = finding.certainty === "possible" ? ", possible" : "";
  return `${placeWords(finding)}${side}: ${gradeWords(finding)}${doubt}`;
}

export const isUnsure = (finding) => finding.confidence < app.setup.low_confidence;

export function rangeWords(first, last) {
  return record().words.slice(first, last + 1).map((w) => w.text).join(" ");
}

// The stretch of words and of audio behind an item: {first, last, start, end}, or null.
export function stretchOf(item) {
  if (!item || !app.view) return null;
  const from = {
    finding: () => record().findings[item.index]?.evidence,
    unresolved: () => record().unresolved[item.index]?.evidence,
    claim: () => record().claims[item.index]?.evidence,
    rejected: () => record().rejected?.[item.index]?.finding.evidence,
    correction: () => record().corrections[item.index],
    words: () => ({ first_word: item.first, last_word: item.last }),
  }[item.kind]?.();
  if (!from) return null;
  const words = record().words.slice(from.first_word, from.last_word + 1);
  const timed = words.filter((w) => w.start_s !== null && w.end_s !== null);
  return {
    first: from.first_word,
    last: from.last_word,
    start: from.start_s ?? timed[0]?.start_s ?? null,
    end: from.end_s ?? timed.at(-1)?.end_s ?? null,
  };
}

// The rows of the table in the order shown, each finding once: what arrows and letters follow.
export function shownFindings() {
  return app.view.groups.flatMap((group) => group.rows.flatMap(cellsOf)).map((cell) => cell.index);
}

export function cellsOf(row) {
  return ["left", "right", "midline"].flatMap((column) =>
    (row[column] ?? []).map((index) => ({ column, index })));
}

// Letters that pick a finding: one capital each while 26 suffice, else some need two.
export function tagsOf(shown) {
  const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
  const pairs = Math.min(26, Math.max(0, Math.ceil((shown.length - 26) / 25)));
  const tags = [...letters.slice(0, 26 - pairs)];
  for (const first of letters.slice(26 - pairs)) for (const next of letters) tags.push(first + next);
  return new Map(shown.map((index, place) => [index, tags[place] ?? ""]));
}
