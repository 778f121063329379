// The words themselves, changed in place: what was heard stays beneath what they become.

import { app, rangeWords } from "./app.js";
import { writeIn } from "./choose.js";
import { announce } from "./dom.js";
import { offerLesson } from "./offers.js";
import { change } from "./saving.js";

export async function changeWords(stretch) {
  const span = stretch && document.querySelector(`#text [data-word="${stretch.first}"]`);
  if (!span) return announce("Choose words in the transcript first, with v.");
  const was = rangeWords(stretch.first, stretch.last);
  const now = await writeIn(span, { title: `Instead of “${was}”`, value: was, hint: "The words as said" });
  if (now === null || now === was || now === "") return false;
  const edit = { kind: "change_words", first_word: stretch.first, last_word: stretch.last, text: now };
  const base = app.view;
  const saved = await change(edit, `“${was}” became “${now}”.`);
  if (saved) offerLesson(base, edit, was, now);
  return saved;
}
