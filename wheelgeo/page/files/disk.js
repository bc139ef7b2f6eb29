// The design file on the disk, which an editor beside the page may change.

import { ask, make, Refused, tell, trying } from "./asking.js";
import { asked, handBusy, refresh, state } from "./bench.js";

const $ = (id) => document.getElementById(id);

export async function watch() {
  let next = 800; // milliseconds
  if (state.wheel !== null && !document.hidden) {
    const said = await trying(() => ask("disk", { wheel: state.wheel }));
    if (!said) next = 5000; // the program has stopped, or is busy: it is not pestered
    if (said && said.wheel === state.wheel) {
      if (said.revision !== state.revision && !handBusy()) await refresh();
      await onDisk(said);
    }
  }
  setTimeout(watch, next);
}

async function onDisk(said) {
  const note = $("disk");
  if (said.disk === "changed" && !said.changed) {
    try {
      await ask("reload", asked());
      tell("The file was changed in an editor: it is read again.");
      await refresh();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      // Asked again and again until it is mended, but said once, and where it stays.
      const words = `The file was changed in an editor, and cannot be read as it stands: ${error.message}. Here the wheel stays as it was.`;
      if (note.textContent !== words) note.textContent = words;
      note.hidden = false;
    }
  } else if (said.disk === "changed") {
    if (!note.hidden) return;
    const theirs = make("button", { type: "button" }, "Take the file's"), mine = make("button", { type: "button" }, "Write mine over it");
    theirs.addEventListener("click", async () => { await trying(() => ask("reload", asked())); note.hidden = true; await refresh(); });
    mine.addEventListener("click", async () => { await trying(() => ask("save", asked({ over: true }))); note.hidden = true; await refresh(); });
    note.replaceChildren("The file was changed in an editor, and so was the wheel here. What you leave can be had back by Undo. ", theirs, " ", mine);
    note.hidden = false;
  } else if (said.disk === "gone" || said.disk === "unreadable") {
    note.textContent = said.disk === "gone" ? "The file is no longer there; Save writes it again." : "The file cannot be read as it stands now.";
    note.hidden = false;
  } else {
    note.hidden = true;
  }
}
