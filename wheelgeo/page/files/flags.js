// Flags of what is wrong: one for all that is said of one place, clear of what it is about.

import { shape } from "./shape.js";

const HALF = 9; // half the height of a flag, CSS pixels
const NEAR = 24; // places no further apart are one to the eye, CSS pixels
const COARSE = 4; // what is drawn is looked at by squares of so many pixels
const WAYS = Array.from({ length: 24 }, (_, i) => [Math.cos((i * Math.PI) / 12), Math.sin((i * Math.PI) / 12)]);
const AROUND = [18, 25, 33, 43, 55, 70, 90, 115, 145].flatMap((far) => WAYS.map(([x, y]) => [far * x, far * y]));
// What a place costs, in squares that are drawn on: to be far, to lie over a ring or label, to have its
// line through one, to lie over another flag or beyond the paper; and what is saved where it stood before.
const FAR = 0.2, OVER = 60, THROUGH = 10, NEVER = 1e4, STAY = 4, HELD = 500;

/**
 * Findings by the place that they speak of, in their order.
 *
 * `places`: of each part x, y and size. The smallest part of a finding says where it is. Each group has
 * the point, the name of its part, its level, and the numbers of its findings.
 */
export function gathered(findings, places, scale) {
  const groups = [];
  findings.forEach((finding, i) => {
    const parts = finding.parts.filter((part) => places[part]).sort((a, b) => places[a][2] - places[b][2]);
    if (!parts.length) return;
    const [x, y] = places[parts[0]], at = [x * scale, y * scale];
    const same = groups.find((group) => Math.hypot(group.at[0] - at[0], group.at[1] - at[1]) < NEAR);
    if (same) same.numbers.push(i + 1);
    else groups.push({ at, part: parts[0], level: finding.level, numbers: [i + 1] });
  });
  return groups;
}

/** What stands on a flag: the number of its first finding, and how many more it is of. */
export const words = ({ numbers }) => String(numbers[0]) + (numbers.length > 1 ? ` +${numbers.length - 1}` : "");

/** Half the width of a flag and half its height. */
export const half = (group) => [Math.max(HALF, 3.6 * words(group).length + 4), HALF];

/** How much is drawn where, in squares of COARSE pixels; `edge` is of the picture, in pixels. */
export function inkOf(paths, edge, scale) {
  const [wide, high] = [edge[2] - edge[0], edge[3] - edge[1]].map((size) => Math.max(1, Math.ceil(size / COARSE)));
  const pen = new OffscreenCanvas(wide, high).getContext("2d", { willReadFrequently: true });
  pen.setTransform(scale / COARSE, 0, 0, scale / COARSE, -edge[0] / COARSE, -edge[1] / COARSE);
  for (const path of paths) {
    // A band is what is looked for in a drawing: it is left free sooner than an edge.
    pen.lineWidth = (/^cord/.test(path.getAttribute("class")) ? 3 : 1) * COARSE / scale;
    pen.stroke(new Path2D(path.getAttribute("d")));
  }
  const { data } = pen.getImageData(0, 0, wide, high);
  return ([x, y], [w, h]) => {
    let sum = 0;
    const [left, right] = [x - w, x + w].map((edgeX) => Math.floor((edgeX - edge[0]) / COARSE));
    const [top, low] = [y - h, y + h].map((edgeY) => Math.floor((edgeY - edge[1]) / COARSE));
    for (let row = Math.max(0, top); row <= Math.min(high - 1, low); row += 1) {
      for (let column = Math.max(0, left); column <= Math.min(wide - 1, right); column += 1) sum += data[4 * (row * wide + column) + 3];
    }
    return sum / 255;
  };
}

/** How many boxes a line goes through, looked at every few pixels of it; `from` it is in none. */
const through = ([x, y], [dx, dy], boxes) => boxes.filter((box) => {
  const looks = Math.ceil(Math.hypot(dx, dy) / COARSE);
  for (let i = 1; i < looks; i += 1) if (apart([x + (dx * i) / looks, y + (dy * i) / looks], [0, 0], box) < 0) return true;
  return false;
}).length;

const apart = ([x, y], [w, h], [a, b, c, d]) => Math.max(Math.abs(x - a) - w - c, Math.abs(y - b) - h - d);

/**
 * Places each group's flag where it covers no other, and as little else as may be.
 *
 * Everything is in pixels: `kept` are middles and half sizes of labels and rings, `ink` tells what a flag
 * would cover, `before` are the steps that each part's flag took from its place last. While a hand draws,
 * `held`, none steps aside anew unless it would cover another. Gives each group its step and its `stand`.
 */
export function stand(groups, { kept, ink, edge, before, held }) {
  const placed = [];
  for (const group of groups) {
    const size = half(group), last = before.get(group.part);
    // What lies over the very place is crossed from anywhere.
    const free = kept.filter((box) => apart(group.at, [0, 0], box) >= 0);
    const cost = ([dx, dy]) => {
      const middle = [group.at[0] + dx, group.at[1] + dy], [x, y] = middle, [w, h] = size;
      const out = x - w < edge[0] || x + w > edge[2] || y - h < edge[1] || y + h > edge[3];
      const over = (boxes, room) => boxes.filter((box) => apart(middle, size, box) < room).length;
      return NEVER * (out + over(placed, 2)) + OVER * over(kept, 1) + ink(middle, size) + FAR * Math.hypot(dx, dy)
        + (held ? 0 : THROUGH * through(group.at, [dx, dy], free));
    };
    let least = last ? cost(last) - (held ? HELD : STAY) : Infinity;
    if (last) group.step = last;
    for (const step of AROUND) {
      if (FAR * Math.hypot(...step) > least) break; // those that follow are further still
      const costs = cost(step);
      if (costs < least) [least, group.step] = [costs, step];
    }
    group.stand = [group.at[0] + group.step[0], group.at[1] + group.step[1]];
    placed.push([...group.stand, ...size]);
  }
  return groups;
}

/** A flag as it is drawn, with a line to the place that it speaks of where it stands away from it. */
export function flag(group, scale) {
  const [[x, y], [w, h], to] = [group.stand, half(group), group.at].map((pair) => pair.map((value) => value / scale));
  const text = shape("text", { x, y: y + 0.42 * h, "font-size": 1.2 * h, "text-anchor": "middle" });
  text.textContent = words(group);
  const mark = shape("g", { class: `mark ${group.level}`, "data-of": group.numbers.join(" "), "aria-hidden": "true" },
    shape("rect", { x: x - w, y: y - h, width: 2 * w, height: 2 * h, rx: h }), text);
  const from = [Math.max(x - w, Math.min(x + w, to[0])), Math.max(y - h, Math.min(y + h, to[1]))];
  if (Math.hypot(from[0] - to[0], from[1] - to[1]) < h) return [mark];
  return [shape("path", { class: `lead ${group.level}`, d: `M${to[0]} ${to[1]}L${from[0]} ${from[1]}` }), mark];
}
