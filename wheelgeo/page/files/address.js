// The address of the page: which wheel lies on the board, or a whole wheel in a link.

import { ask, trying } from "./asking.js";

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

/** Lets the address say which wheel lies on the board: a page loaded again shows what was seen. */
export function standIn({ wheel, revision, wheels }) {
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
  const said = link && await trying(() => ask("open", { link }));
  if (said) {
    held = `${said.wheel}:${said.revision}`;
    return said.wheel;
  }
  return (wheels.find(({ wheel }) => wheel === asked.get("tag")) ?? wheels[0])?.wheel;
}
