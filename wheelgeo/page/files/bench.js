// The board: which wheel lies on it, what was done to it, and what it says.

import { inAddress, stands } from "./address.js";
import { announce, announceRest, forgetHeard, stops } from "./announcing.js";
import { ask, make, tell, trying } from "./asking.js";
import { watch } from "./disk.js";
import { arrange, Drawing, round, within } from "./drawing.js";
import { every, sieve } from "./every.js";
import { findings, lookForRemedies, printAll } from "./findings.js";
import { followLedge, tallest } from "./ledge.js";
import { cut, followNames, knowNames } from "./names.js";
import { askings, counted, ghostGone, stale, whatTheyAre } from "./questions.js";
import { turnable, turned } from "./turning.js";
import { type } from "./typing.js";

const $ = (id) => document.getElementById(id);
const board = {
  wheel: null, revision: -1, unit: "mm", back: false, turn: 30, tilt: 28,
  seen: null, whole: null, laid: null, // laid: the ghost over it, and what it says
};
export const WINDOW = String(Math.random()); // tells this window from others on the same wheel
const drawings = {};
for (const name of ["plan", "side", "turned"]) {
  drawings[name] = new Drawing(name, { drag, type, drop, step: () => (board.unit === "mm" ? 0.5 : 25.4 / 64) });
}

function views(names = ["plan", "side", "turned"]) {
  return names.map((name) => ({
    name, capital: drawings[name].capital, turn: board.turn, tilt: board.tilt,
    labels: name === "turned" ? false : name === "side" && drawings.side.low ? "few" : drawings[name].narrow ? "sizes" : true,
  }));
}

function asked(more = {}, names = undefined) {
  return { wheel: board.wheel, unit: board.unit, back: board.back, window: WINDOW, views: views(names), ...more };
}

// --- showing ---------------------------------------------------------------------------------------

function show(said, { fit = false, held = false } = {}) {
  board.seen = said;
  board.revision = said.revision;
  knowNames(said.names);
  for (const id of ["sheet", "what", "wrong", "ask", "every", "bench", "care"]) $(id).hidden = false;
  stands(said);
  $("retune").elements.count.dataset.unit = said.count_unit ?? "";
  $("board").classList.remove("bare");
  $("described").textContent = said.described;
  stale();
  if (fit) {
    board.boxes = boxesOf(said);
    arrange(drawings, board.boxes, tallest());
  }
  for (const [name, data] of Object.entries(said.views)) drawings[name].show(data);
  const known = board.whole?.revision === said.revision && !held ? board.whole : null;
  words(said, mechanics(held), known?.findings ?? said.findings, Boolean(known));
}

/**
 * Tells a wheel in words and numbers: the one on the board, or the one that is laid over it. Until
 * it is checked to the end it is told so, where it is read and not aloud: that lasts a moment.
 */
function words(said, pulls, found, checked) {
  const over = Boolean(board.laid);
  $("does").textContent = over ? "What the wheel laid over does" : "What it does";
  $("amiss").textContent = `What is wrong${over ? " with the wheel laid over" : ""}${checked ? "" : " (still being checked)"}`;
  $("now").textContent = over ? "laid over" : "now";
  $("beside").textContent = over ? "this wheel" : "before";
  $("cannot").textContent = said.cannot_run && `${said.cannot_run}.`;
  $("twist").textContent = said.twist;
  $("winding").textContent = said.winding_on;
  numbers([...said.numbers, ...pulls]);
  findings(found, { over, checked, begin: over || !checked ? "" : board.whole.begin });
}

/** Tells what takes longer to know: every result, and what was assumed. */
function more(said) {
  $("results").querySelector("tbody").replaceChildren(...said.results.map((row) => make("tr", {},
    make("th", { scope: "row" }, row.key, make("div", { class: "small" }, row.means)), make("td", {}, ...wholes(row.text)))));
  $("assumed").hidden = !said.assumed.length;
  $("assumed").querySelector("ul").replaceChildren(...said.assumed.map((a) => make("li", { class: "small" }, `${a.what}: ${a.taken} (${a.source})`)));
}

const boxesOf = (said) => Object.fromEntries(Object.entries(said.views).map(([name, data]) => [name, data.box]));

/** Pulls and effort as far as they are known of what is shown; those still to come are left open. */
function mechanics(held) {
  const known = board.whole?.mechanics ?? [];
  if (held && board.pulls) return board.pulls;
  if (!held && board.whole?.revision === board.revision) return known;
  return known.map((row) => ({ ...row, value: null, text: "…", was_text: "…" }));
}

/** A number, its unit and how sure it is: a narrow column breaks between them alone. */
const wholes = (text) => text.split(/(?= [+±]-? ?)/).map((part) => make("span", { class: "whole" }, part));

function numbers(rows) {
  if (board.laid) {
    const differ = rows.filter((row) => row.text !== row.was_text && row.value !== null).slice(0, 3);
    $("ghost-numbers").textContent = differ.map((row) => `${row.name} ${row.text}, this wheel ${row.was_text}`).join("; ");
  }
  $("numbers").tBodies[0].replaceChildren(...rows.map((row) => {
    const moved = row.was_text !== row.text;
    const name = make("th", { scope: "row", title: row.means }, row.name,
      make("span", { class: "unseen" }, ` (${row.means})`));
    const now = make("td", { "data-key": row.key, "data-value": row.value ?? "" }, ...wholes(row.text));
    return make("tr", { class: `${moved ? "moved" : ""} ${row.would ? "would" : ""}`.trim() || null }, name, now,
      make("td", { class: "was" }, ...wholes(moved ? row.was_text : "")));
  }));
}

/** Asks for the rest: mechanics, remedies, what hides what, labels. A newer ask overtakes it. */
let wanting = 0;
export async function whole() {
  const mine = ++wanting;
  const [said] = await Promise.all([trying(() => ask("whole", asked({}, ["plan", "side"]))), turned()]);
  if (!said || mine !== wanting || said.wheel !== board.wheel || said.revision !== board.revision) return;
  board.whole = said;
  for (const [name, data] of Object.entries(said.views)) drawings[name].finish(data);
  if (!board.laid) {
    words(board.seen, said.mechanics, said.findings, true);
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
  if (!board.unit) {
    board.unit = said.unit;
    for (const radio of document.querySelectorAll("#strip [name=unit]")) radio.checked = radio.value === said.unit;
  }
  // What is laid over it stays so, as long as it is the wheel that it was laid over.
  const laid = said.wheel === board.seen?.wheel && said.revision === board.revision ? board.laid : null;
  leave();
  show(said, { fit });
  seen();
  if (laid) await trying(() => layOver(laid.ghost, laid.says, false));
  await whole();
}

export async function layDown(wheel, seen = () => {}) {
  leave();
  board.wheel = wheel;
  board.unit = undefined; // that of its file, or what was chosen for it last
  board.whole = null;
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
      [cut(board.seen.title), board.seen.cannot_run, board.seen.twist].filter(Boolean).join(", ")}`);
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
    if (last) board.pulls = null;
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
    const answer = await trying(() => ask("pulls", { wheel: board.wheel, unit: board.unit, put: mine.values }));
    if (!answer || board.revision !== mine.revision || !document.querySelector(".handle.held")) continue;
    board.pulls = answer.mechanics;
    numbers([...board.seen.numbers, ...board.pulls]);
  }
  pulling = false;
}

/** Puts back what was drawn but not let go. */
function drop() {
  drops += 1;
  waiting = null;
  board.pulls = null;
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

// --- ghosts ----------------------------------------------------------------------------------------

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
    board.widened = true;
    if (first) relabel();
  }
  board.laid = laid;
  knowNames(said.names);
  $("ghosting").hidden = false;
  $("ghost-says").textContent = says;
  $("ghost-wrong").textContent = "";
  $("over-it").textContent = `Laid over it, in dashes: ${says}`; // on paper, where the slip is not
  $("take").hidden = said.whole; // a whole wheel is compared: it lies on the board already
  for (const [name, data] of Object.entries(said.views)) drawings[name].ghost(data, own.views[name]);
  const known = board.whole?.mechanics ?? [];
  words(said, known.map((row) => ({ ...row, value: null, text: "…", was_text: row.text })), said.findings, false);
  const drawn = document.querySelector(".view .ghost path");
  if (first) {
    $(said.whole ? "leave" : "take").focus();
    // Where the slips stand under the drawing, what is laid over it is brought before the eye.
    if (matchMedia("(max-width: 64rem)").matches) $("sheet").scrollIntoView();
  }
  const rest = await trying(() => ask("whole", asked({ ghost }, [])));
  if (!rest || board.laid !== laid) return;
  words(said, rest.mechanics, rest.findings, true);
  more(rest);
  const wrong = counted(rest.findings);
  const today = board.whole?.revision === board.revision ? counted(board.whole.findings) : null;
  $("ghost-wrong").textContent = `${wrong.join(" and ") || "No fault and no warning"} with it${
    today ? `; this wheel has ${today.join(" and ") || "none"}` : ""}.`;
  const seen = drawn ? "Laid over, in dashes" : "It looks the same in the drawing; see its numbers";
  if (first) tell(wrong.length ? `${seen}; ${wrong.join(" and ")} with it` : seen);
}

export function leave() {
  if (!board.laid) return;
  board.laid = null;
  $("ghosting").hidden = true;
  $("over-it").textContent = "";
  ghostGone();
  for (const drawing of Object.values(drawings)) drawing.ghost(null);
  if (board.widened) {
    board.widened = false;
    arrange(drawings, board.boxes, tallest());
  }
  if (!board.seen) return;
  const known = board.whole?.revision === board.revision ? board.whole : null;
  words(board.seen, mechanics(false), known?.findings ?? board.seen.findings, Boolean(known));
  if (known) more(known);
  lookForRemedies();
}

async function take() {
  const { ghost } = board.laid;
  leave();
  const said = await trying(() => ask("take", asked({ ghost, fit: true })));
  if (said) { $("does").focus(); await changed(said, "Taken: "); }
}

/** Places labels and rings anew where the scale is another: letters are as large at any. */
async function relabel() {
  const { scale } = drawings.plan;
  const said = await trying(() => ask("whole", asked({}, ["plan", "side"])));
  if (!said || said.wheel !== board.wheel || said.revision !== board.revision || scale !== drawings.plan.scale) return;
  for (const [name, data] of Object.entries(said.views)) {
    drawings[name].finish(data);
    if (!board.laid) drawings[name].flags(board.whole?.findings ?? board.seen.findings);
  }
}

/** Lays the other wheel aside; the keyboard goes back to what laid it there. */
function aside() {
  const { widened } = board;
  leave();
  if (widened) relabel();
  const again = laidBy?.dataset?.way; // a list that was written anew has the same button again
  const by = laidBy?.isConnected ? laidBy : again && document.querySelector(`[data-way="${CSS.escape(again)}"]`);
  (by && !by.closest("[hidden]") ? by : $("does")).focus();
  tell("Laid aside.");
}

// --- begin -----------------------------------------------------------------------------------------

export const state = board;
export { asked, drawings };
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
      board.unit = radio.value;
      refresh(false).then(() => tell(`Lengths are told in ${radio.parentElement.textContent.trim()}.`));
    });
  }
  for (const radio of document.querySelectorAll("[name=way]")) {
    radio.addEventListener("change", () => {
      board.back = radio.value === "back";
      $("sheet").classList.toggle("still", radio.value === "still");
      refresh(false).then(() => tell(radio.value === "still" ? "The bands are shown standing still." : $("twist").textContent));
    });
  }
  let sizing = 0;
  window.addEventListener("resize", () => { clearTimeout(sizing); sizing = setTimeout(() => board.wheel && refresh(), 150); });
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
