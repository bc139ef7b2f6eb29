// The ledge at the foot: it grows with what is said on it, and what is worked with stands above it.

import { hush } from "./asking.js";

const $ = (id) => document.getElementById(id);
const inStyle = (name, value) => document.documentElement.style.setProperty(name, value);

/** How high the ledge is with little said on it: what is said for a while does not scale the drawing. */
const ledge = () => parseFloat(getComputedStyle($("foot")).minHeight);

/**
 * How high the flat views may be, pixels: the sheet with all that stands on it is to be seen at once,
 * below the tags where it stands beside the slips.
 */
export function tallest() {
  const above = getComputedStyle($("sheet")).position === "sticky" ? $("slips").offsetTop : 0;
  const beside = $("sheet").offsetHeight - $("views").offsetHeight;
  const captions = ["plan", "side"].reduce((sum, name) => sum + $(`cap-${name}`).offsetHeight, 0);
  return Math.max(360, window.innerHeight - ledge() - beside - captions - Math.max(16, above) - 8);
}

/** How high the slip of what is laid over the wheel lies over the foot of a narrow window. */
const laid = () => (getComputedStyle($("ghosting")).position === "fixed" ? $("ghosting").offsetHeight : 0);

/** How high the note on the file lies over the head of a narrow window. */
const noted = () => (getComputedStyle($("disk")).position === "fixed" ? $("disk").offsetHeight : 0);

/** How far down a note on the file lies over the sheet where that is scrolled up, pixels. */
function onSheet(on) {
  const stuck = getComputedStyle($("disk")).position === "sticky" && !$("disk").hidden && !$("disk").contains(on);
  return stuck && $("sheet").getBoundingClientRect().top < 0 ? $("disk").offsetHeight : 0;
}

let seen = false; // whether what has focus stood in sight when the page was last moved, or it got focus

function look() {
  const box = document.activeElement.getBoundingClientRect();
  seen = box.bottom > 0 && box.top < window.innerHeight - ledge();
}

/** Brings what has focus from under the ledge; what stood out of sight before is left there. */
function inSight() {
  const on = document.activeElement, low = $("foot").getBoundingClientRect().top - laid();
  if (on === document.body || on.closest("#foot, #ghosting") || document.querySelector(".handle.held")) return;
  const beneath = parseFloat(getComputedStyle(on).scrollMarginBottom); // what is read as it is filled in
  const under = () => on.getBoundingClientRect().bottom + beneath - low;
  const box = on.getBoundingClientRect();
  if (!seen || box.height > low / 2 || (under() <= 0 && box.top >= 0)) return;
  on.scrollIntoView({ block: "nearest" });
  // The sheet stands still as the page is scrolled: it is moved by itself.
  const above = on.getBoundingClientRect().top;
  if (!$("sheet").contains(on)) return;
  const over = onSheet(on);
  if (under() > 0) lift(lifted + under() + 8);
  else if (above < over) lift(lifted + above - over - 8);
}

let lifted = 0;
function lift(by) {
  lifted = by;
  inStyle("--lift", `${by}px`);
}

let pressed = false;
const waiting = [];

/** Does something as soon as no hand presses: what it presses is not moved from under it. */
export function afterPress(work) {
  if (pressed) waiting.push(work);
  else work();
}

function followPress() {
  document.addEventListener("pointerdown", () => { pressed = true; }, true);
  for (const end of ["pointerup", "pointercancel"]) {
    document.addEventListener(end, () => {
      pressed = false;
      setTimeout(() => waiting.splice(0).forEach((work) => work())); // what was pressed has been told so by then
    }, true);
  }
}

/** Follows the ledge, and all that stands still in the window, as they grow and shrink. */
export function followLedge() {
  const follow = new ResizeObserver(() => {
    const high = $("foot").offsetHeight;
    inStyle("--ledge", `${high}px`);
    inStyle("--laid", `${laid()}px`);
    inStyle("--note", `${noted()}px`);
    inStyle("--sheet", `${$("sheet").offsetHeight}px`);
    if (high <= Math.ceil(ledge())) lift(0);
    afterPress(inSight);
  });
  // What is found late grows above what is worked with.
  for (const id of ["foot", "ghosting", "disk", "sheet", "slips"]) follow.observe($(id));
  document.addEventListener("scroll", look, { passive: true });
  document.addEventListener("focusin", ({ target }) => {
    look();
    if (target.matches(":focus-visible")) afterPress(inSight);
  });
  followPress();
  putAway();
}

/** What is said can be put away, by a press or by Escape; the keyboard goes back to where it was. */
function putAway() {
  let on = false, from = null; // whether the keyboard stands on it, and where it was before
  document.addEventListener("focusin", ({ target }) => {
    if (target === $("hush")) on = true;
    else from = target;
  });
  $("hush").addEventListener("blur", () => { if ($("status").textContent) on = false; });
  $("hush").addEventListener("click", hush);
  // With nothing said the button is gone, by whatever it went.
  new MutationObserver(() => {
    if ($("status").textContent || !on) return;
    on = false;
    if (from?.isConnected) from.focus({ preventScroll: true });
  }).observe($("status"), { childList: true });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && !event.defaultPrevented) hush();
  });
}
