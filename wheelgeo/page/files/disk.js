// The design file on the disk, which an editor beside the page may change; and what is in no file.

import { ask, make, Refused, settled, Stopped, tell, trying } from "./asking.js";
import { IN_ADDRESS, stands } from "./address.js";
import { forgetHeard } from "./announcing.js";
import { handBusy, layDown, refresh } from "./bench.js";
import { save } from "./questions.js";
import { asked, state, WINDOW } from "./state.js";

const $ = (id) => document.getElementById(id);
const links = new Map(); // of each wheel that is in no file as it is now: title, revision, link
const READ_AGAIN = "The file was changed in an editor: it is read again.";

export async function watch() {
  let next = 800; // milliseconds
  $("away").hidden = state.wheel === null;
  if (state.wheel !== null && !document.hidden) {
    try {
      const holds = Object.fromEntries([...links].map(([wheel, { revision }]) => [wheel, revision]));
      const said = await ask("disk", { wheel: state.wheel, holds });
      remember(said.unkept);
      if (said.wheel === state.wheel) {
        if (said.revision === state.revision) stands(said);
        else if (!handBusy()) await changedElsewhere(said);
        await onDisk(said);
      }
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      next = 5000; // it is not pestered
      if (error instanceof Stopped) stopped();
      else tell(error.message, true);
    }
  }
  setTimeout(watch, next);
}

/** Shows what the wheel became elsewhere: what was told here of it as it was is told no more. */
async function changedElsewhere({ by }) {
  if (by !== WINDOW) {
    forgetHeard();
    tell(by === "editor" ? READ_AGAIN : "The wheel was changed in another window.");
  }
  await refresh();
}

function remember(unkept) {
  for (const wheel of [...links.keys()]) if (!unkept.some((one) => one.wheel === wheel)) links.delete(wheel);
  for (const one of unkept) if (one.link) links.set(one.wheel, one);
}

/**
 * Shows a note until another one takes its place, and tells it as it comes; tells whether it is a new
 * one. What Save was refused for while the last one stood is so no more.
 */
let noted = "";
function note(key, ...nodes) {
  const place = $("disk");
  place.hidden = !nodes.length;
  if (place.dataset.says === key) return false;
  if (place.dataset.says) settled($("save"));
  place.dataset.says = key;
  place.replaceChildren(...nodes);
  if (nodes.length) tell(nodes[0], true);
  else if ($("status").textContent === noted) tell("");
  noted = nodes[0] ?? "";
  return nodes.length > 0;
}

function stopped() {
  const lost = [...links.values()];
  const held = lost.map(({ title, link }) => make("label", {}, `${title} `,
    make("input", { readonly: true, value: `#${IN_ADDRESS}${link}` })));
  const fresh = note("stopped", "The program has stopped. Start wheelgeo open again in a terminal. ",
    ...(lost.length ? ["What is in no file is in these links: copy them, and paste them there under “A link that holds a wheel”. "] : []), ...held);
  if (fresh) $("disk").scrollIntoView({ block: "nearest" });
}

async function readAgain(words, chosen = false) {
  await ask("reload", asked({ chosen }));
  tell(words);
  await refresh();
}

async function onDisk(said) {
  if (said.disk === "changed" && !said.changed) {
    try {
      await readAgain(READ_AGAIN);
      note("");
    } catch (error) {
      if (!(error instanceof Refused) || error instanceof Stopped) throw error;
      // Asked again and again until it is mended, but said once, and where it stays.
      const words = `The file was changed in an editor, and cannot be read as it stands: ${error.message}. Here the wheel stays as it was.`;
      note(words, words);
    }
  } else if (said.disk === "changed") {
    const choice = (words, work) => {
      const button = make("button", { type: "button" }, words);
      button.addEventListener("click", () => trying(async () => {
        await work();
        note("");
        if (document.activeElement === document.body) $("title").focus({ preventScroll: true }); // the choice is gone
      }));
      return button;
    };
    const choices = () => [
      choice("Take the file's", () => readAgain("What stands in the file is taken.", true)), " ",
      choice("Write mine over it", () => save({ over: true }))];
    note("conflict", "The file was changed in an editor, and so was the wheel here. What you leave can be had back by Undo. ", ...choices());
    // Where Save was refused for it, what can be done stands beside it too.
    const refused = $("save").querySelector(".refused");
    if (refused?.textContent.includes(said.says) && !refused.querySelector("button")) refused.append(" ", ...choices());
  } else if (said.says) {
    note(said.says, said.says);
  } else {
    note("");
  }
}

/** Takes the wheel from the board; one that is in no file as it is now only where that is meant. */
async function away(anyway) {
  const gone = state.wheel;
  const said = await ask("away", asked({ anyway }));
  const place = $("away");
  place.querySelector(".refused")?.remove();
  if (!said.away) {
    const button = make("button", { type: "button" }, "Put it away all the same");
    button.addEventListener("click", () => trying(() => away(state.wheel === gone)));
    place.append(make("span", { class: "refused", role: "alert" }, `It is in no file as it is now (${said.lies_in}). `, button));
    return;
  }
  links.delete(gone);
  if (said.wheels.length) { await layDown(said.wheels[0].wheel); tell("The wheel is put away."); }
  else location.replace(location.pathname);
}

$("away").addEventListener("submit", (event) => {
  event.preventDefault();
  trying(() => away(false));
});
