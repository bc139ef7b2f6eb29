// The bench: a wheel is laid on the board, changed by hand, and shown as it then is.

import { inAddress, stands } from "./address.js";
import { announce, announceRest, forgetHeard, stops } from "./announcing.js";
import { ask, make, tell, trying } from "./asking.js";
import { watch } from "./disk.js";
import { arrange, boxesOf, Drawing, within } from "./drawing.js";
import { every, sieve } from "./every.js";
import { lookForRemedies, printAll } from "./findings.js";
import { aside, layOver, leave, take } from "./ghosts.js";
import { followLedge, tallest } from "./ledge.js";
import { cut, followNames, knowNames } from "./names.js";
import { askings, stale, whatTheyAre } from "./questions.js";
import { asked, drawings, state } from "./state.js";
import { mechanics, more, numbers, words } from "./telling.js";
import { turnable, turned } from "./turning.js";
import { type } from "./typing.js";

const $ = (id) => document.getElementById(id);
for (const name of ["plan", "side", "turned"]) {
  drawings[name] = new Drawing(name, { drag, type, drop, unit: () => state.unit });
}

// --- showing ---------------------------------------------------------------------------------------

function show(said, { fit = false, held = false } = {}) {
  state.seen = said;
  state.revision = said.revision;
  knowNames(said.names);
  for (const id of ["sheet", "what", "wrong", "ask", "every", "bench", "care"]) $(id).hidden = false;
  stands(said);
  $("retune").elements.count.dataset.unit = said.count_unit ?? "";
  $("board").classList.remove("bare");
  $("described").textContent = said.described;
  stale();
  if (fit) {
    state.boxes = boxesOf(said);
    arrange(drawings, state.boxes, tallest());
  }
  for (const [name, data] of Object.entries(said.views)) drawings[name].show(data);
  const known = state.whole?.revision === said.revision && !held ? state.whole : null;
  words(said, mechanics(held), known?.findings ?? said.findings, Boolean(known));
}

/** Asks for the rest: mechanics, remedies, what hides what, labels. A newer ask overtakes it. */
let wanting = 0;
export async function whole() {
  const mine = ++wanting;
  const [said] = await Promise.all([trying(() => ask("whole", asked({}, ["plan", "side"]))), turned()]);
  if (!said || mine !== wanting || said.wheel !== state.wheel || said.revision !== state.revision) return;
  state.whole = said;
  for (const [name, data] of Object.entries(said.views)) drawings[name].finish(data);
  if (!state.laid) {
    words(state.seen, said.mechanics, said.findings, true);
    more(said);
  }
  announceRest(said);
  every(said.settable);
  const [care, ...each] = said.cautions;
  $("care").querySelector("p").textContent = care;
  for (const list of $("care").querySelectorAll("ul")) list.replaceChildren(...each.map((words) => make("li", {}, words)));
  document.body.dataset.ready = `${said.wheel}:${said.revision}:${mine}`;
  lookForRemedies(); // nobody waits for them
}

/** Shows the wheel as it is now; calls `seen` as soon as it is seen: all that is to be told of it takes longer. */
export async function refresh(fit = true, seen = () => {}) {
  const said = await trying(() => ask("show", asked({ fit })));
  if (!said) return;
  if (!state.unit) {
    state.unit = said.unit;
    for (const radio of document.querySelectorAll("#strip [name=unit]")) radio.checked = radio.value === said.unit;
  }
  // What is laid over it stays so, as long as it is the wheel that it was laid over.
  const laid = said.wheel === state.seen?.wheel && said.revision === state.revision ? state.laid : null;
  leave();
  show(said, { fit });
  seen();
  if (laid) await trying(() => layOver(laid.ghost, laid.says, false));
  await whole();
}

export async function layDown(wheel, seen = () => {}) {
  leave();
  state.wheel = wheel;
  state.unit = undefined; // that of its file, or what was chosen for it last
  state.whole = null;
  forgetHeard();
  await refresh(true, seen);
}

/** Lays down a wheel that was asked for, and brings it before eye and ear; `already`: it lay there before. */
export async function layNew(wheel, { already = false, seen = () => {} } = {}) {
  await layDown(wheel, () => {
    seen();
    $("what-they-are").open = false; // what was looked for is found
    $("title").focus({ preventScroll: true });
    window.scrollTo(0, 0); // the drawing, and its numbers beside it, however far down it was asked for
    tell(`${already ? "It lies on the board already" : "On the board"}: ${
      [cut(state.seen.title), state.seen.cannot_run, state.seen.twist].filter(Boolean).join(", ")}`);
  });
}

// --- changing --------------------------------------------------------------------------------------

/** One change at a time is asked; while it is, only the latest wish of the hand waits. */
let busy = false, waiting = null, drops = 0;
async function drag(put, last, handle) {
  if (busy) { waiting = waiting?.last ? waiting : { put, last, handle }; return; }
  busy = true;
  leave();
  wanting += 1;
  const mine = drops;
  const said = await trying(() => ask("drag", asked({ put, last, fit: last })));
  busy = false;
  if (mine !== drops && !last) return; // what the hand dropped meanwhile is not shown again
  if (said) {
    if (!waiting) document.body.dataset.dragged = String(Number(document.body.dataset.dragged ?? 0) + 1);
    // What the hand has drawn beyond the paper's edge is brought back when it lets go.
    const beyond = last && Object.entries(boxesOf(said)).some(([name, box]) => !within(box, drawings[name].seen));
    show(said, { held: !last, fit: beyond });
    handle.classList.toggle("stopped", said.limit.length > 0 && !last);
    if (last) announce(said);
    else if (said.limit.length) tell(stops(said), true);
    if (last) state.pulls = null;
    else pulls(said);
  }
  const next = waiting;
  waiting = null;
  if (next) await drag(next.put, next.last, next.handle);
  else if (last) await whole();
}

/** Pulls and effort as the hand moves: asked beside the rest, the latest only. */
let pulling = false, latest = null;
async function pulls(said) {
  latest = said;
  if (pulling) return;
  pulling = true;
  while (latest) {
    const mine = latest;
    latest = null;
    if (!Object.keys(mine.values).length) continue;
    const answer = await trying(() => ask("pulls", { wheel: state.wheel, unit: state.unit, put: mine.values }));
    if (!answer || state.revision !== mine.revision || !document.querySelector(".handle.held")) continue;
    state.pulls = answer.mechanics;
    numbers([...state.seen.numbers, ...state.pulls]);
  }
  pulling = false;
}

/** Puts back what was drawn but not let go. */
function drop() {
  drops += 1;
  waiting = null;
  state.pulls = null;
  refresh(false);
}

export async function change(put) {
  const said = await ask("change", asked({ put, fit: true }));
  await changed(said);
}

export async function changed(said, head = "") {
  leave();
  show(said, { fit: true });
  announce(said, head);
  await whole();
}

async function step(question) {
  leave();
  const said = await trying(() => ask(question, asked({ fit: true })));
  if (said) await changed(said, question === "undo" ? "Undone: " : "Done again: ");
}

// --- begin -----------------------------------------------------------------------------------------

export const handBusy = () => busy;

async function begin() {
  turnable();
  followLedge();
  followNames();
  $("undo").addEventListener("click", () => step("undo"));
  $("redo").addEventListener("click", () => step("redo"));
  $("print").addEventListener("click", printAll);
  window.addEventListener("scroll", () => lookForRemedies(), { passive: true });
  $("take").addEventListener("click", take);
  $("leave").addEventListener("click", aside);
  for (const jump of document.querySelectorAll('a[href^="#"]')) {
    jump.addEventListener("click", (event) => {
      event.preventDefault(); // the address may hold a wheel: it is kept
      document.querySelector(jump.getAttribute("href")).focus();
    });
  }
  $("sieve").addEventListener("input", sieve);
  document.addEventListener("keydown", (event) => {
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "p") { event.preventDefault(); printAll(); return; }
    if (!(event.ctrlKey || event.metaKey) || /INPUT|SELECT/.test(event.target.tagName)) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) { event.preventDefault(); step("undo"); }
    if (key === "y" || (key === "z" && event.shiftKey)) { event.preventDefault(); step("redo"); }
  });
  for (const radio of document.querySelectorAll("[name=unit]")) {
    radio.addEventListener("change", () => {
      state.unit = radio.value;
      refresh(false).then(() => tell(`Lengths are told in ${radio.parentElement.textContent.trim()}.`));
    });
  }
  for (const radio of document.querySelectorAll("[name=way]")) {
    radio.addEventListener("change", () => {
      state.back = radio.value === "back";
      $("sheet").classList.toggle("still", radio.value === "still");
      refresh(false).then(() => tell(radio.value === "still" ? "The bands are shown standing still." : $("twist").textContent));
    });
  }
  let sizing = 0;
  window.addEventListener("resize", () => { clearTimeout(sizing); sizing = setTimeout(() => state.wheel && refresh(), 150); });
  const start = await trying(() => ask("start"));
  if (!start) return;
  $("dangers").textContent = start.dangers;
  askings(start);
  const wheel = await inAddress(start.wheels);
  if (wheel) await layDown(wheel);
  window.addEventListener("hashchange", async () => {
    const asked = await inAddress([]);
    if (asked) await layNew(asked);
  });
  watch();
  await whatTheyAre();
}

begin();
