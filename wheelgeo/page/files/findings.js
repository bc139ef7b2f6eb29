// What is wrong with the wheel, and what mends it: looked for of what stands on the screen.

import { ask, make, tell, trying } from "./asking.js";
import { whole } from "./bench.js";
import { remedy } from "./ghosts.js";
import { drawings, state } from "./state.js";

const $ = (id) => document.getElementById(id);

let pointedFrom = null; // the finding that the hand points at, whose part is marked in the drawing

/** Marks the part of a finding in every view; of none, where it is null. */
function point(item, parts = [], number = null) {
  pointedFrom = item;
  for (const drawing of Object.values(drawings)) drawing.point(parts, number);
}

const LATER = "A remedy is looked for when this is in view.", NOW = "Looking for a remedy …";

/**
 * Lists findings, each with its remedies as far as they are known, and flags them in the drawing;
 * those of a wheel laid over are listed alone. Of a wheel that is still being checked nothing is
 * said as if it were all. Before the list stands with which of them to begin, where one mends most.
 */
export function findings(found, { over = false, checked = true, begin = "" } = {}) {
  const list = $("findings"), spoken = (f) => `${f.rule} ${f.where}`;
  const held = list.contains(document.activeElement) ? document.activeElement.dataset.way : null;
  $("nothing").hidden = found.some((finding) => finding.level !== "note");
  const sound = found.length ? "Nothing that keeps it from spinning. Worth knowing:" : "Nothing found wrong.";
  $("nothing").textContent = checked ? sound : `Nothing found wrong so far${found.length ? ". Worth knowing:" : "."}`;
  $("begin").hidden = !begin;
  $("begin").textContent = begin && `${begin}.`;
  // What is said as before stays as it stands, so that no press of a button falls between two lists.
  found.forEach((finding, i) => {
    const said = JSON.stringify(finding), old = list.children[i];
    if (old?.said === said) return;
    const item = make("li", { class: finding.level },
      make("span", { class: "flag", "aria-hidden": "true" }, String(i + 1)),
      make("span", { class: "level" }, `${finding.level}: `), `${finding.says}. `);
    // On paper stands what is known: what is still to be looked for is for the screen.
    if (finding.later) item.append(make("div", { class: "small later screen" }, LATER));
    (finding.lines ?? []).forEach((line, n) => {
      const row = make("div", {}, `${n ? "or: " : "Remedy: "}${line.says}. `);
      if (line.way !== null) row.append(tried(finding, line.way, spoken(finding)));
      item.append(row);
    });
    if (finding.source) item.append(make("div", { class: "small" }, `Source: ${finding.source}`));
    item.addEventListener("pointerenter", () => point(item, finding.parts, i + 1));
    item.addEventListener("pointerleave", () => point(null));
    item.said = said;
    if (old) old.replaceWith(item);
    else list.append(item);
  });
  while (list.children.length > found.length) list.lastChild.remove();
  if (pointedFrom && !pointedFrom.isConnected) point(null); // nobody leaves what is no longer there
  // Whoever stands on a button with the keyboard stays on it while the list grows.
  if (held) [...list.querySelectorAll("[data-way]")].find((button) => button.dataset.way === held)?.focus();
  for (const drawing of Object.values(drawings)) drawing.flags(over ? [] : found);
}

/** The button that lays a way to mend a finding over the wheel. */
function tried(finding, n, spoken) {
  const way = finding.ways[n], words = finding.ways.length > 1 ? `Try way ${n + 1}` : "Try it";
  const button = make("button", { type: "button", title: way.says, "aria-label": `${words}: ${way.says}`,
    "data-way": `${spoken} ${n}` }, words);
  button.addEventListener("click", () => remedy(finding, n));
  return button;
}

/** The places of the findings that stand on the screen. */
function inSight() {
  return [...$("findings").children].flatMap((item, i) => {
    const { top, bottom } = item.getBoundingClientRect();
    return bottom > 0 && top < window.innerHeight ? [i] : [];
  });
}

/** Asks for the remedies of what is seen, a little at a time, so that no hand is kept waiting. */
let looking = null, every = false;
export function lookForRemedies() {
  looking ??= look().finally(() => { looking = null; });
  return looking;
}

async function look() {
  while (!state.laid) {
    const { whole: said } = state, all = said?.findings ?? [];
    const seen = (every ? [...all.keys()] : inSight()).filter((i) => all[i]?.later);
    [...$("findings").children].forEach((item, i) => {
      const words = item.querySelector(".later");
      if (words) words.textContent = seen.includes(i) ? NOW : LATER;
    });
    if (!seen.length || said.revision !== state.revision || document.querySelector(".handle.held")) return;
    const more = await trying(() => ask("remedies", { wheel: state.wheel, unit: state.unit, seen }));
    if (!more) return;
    if (state.laid || said !== state.whole || more.wheel !== state.wheel || more.revision !== state.revision) continue;
    said.findings = more.findings;
    said.begin = more.begin;
    findings(more.findings, more);
  }
}

/** Prints what is seen, with every remedy. */
export async function printAll() {
  tell("Looking for remedies …");
  every = true;
  if (state.whole?.revision !== state.revision) await whole();
  await looking;
  await lookForRemedies();
  every = false;
  tell("");
  window.print();
}
