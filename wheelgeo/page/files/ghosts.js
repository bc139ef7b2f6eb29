// Another wheel laid over the one on the board, to look at: taken, or laid aside.

import { ask, tell, trying } from "./asking.js";
import { changed } from "./bench.js";
import { arrange, boxesOf, round, within } from "./drawing.js";
import { lookForRemedies } from "./findings.js";
import { tallest } from "./ledge.js";
import { knowNames } from "./names.js";
import { counted, ghostGone } from "./questions.js";
import { asked, drawings, state } from "./state.js";
import { mechanics, more, words } from "./telling.js";
const $ = (id) => document.getElementById(id);

export async function remedy(finding, way) {
  await trying(async () => {
    const said = await ask("remedy", asked({ rule: finding.rule, where: finding.where, way }));
    await layOver(said.ghost, said.says);
  });
}

/** Lays another wheel over this one, to look at; nothing is changed. */
let laidBy = null;
export async function layOver(ghost, says, first = true) {
  if (first && document.activeElement !== $("take")) laidBy = document.activeElement;
  // Both as they are told at once: what differs in them is drawn, not how far each is finished.
  const [said, own] = await Promise.all([ask("ghost", asked({ ghost, fit: true })), ask("show", asked({ fit: true }))]);
  const other = boxesOf(said), mine = boxesOf(own), laid = { ghost, says };
  if (Object.entries(other).some(([name, box]) => !within(box, drawings[name].seen))) {
    const both = Object.fromEntries(Object.keys(mine).map((name) => [name, round(mine[name], other[name])]));
    arrange(drawings, both, tallest());
    state.widened = true;
    if (first) relabel();
  }
  state.laid = laid;
  knowNames(said.names);
  $("ghosting").hidden = false;
  $("ghost-says").textContent = says;
  $("ghost-wrong").textContent = "";
  $("over-it").textContent = `Laid over it, in dashes: ${says}`; // on paper, where the slip is not
  $("take").hidden = said.whole; // a whole wheel is compared: it lies on the board already
  for (const [name, data] of Object.entries(said.views)) drawings[name].ghost(data, own.views[name]);
  const known = state.whole?.mechanics ?? [];
  words(said, known.map((row) => ({ ...row, value: null, text: "…", was_text: row.text })), said.findings, false);
  const drawn = document.querySelector(".view .ghost path");
  if (first) {
    $(said.whole ? "leave" : "take").focus();
    // Where the slips stand under the drawing, what is laid over it is brought before the eye.
    if (matchMedia("(max-width: 64rem)").matches) $("sheet").scrollIntoView();
  }
  const rest = await trying(() => ask("whole", asked({ ghost }, [])));
  if (!rest || state.laid !== laid) return;
  words(said, rest.mechanics, rest.findings, true);
  more(rest);
  const wrong = counted(rest.findings);
  const today = state.whole?.revision === state.revision ? counted(state.whole.findings) : null;
  $("ghost-wrong").textContent = `${wrong.join(" and ") || "No fault and no warning"} with it${
    today ? `; this wheel has ${today.join(" and ") || "none"}` : ""}.`;
  const seen = drawn ? "Laid over, in dashes" : "It looks the same in the drawing; see its numbers";
  if (first) tell(wrong.length ? `${seen}; ${wrong.join(" and ")} with it` : seen);
}

export function leave() {
  if (!state.laid) return;
  state.laid = null;
  $("ghosting").hidden = true;
  $("over-it").textContent = "";
  ghostGone();
  for (const drawing of Object.values(drawings)) drawing.ghost(null);
  if (state.widened) {
    state.widened = false;
    arrange(drawings, state.boxes, tallest());
  }
  if (!state.seen) return;
  const known = state.whole?.revision === state.revision ? state.whole : null;
  words(state.seen, mechanics(false), known?.findings ?? state.seen.findings, Boolean(known));
  if (known) more(known);
  lookForRemedies();
}

export async function take() {
  const { ghost } = state.laid;
  leave();
  const said = await trying(() => ask("take", asked({ ghost, fit: true })));
  if (said) { $("does").focus(); await changed(said, "Taken: "); }
}

/** Places labels and rings anew where the scale is another: letters are as large at any. */
async function relabel() {
  const { scale } = drawings.plan;
  const said = await trying(() => ask("whole", asked({}, ["plan", "side"])));
  if (!said || said.wheel !== state.wheel || said.revision !== state.revision || scale !== drawings.plan.scale) return;
  for (const [name, data] of Object.entries(said.views)) {
    drawings[name].finish(data);
    if (!state.laid) drawings[name].flags(state.whole?.findings ?? state.seen.findings);
  }
}

/** Lays the other wheel aside; the keyboard goes back to what laid it there. */
export function aside() {
  const { widened } = state;
  leave();
  if (widened) relabel();
  const again = laidBy?.dataset?.way; // a list that was written anew has the same button again
  const by = laidBy?.isConnected ? laidBy : again && document.querySelector(`[data-way="${CSS.escape(again)}"]`);
  (by && !by.closest("[hidden]") ? by : $("does")).focus();
  tell("Laid aside.");
}
