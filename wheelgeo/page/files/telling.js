// A wheel in words and numbers: the one on the board, or the one that is laid over it.

import { make } from "./asking.js";
import { findings } from "./findings.js";
import { state } from "./state.js";

const $ = (id) => document.getElementById(id);

/**
 * Tells a wheel in words and numbers: the one on the board, or the one that is laid over it. Until
 * it is checked to the end it is told so, where it is read and not aloud: that lasts a moment.
 */
export function words(said, pulls, found, checked) {
  const over = Boolean(state.laid);
  $("does").textContent = over ? "What the wheel laid over does" : "What it does";
  $("amiss").textContent = `What is wrong${over ? " with the wheel laid over" : ""}${checked ? "" : " (still being checked)"}`;
  $("now").textContent = over ? "laid over" : "now";
  $("beside").textContent = over ? "this wheel" : "before";
  $("cannot").textContent = said.cannot_run && `${said.cannot_run}.`;
  $("twist").textContent = said.twist;
  $("winding").textContent = said.winding_on;
  numbers([...said.numbers, ...pulls]);
  findings(found, { over, checked, begin: over || !checked ? "" : state.whole.begin });
}

/** Tells what takes longer to know: every result, and what was assumed. */
export function more(said) {
  $("results").querySelector("tbody").replaceChildren(...said.results.map((row) => make("tr", {},
    make("th", { scope: "row" }, row.key, make("div", { class: "small" }, row.means)), make("td", {}, ...wholes(row.text)))));
  $("assumed").hidden = !said.assumed.length;
  $("assumed").querySelector("ul").replaceChildren(...said.assumed.map((a) => make("li", { class: "small" }, `${a.what}: ${a.taken} (${a.source})`)));
}

/** Pulls and effort as far as they are known of what is shown; those still to come are left open. */
export function mechanics(held) {
  const known = state.whole?.mechanics ?? [];
  if (held && state.pulls) return state.pulls;
  if (!held && state.whole?.revision === state.revision) return known;
  return known.map((row) => ({ ...row, value: null, text: "…", was_text: "…" }));
}

/** A number, its unit and how sure it is: a narrow column breaks between them alone. */
const wholes = (text) => text.split(/(?= [+±]-? ?)/).map((part) => make("span", { class: "whole" }, part));

export function numbers(rows) {
  if (state.laid) {
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
