// The marks of a rule, on which a hand sets numbers: round millimetres, or whole parts of an inch.

/** From fine to coarse, each as millimetres over a whole number: 1/64 of an inch is 254 / 640. */
const MARKS = {
  mm: [[1, 10], [1, 2], [1, 1]],
  in: [[254, 640], [254, 320], [254, 160]],
};
const ON = 1e-6; // parts of a mark: nearer than this a number stands on it

const marksOf = (unit) => MARKS[unit === "mm" ? "mm" : "in"];
const at = (count, [over, under]) => (count * over) / under || 0; // no number is -0

/** The mark nearest to a number of millimetres, none finer than a pixel: a hand can tell no less. */
export function nearest(value, unit, scale) {
  const marks = marksOf(unit), [over, under] = marks.find(([a, b]) => (a / b) * scale >= 0.5) ?? marks.at(-1);
  return at(Math.round((value * under) / over), [over, under]);
}

/** So many marks up or down: half millimetres or 1/64 in; from beside a mark the first step goes to the next. */
export function stepped(value, unit, by) {
  const [over, under] = unit === "mm" ? MARKS.mm[1] : MARKS.in[0];
  const count = (value * under) / over, near = Math.round(count);
  const from = Math.abs(count - near) < ON ? near : by > 0 ? Math.floor(count) : Math.ceil(count);
  return at(from + by, [over, under]);
}
