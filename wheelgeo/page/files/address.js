// Which wheel lies on the board and how it is kept: its title and tag, its file, the page's address.

import { ask, make, settled, tell, trying } from "./asking.js";
import { layDown } from "./bench.js";
import { cut, knowNames } from "./names.js";
import { state } from "./state.js";

const $ = (id) => document.getElementById(id);
export const IN_ADDRESS = "wheel="; // stands before a wheel behind the # of an address
let held = ""; // wheel and revision that the link in the address holds

/** Gives the link that holds a wheel as it is now; the address holds it too, until it changes. */
export function keep({ wheel, revision, link }) {
  held = `${wheel}:${revision}`;
  const address = `${location.origin}${location.pathname}#${IN_ADDRESS}${link}`;
  history.replaceState(null, "", address);
  for (const id of ["linked", "keep"]) $(id).hidden = false;
  $("linked").value = address;
  $("linked").focus();
  $("linked").select();
}

/** Says how the wheel on the board stands, as here and other windows on it have left it. */
let stood = "";
export function stands(said) {
  const { wheel, title, file, lies_in: liesIn, undo, redo, revision, wheels } = said;
  const now = JSON.stringify([wheel, title, file, liesIn, undo, redo, revision, wheels]);
  if (now === stood) return;
  stood = now;
  knowNames(wheels.map((one) => one.title));
  $("title").textContent = title;
  $("title").title = cut(title) === title ? "" : title; // what its place has no room for
  document.title = `${cut(title)} – the bench`;
  // A narrow column breaks a path behind a folder, sooner than within a name.
  $("file").replaceChildren(...liesIn.split(/(?<=[/\\])/).flatMap((part) => [part, make("wbr")]));
  standIn(said);
  steps(said);
  tags(said);
  nameToKeep(said);
}

/** What can be undone and done again; who stood on the one with the keyboard is not left on nothing. */
function steps({ undo, redo }) {
  const left = { undo, redo }, on = document.activeElement?.id;
  for (const id of ["undo", "redo"]) $(id).disabled = !left[id];
  if (on in left && !left[on]) $(on === "undo" ? "redo" : "undo").focus();
}

const namesToKeep = new Map(); // what was typed for each wheel that lies on the board or beside it
let named = null;

/** Each wheel has a file's name of its own to be kept in: none is kept under another one's. */
function nameToKeep({ wheel, file }) {
  const { path } = $("save").elements;
  path.placeholder = file ?? "my-wheel.toml";
  if (named === wheel) return;
  settled($("save")); // it was of another wheel
  namesToKeep.set(named, path.value);
  path.value = namesToKeep.get(wheel) ?? "";
  named = wheel;
}

/** Lets the address say which wheel lies on the board: a page loaded again shows what was seen. */
function standIn({ wheel, revision, wheels }) {
  if (held === `${wheel}:${revision}`) return;
  held = "";
  for (const id of ["linked", "keep"]) $(id).hidden = true;
  $("linked").value = "";
  history.replaceState(null, "", location.pathname + (wheels.length > 1 ? `#tag=${wheel}` : ""));
}

/** The wheel that the address asks for, or else the first of those that lie here. */
export async function inAddress(wheels) {
  const asked = new URLSearchParams(location.hash.slice(1));
  const link = asked.get("wheel");
  const said = link && await trying(() => ask("open", { link, unit: state.unit }));
  if (said) {
    held = `${said.wheel}:${said.revision}`;
    return said.wheel;
  }
  return (wheels.find(({ wheel }) => wheel === asked.get("tag")) ?? wheels[0])?.wheel;
}

/** Tags of the wheels where there are several, and the choice of one to lay over. */
function tags(said) {
  const several = said.wheels.length > 1 ? said.wheels : [], on = $("tags").contains(document.activeElement);
  $("tags").replaceChildren(...several.map((wheel) => {
    const tag = make("button", { type: "button", "aria-current": wheel.wheel === said.wheel ? "true" : null }, wheel.tag);
    tag.addEventListener("click", async () => {
      await layDown(wheel.wheel);
      tell(`${wheel.tag.replace(wheel.title, cut(wheel.title))}: ${$("twist").textContent}`);
    });
    return tag;
  }));
  if (on) $("tags").querySelector("[aria-current]")?.focus();
  const { other } = $("over").elements, chosen = other.value;
  other.replaceChildren(...said.wheels.filter((w) => w.wheel !== said.wheel)
    .map((w) => make("option", { value: w.wheel }, w.tag)));
  if ([...other.options].some(({ value }) => value === chosen)) other.value = chosen;
  $("over").hidden = !other.options.length;
}
