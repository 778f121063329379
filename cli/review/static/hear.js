// The audio behind what is selected, with half a second before and after (cut by the program).

import * as api from "./api.js";
import { app } from "./app.js";
import { announce, seconds } from "./dom.js";
import { selectedStretch } from "./selection.js";

let sound = null;

export async function hear() {
  if (sound && !sound.paused) {
    sound.pause();
    announce("Stopped.");
    return;
  }
  const stretch = selectedStretch();
  if (!app.view.has_audio) return announce("There is no recording beside this record.");
  if (!stretch || stretch.start === null) return announce("Select something that was said first.");
  const address = api.clipAddress(app.view.id, stretch.start, stretch.end ?? stretch.start);
  sound = new Audio(address);
  announce(`Playing ${seconds(stretch.start, stretch.end)}.`);
  try {
    await sound.play();
  } catch {
    announce(await reason(address));
  }
}

export function hush() {
  sound?.pause();
  sound = null;
}

async function reason(address) {
  try {
    await api.clipFault(address);
  } catch (fault) {
    if (fault instanceof api.Refused) return fault.message;
  }
  return "The recording cannot be played here.";
}
