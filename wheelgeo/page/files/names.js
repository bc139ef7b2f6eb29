// Names that a file gives are of any length: where they are told, long ones are cut short to the eye.

import { make } from "./asking.js";

const LONG = 40; // characters; what is longer is cut where there is no room for it
const known = new Set();
let any = null; // finds a long name in words, and keeps it apart

/** A name for a place that takes few letters. */
export const cut = (name) => (name.length > LONG ? `${name.slice(0, LONG - 1)}…` : name);

/** Takes the names of a wheel, so that the long ones are cut short wherever they are told. */
export function knowNames(names) {
  const fresh = names.filter((name) => name.length > LONG && !known.has(name));
  if (!fresh.length) return;
  for (const name of fresh) known.add(name);
  const longest = [...known].sort((a, b) => b.length - a.length); // one may hold another
  any = new RegExp(`(${longest.map((name) => name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")).join("|")})`);
}

function cutShort(place) {
  const words = document.createTreeWalker(place, NodeFilter.SHOW_TEXT), found = [];
  while (words.nextNode()) {
    const { data, parentElement } = words.currentNode;
    if (any.test(data) && !parentElement.closest(".name, .unseen, #title, svg")) found.push(words.currentNode);
  }
  for (const text of found) {
    const parts = text.data.split(any).map((part, i) => [part, i % 2 === 1]); // every second one is a name
    if (text.parentElement.matches("option")) text.data = parts.map(([part, name]) => (name ? cut(part) : part)).join("");
    else text.replaceWith(...parts.map(([part, name]) => (name ? make("span", { class: "name", title: part }, part) : part)));
  }
}

/** Cuts long names short in whatever is told on the page from now on. */
export function followNames() {
  new MutationObserver((changes) => {
    if (any) new Set(changes.map(({ target }) => target)).forEach(cutShort);
  }).observe(document.body, { childList: true, subtree: true });
}
