// Every number and choice of the wheel, to be read and set by name.

import { ask, make, Refused, refusedAt } from "./asking.js";
import { change, changed } from "./bench.js";
import { asked } from "./state.js";

const $ = (id) => document.getElementById(id);

export function every(rows) {
  const typing = document.activeElement;
  if ($("rows").contains(typing) && typing.tagName === "INPUT" && typing.value !== typing.dataset.was) return;
  const held = $("rows").contains(typing) ? typing.dataset.key : null;
  const parts = new Map();
  for (const row of rows) parts.set(row.part, [...(parts.get(row.part) ?? []), row]);
  $("rows").replaceChildren(...[...parts].flatMap(([part, own]) => [
    make("h3", {}, part),
    ...own.map((row) => make("label", { "data-of": `${row.part} ${row.means}`.toLowerCase() }, row.means, field(row))),
  ]));
  sieve();
  if (held) $("rows").querySelector(`[data-key="${CSS.escape(held)}"]`)?.focus();
}

function field(row) {
  const element = row.of
    ? make("select", {}, ...row.of.map((of) => make("option", { value: of ?? "", selected: of === row.value }, of ?? "as usual")))
    : make("input", { value: row.text, autocomplete: "off", placeholder: "not said" });
  element.dataset.key = row.key;
  element.dataset.was = element.value;
  element.addEventListener("change", async () => {
    const value = element.value.trim() === "" ? null : element.value;
    try {
      if (row.key.startsWith("groove:")) {
        await changed(await ask("groove", asked({ pulley: row.part, shape: element.value, fit: true })));
      } else {
        await change({ [row.key]: value });
      }
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      // What was typed stays, to be mended; the wheel is as it was.
      refusedAt(element.parentElement, error.faults, element);
    }
  });
  return element;
}

export function sieve() {
  const words = $("sieve").value.trim().toLowerCase();
  for (const label of $("rows").querySelectorAll("label")) label.hidden = !label.dataset.of.includes(words);
  for (const head of $("rows").querySelectorAll("h3")) {
    let next = head.nextElementSibling, any = false;
    while (next && next.tagName === "LABEL") { any ||= !next.hidden; next = next.nextElementSibling; }
    head.hidden = !any;
  }
}
