// Which options typed letters or numbers mean: by the start of the name, of its words, or by
// the first letters of its words ("we" is wrist extension). Parts in the middle of a word
// count only when nothing else fits.

export function matching(options, typed) {
  const said = typed.trim().toLowerCase();
  if (!said) return options;
  const ranked = options
    .map((option, place) => ({ option, place, rank: rank(option.label.toLowerCase(), said) }))
    .filter((found) => found.rank < 9);
  const good = ranked.filter((found) => found.rank < 5);
  return (good.length ? good : ranked)
    .sort((a, b) => a.rank - b.rank || a.place - b.place)
    .map((found) => found.option);
}

export function exact(options, typed) {
  const said = typed.trim().toLowerCase();
  return said ? options.find((option) => option.label.toLowerCase() === said) : undefined;
}

function rank(label, said) {
  if (label === said) return 0;
  if (label.startsWith(said)) return 1;
  const words = label.split(/[^\p{L}\p{N}+-]+/u).filter(Boolean);
  if (words.map((word) => word[0]).join("").startsWith(said)) return 2;
  if (words.some((word) => word.startsWith(said))) return 3;
  if (inOrder(words, said.split(/\s+/))) return 4;
  return label.includes(said) ? 6 : 9;
}

// "el fl" fits "elbow flexion": each part opens a word, in order.
function inOrder(words, parts) {
  let at = 0;
  for (const part of parts) {
    while (at < words.length && !words[at].startsWith(part)) at += 1;
    if (at === words.length) return false;
    at += 1;
  }
  return true;
}

// Options whose words were said come first and say so, so that one key takes them.
export function saidFirst(options, spoken) {
  const heard = ` ${spoken.toLowerCase().replace(/[^\p{L}\p{N}+-]+/gu, " ")} `;
  const told = options.map((option) => ({ ...option, said: [option.label, ...(option.hints ?? [])]
    .some((words) => heard.includes(` ${words.toLowerCase()} `)) }));
  return told.sort((a, b) => Number(b.said) - Number(a.said));
}
