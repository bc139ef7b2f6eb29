// What lies on the board, and how the library is asked of it.

export const state = {
  wheel: null, revision: -1, unit: "mm", back: false, turn: 30, tilt: 28,
  seen: null, whole: null, laid: null, // laid: the ghost over it, and what it says
};
export const WINDOW = String(Math.random()); // tells this window from others on the same wheel
export const drawings = {}; // of each view, by its name

function views(names = ["plan", "side", "turned"]) {
  return names.map((name) => ({
    name, capital: drawings[name].capital, turn: state.turn, tilt: state.tilt,
    labels: name === "turned" ? false : name === "side" && drawings.side.low ? "few" : drawings[name].narrow ? "sizes" : true,
  }));
}

export function asked(more = {}, names = undefined) {
  return { wheel: state.wheel, unit: state.unit, back: state.back, window: WINDOW, views: views(names), ...more };
}
