// The view in space, turned by a finger or the arrow keys.

import { ask, trying } from "./asking.js";
import { round } from "./drawing.js";
import { asked, drawings, state } from "./state.js";

let turning = false, turnAgain = false;
export async function turned() {
  if (turning) { turnAgain = true; return; }
  turning = true;
  const { laid } = state, mine = asked({}, ["turned"]);
  const [said, over, own] = await Promise.all([
    trying(() => ask("view", mine)), // with the box that it now falls in
    // What is laid over it turns with it; both are compared as they are told at once.
    laid && trying(() => ask("ghost", { ...mine, ghost: laid.ghost, fit: true })), laid && trying(() => ask("show", mine)),
  ]);
  turning = false;
  if (laid !== state.laid) turnAgain = true; // another one lies there now, or none
  if (said && said.revision === state.revision) {
    const { box } = said.views.turned, both = laid && laid === state.laid && over && own;
    state.boxes.turned = box;
    drawings.turned.centre(both ? round(box, over.views.turned.box) : box);
    drawings.turned.spin(said.views.turned);
    drawings.turned.flags(state.laid ? [] : state.whole?.findings ?? state.seen.findings);
    if (both) drawings.turned.ghost(over.views.turned, own.views.turned);
  }
  if (turnAgain) { turnAgain = false; await turned(); }
}

export function turnable() {
  const { svg } = drawings.turned;
  let from = null;
  svg.addEventListener("pointerdown", (event) => {
    if (event.target.closest(".handle")) return;
    from = [event.clientX, event.clientY, state.turn, state.tilt];
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!from) return;
    state.turn = from[2] - (event.clientX - from[0]) * 0.5;
    state.tilt = Math.max(-89, Math.min(89, from[3] + (event.clientY - from[1]) * 0.5));
    turned();
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { from = null; });
  svg.addEventListener("keydown", (event) => {
    if (event.target !== svg) return;
    const by = { ArrowLeft: [5, 0], ArrowRight: [-5, 0], ArrowUp: [0, -5], ArrowDown: [0, 5] }[event.key];
    if (!by) return;
    event.preventDefault();
    state.turn += by[0];
    state.tilt = Math.max(-89, Math.min(89, state.tilt + by[1]));
    turned();
  });
}
