// The ledge at the foot: it grows with what is said on it, and what is worked with stands above it.

const $ = (id) => document.getElementById(id);

/** How high the ledge is with little said on it: what is said for a while does not scale the drawing. */
export const ledge = () => parseFloat(getComputedStyle($("foot")).minHeight);

/** Brings what has focus from under the ledge; what stood out of sight before is left there. */
function inSight() {
  const on = document.activeElement, top = $("foot").getBoundingClientRect().top;
  if (on === document.body || $("foot").contains(on) || document.querySelector(".handle.held")) return;
  const under = () => on.getBoundingClientRect().bottom - top;
  const box = on.getBoundingClientRect(), seen = box.top < window.innerHeight - ledge();
  if (!seen || under() <= 0 || box.height > top / 2) return;
  on.scrollIntoView({ block: "nearest" });
  // The sheet stands still as the page is scrolled: it is moved by itself.
  if (under() > 0 && $("sheet").contains(on)) lift(lifted + under() + 8);
}

let lifted = 0;
function lift(by) {
  lifted = by;
  document.documentElement.style.setProperty("--lift", `${by}px`);
}

/** Follows the ledge as it grows and shrinks. */
export function followLedge() {
  new ResizeObserver(() => {
    const high = $("foot").offsetHeight;
    document.documentElement.style.setProperty("--ledge", `${high}px`);
    if (high <= Math.ceil(ledge())) lift(0);
    inSight();
  }).observe($("foot"));
  // A hand that presses sees what it presses; it is not moved from under the hand.
  document.addEventListener("focusin", ({ target }) => { if (target.matches(":focus-visible")) inSight(); });
}
