// Draws what the library tells: lines, bands that run, labels, rings to take hold of.
// Nothing is worked out here but where it stands on the screen.

import { flag, gathered, inkOf, stand } from "./flags.js";
import { aside } from "./rings.js";
import { nearest, stepped } from "./rule.js";
import { shape } from "./shape.js";

const LETTER = 8; // height of a capital, pixels
const SIDE = 78; // room for labels beside a flat view, pixels
const ABOVE = 42;
const ALIKE = 0.005; // places are told to a thousandth, millimetres
const SLOWED = 50; // bands are shown at a fiftieth of their speed
const TICK = 16; // pixels from one mark on a running band to the next, as in bench.css

export class Drawing {
  /** A view on the sheet; `on` holds what to do when a hand takes hold of something. */
  constructor(name, on) {
    this.name = name;
    this.svg = document.getElementById(name);
    this.on = on;
    this.scale = 1; // pixels for a millimetre
    this.layers = {};
    for (const layer of ["frame", "lines", "bands", "marks", "ghost", "dims", "labels", "reaches", "handles", "flags"]) {
      this.layers[layer] = shape("g", { class: layer });
      this.svg.append(this.layers[layer]);
    }
    this.layers.ghost.setAttribute("aria-hidden", "true");
    this.layers.flags.setAttribute("pointer-events", "none");
    this.data = null;
    this.stands = []; // where the rings are, in the units of the picture
    this.ink = null; // tells how much is drawn where, until it is drawn anew
    this.steps = new Map(); // how far the flag of each part stands from its place, pixels
    this.stop = null; // the ring that the keyboard comes to
  }

  get capital() { return LETTER / this.scale; }

  /** Whether there is room for few labels: what is drawn is hardly higher than they are. */
  get low() { return this.high < 8 * LETTER; }

  /** Whether a label more would lie across a rim, as on the width of a telephone. */
  get narrow() { return this.wide < 48 * LETTER; }

  /** Takes a scale and a box, so that the drawing stands in the middle of its place. */
  fit(scale, box, width, height) {
    this.scale = scale;
    const [w, h] = [width / scale, height / scale];
    const x = (box[0] + box[2] - w) / 2, y = (box[1] + box[3] - h) / 2;
    this.high = (box[3] - box[1]) * scale;
    [this.wide, this.tall] = [width, height];
    this.ink = null;
    this.seen = [x, y, x + w, y + h];
    this.svg.setAttribute("viewBox", `${x} ${y} ${w} ${h}`);
    this.svg.style.height = `${height}px`;
  }

  /** Brings another box into the middle, at the same scale. */
  centre(box) { this.fit(this.scale, box, this.wide, this.tall); }

  show(data) {
    this.data = data;
    this.ink = null;
    if (this.name !== "turned") document.getElementById(`cap-${this.name}`).textContent = data.words;
    lay(this.layers.frame, data.frame);
    lay(this.layers.lines, data.lines);
    lay(this.layers.marks, data.marks);
    this.#bands(data.running);
    this.#handles(data.handles);
    this.#sizes(data.sizes);
    this.#follow(data.places);
  }

  /** Takes what is written along with its part; a dimension that would tell what is not so is left out. */
  #follow(places) {
    for (const { of, groups } of this.lettered ?? []) {
      const known = of.every((part) => places[part] && this.stood[part]);
      const steps = known ? of.map((part) => [0, 1].map((i) => places[part][i] - this.stood[part][i])) : [];
      const [x, y] = steps[0] ?? [0, 0];
      const one = known && steps.every(([a, b]) => Math.hypot(a - x, b - y) < ALIKE);
      for (const group of groups) {
        group.setAttribute("transform", `translate(${x} ${y})`);
        group.classList.toggle("untrue", !one);
      }
    }
  }

  /** Writes the sizes of today on the labels, which are placed anew only when the hand lets go. */
  #sizes(sizes) {
    for (const label of this.sized ?? []) {
      const now = sizes[label.key];
      if (now === undefined || now === label.size) continue;
      label.text.textContent = label.text.textContent.replace(label.size, now);
      label.text.removeAttribute("textLength");
      label.size = now;
    }
  }

  finish(data) {
    lay(this.layers.frame, data.frame);
    lay(this.layers.lines, data.lines);
    lay(this.layers.marks, data.marks);
    if (data.labels) this.#labels(data.labels);
    this.ink = null;
    this.#stand();
  }

  /** Shows what another place of the eye changes, the drawing being the same. */
  spin(data) {
    this.data = { ...this.data, ...data };
    this.finish(data);
    this.#bands(data.running);
    this.#handles(data.handles);
  }

  /** Lays another wheel over it, in dashes: only what is not the same in both. */
  ghost(data, mine) {
    const [x, y] = data?.shift ?? [0, 0], moved = x !== 0 || y !== 0;
    this.layers.ghost.setAttribute("transform", `translate(${x} ${y})`);
    const all = (of) => [...of.frame, ...of.lines];
    const own = new Set(moved || !mine ? [] : all(mine).map((line) => line[3]));
    if (data) lay(this.layers.ghost, all(data).filter((line) => !own.has(line[3])));
    else this.layers.ghost.replaceChildren();
  }

  #bands(running) {
    this.layers.bands.replaceChildren(...running.map((band) => {
      const path = shape("path", { d: band.path, class: band.hollow ? "running on-hollow" : "running" });
      const pixels = Math.abs(band.m_s) * 1000 * this.scale / SLOWED;
      if (pixels > 0) path.style.animationDuration = `${Math.max(TICK / pixels, 0.12)}s`;
      else path.style.animation = "none";
      return path;
    }));
  }

  #labels(labels) {
    const size = this.capital / 0.729;
    this.taken = labels.map((label) => [...label.at, ...label.size]);
    this.layers.dims.replaceChildren();
    this.layers.labels.replaceChildren();
    this.sized = [];
    this.lettered = [];
    this.stood = this.data?.places ?? {};
    for (const label of labels) {
      const lines = shape("g", {}, ...label.lines.map(path));
      if (label.leader) lines.append(shape("path", { class: "leader", d: label.leader }));
      this.layers.dims.append(lines);
      const [x, y] = label.at, [w, h] = label.size;
      const text = shape("text", {
        x, y: y + h / 2, "font-size": size, "text-anchor": "middle", textLength: w,
        lengthAdjust: "spacingAndGlyphs",
      });
      text.textContent = label.text;
      const behind = shape("rect", { class: "behind", x: x - w / 2, y: y - 0.75 * h, width: w, height: 1.5 * h });
      const group = shape("g", { class: label.key ? "label key" : "label" }, behind, text);
      const told = this.data?.sizes?.[label.key];
      if (told && label.text.includes(told)) this.sized.push({ key: label.key, text, size: told });
      if (label.key) group.addEventListener("click", () => this.on.type(label.key, group));
      this.layers.labels.append(group);
      this.lettered.push({ of: label.of, groups: [lines, group] });
    }
  }

  /** Numbered flags where the findings are, one for each place. */
  flags(findings) {
    const { scale } = this, px = (values) => values.map((value) => value * scale);
    const groups = gathered(findings, this.data?.places ?? {}, scale), edge = px(this.seen ?? [0, 0, 0, 0]);
    const held = document.querySelector(".handle.held") !== null;
    // What a flag would lie over is not looked at anew with every move of a hand.
    if (!held && groups.length) this.ink ??= inkOf(this.svg.querySelectorAll(".lines path, .marks path, .dims path"), edge, scale);
    const labels = (this.taken ?? []).map(([x, y, w, h]) => px([x, y, w / 2, 0.75 * h]));
    stand(groups, {
      kept: [...labels, ...this.stands.map((at) => [...px(at), 6, 6])], ink: this.ink ?? (() => 0), edge, before: this.steps, held,
    });
    this.steps = new Map(groups.map(({ part, step }) => [part, step]));
    this.layers.flags.replaceChildren(...groups.flatMap((group) => flag(group, scale)));
  }

  /** Marks the lines of parts that are spoken of, and the flag that stands for it. */
  point(parts, number = null) {
    for (const line of this.layers.lines.children) {
      line.classList.toggle("pointed", parts.includes(line.dataset.owner));
    }
    for (const mark of this.layers.flags.querySelectorAll(".mark")) {
      mark.classList.toggle("spoken", mark.dataset.of.split(" ").includes(String(number)));
    }
  }

  #handles(handles) {
    const old = new Map([...this.layers.handles.children].map((g) => [g.dataset.key, g]));
    const keep = handles.map((handle) => {
      const key = handle.pulls.map((pull) => pull.key).join(" ");
      const group = old.get(key) ?? this.#newHandle(key);
      group.handle = handle;
      const one = handle.pulls.length === 1;
      group.setAttribute("role", one ? "spinbutton" : "button");
      if (one) {
        group.setAttribute("aria-valuenow", handle.pulls[0].value);
        group.setAttribute("aria-valuetext", handle.text);
      }
      group.setAttribute("aria-label", one ? handle.name : `${handle.name}: ${handle.text}; arrow keys move it`);
      group.firstChild.textContent = `${handle.name}: ${handle.text}`;
      return group;
    });
    for (const [key, group] of old) if (!keep.includes(group)) group.remove();
    keep.forEach((group, i) => {
      if (this.layers.handles.children[i] !== group) this.layers.handles.insertBefore(group, this.layers.handles.children[i] ?? null);
    });
    this.#comeTo(keep.find((group) => group.dataset.key === this.stop) ?? keep[0]);
    this.#stand();
  }

  /** The keyboard comes to one ring of a view, and goes from there to the others. */
  #comeTo(group) {
    this.stop = group?.dataset.key ?? null;
    for (const ring of this.layers.handles.children) ring.setAttribute("tabindex", ring === group ? "0" : "-1");
  }

  /** Puts each ring where a finger meets no other, with a line to the point that it moves. */
  #stand() {
    const groups = [...this.layers.handles.children], px = (values) => values.map((value) => value * this.scale);
    if (!groups.length || !this.seen) return;
    const points = groups.map(({ handle }) => px(handle.at));
    // While a hand draws, no ring steps aside anew.
    const held = groups.some((group) => group.classList.contains("held"));
    const steps = held ? groups.map((group) => group.step ?? [0, 0])
      : aside(points, groups.map((group) => group.step), (this.taken ?? []).map(px), px(this.seen));
    const stand = points.map(([x, y], i) => [x + steps[i][0], y + steps[i][1]]);
    this.stands = stand.map((at) => at.map((value) => value / this.scale));
    this.layers.reaches.replaceChildren();
    groups.forEach((group, i) => {
      group.step = steps[i];
      const near = Math.min(...stand.filter((_, k) => k !== i).map(([x, y]) => Math.hypot(x - stand[i][0], y - stand[i][1])));
      const grip = Math.max(4.5, Math.min(13, near / 2)), round = Math.min(group.handle.pulls.length > 1 ? 6 : 4.5, grip);
      const [x, y] = this.stands[i];
      for (const circle of group.querySelectorAll("circle")) {
        circle.setAttribute("cx", x);
        circle.setAttribute("cy", y);
        circle.setAttribute("r", (circle.classList.contains("grip") ? grip : round) / this.scale);
      }
      const [a, b] = group.handle.at;
      if (Math.hypot(...steps[i])) this.layers.reaches.append(shape("path", { class: "reach", d: `M${a} ${b}L${x} ${y}` }));
    });
  }

  #newHandle(key) {
    const group = shape("g", { class: "handle", tabindex: "-1" }, shape("title"),
      shape("circle"), shape("circle", { class: "grip" }));
    group.dataset.key = key;
    group.addEventListener("pointerdown", (event) => this.#hold(event, group));
    group.addEventListener("keydown", (event) => this.#key(event, group));
    group.addEventListener("focus", () => this.#comeTo(group));
    return group;
  }

  #hold(event, group) {
    if (event.button) return;
    event.preventDefault();
    group.focus({ focusVisible: false });
    group.setPointerCapture(event.pointerId);
    const start = [event.clientX, event.clientY], handle = group.handle;
    let moved = false;
    group.classList.add("held");
    const wanted = (e) => {
      const by = [(e.clientX - start[0]) / this.scale, (e.clientY - start[1]) / this.scale];
      return put(handle, by, this.scale, this.on.unit());
    };
    const move = (e) => {
      if (!moved && Math.hypot(e.clientX - start[0], e.clientY - start[1]) < 3) return;
      moved = true;
      this.on.drag(wanted(e), false, group);
    };
    const letGo = new AbortController(), { signal } = letGo;
    const end = () => { letGo.abort(); group.classList.remove("held", "stopped"); };
    group.addEventListener("pointermove", move, { signal });
    group.addEventListener("pointerup", (e) => {
      end();
      if (moved) this.on.drag(wanted(e), true, group);
      else this.on.type(group.dataset.key, group);
    }, { signal });
    // A hand that is called away, or thinks better of it, changes nothing.
    const drop = () => { end(); if (moved) this.on.drop(); };
    group.addEventListener("pointercancel", drop, { signal });
    group.addEventListener("keydown", (e) => { if (e.key === "Escape") { e.preventDefault(); drop(); } }, { signal });
  }

  #key(event, group) {
    const way = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }[event.key];
    const rings = [...this.layers.handles.children], at = rings.indexOf(group);
    const to = { PageDown: rings[at + 1], PageUp: rings[at - 1], Home: rings[0], End: rings.at(-1) };
    if (event.key in to) {
      event.preventDefault();
      to[event.key]?.focus();
      return;
    }
    const many = event.shiftKey ? 10 : 1, { pulls } = group.handle;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.on.type(group.dataset.key, group);
    } else if (way) {
      event.preventDefault();
      const changes = {};
      if (pulls.length === 1) {
        const up = way[0] > 0 || way[1] < 0 ? 1 : -1;
        changes[pulls[0].key] = stepped(pulls[0].value, this.on.unit(), up * many);
      } else {
        for (const pull of pulls) {
          const along = way[0] * pull.along[0] + way[1] * pull.along[1];
          if (Math.abs(along) > 0.5) changes[pull.key] = stepped(pull.value, this.on.unit(), Math.sign(along) * many);
        }
      }
      if (Object.keys(changes).length) this.on.drag(changes, true, group);
    }
  }
}

/** What a hand that moved by so many millimetres of the picture wants of a handle's numbers. */
function put(handle, by, scale, unit) {
  const changes = {};
  for (const pull of handle.pulls) {
    const square = pull.along[0] ** 2 + pull.along[1] ** 2;
    const amount = (by[0] * pull.along[0] + by[1] * pull.along[1]) / square;
    changes[pull.key] = nearest(pull.value + pull.gain * amount, unit, scale);
  }
  return changes;
}

function path([pen, owner, seen, d]) {
  const line = shape("path", { class: pen, d });
  line.dataset.owner = owner;
  if (!seen) line.dataset.behind = "";
  return line;
}

function lay(layer, lines) {
  const all = [];
  for (const line of lines) {
    all.push(path(line));
    if (line[0] === "cord-hollow") all.push(path(["core", line[1], line[2], line[3]]));
  }
  layer.replaceChildren(...all);
}

// Boxes are left, top, right, bottom.
export const within = (inner, outer) => inner[0] >= outer[0] && inner[1] >= outer[1] && inner[2] <= outer[2] && inner[3] <= outer[3];
export const round = (a, b) => [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])];

/** The box of each view in an answer. */
export const boxesOf = (said) => Object.fromEntries(Object.entries(said.views).map(([name, data]) => [name, data.box]));

/** Scales the flat views alike, one over the other, and the turned one to its own place. */
export function arrange(drawings, boxes, tallest) {
  const flat = ["plan", "side"].filter((name) => boxes[name]);
  const width = drawings.plan.svg.parentElement.clientWidth;
  const widths = flat.map((name) => boxes[name][2] - boxes[name][0]);
  const heights = flat.map((name) => boxes[name][3] - boxes[name][1]);
  const room = width - 2 * SIDE * Math.min(1, width / 500);
  let scale = room / Math.max(...widths, 1);
  const free = tallest - 2 * ABOVE * flat.length;
  scale = Math.min(scale, free / Math.max(heights.reduce((a, b) => a + b, 0), 1));
  flat.forEach((name, i) => drawings[name].fit(scale, boxes[name], width, heights[i] * scale + 2 * ABOVE));
  if (boxes.turned) {
    const { svg } = drawings.turned, wide = svg.parentElement.clientWidth;
    const caption = (name) => drawings[name].svg.previousElementSibling.offsetHeight;
    const high = wide > width * 0.9 ? Math.min(wide * 0.8, 420)
      : flat.reduce((sum, name) => sum + caption(name) + parseFloat(drawings[name].svg.style.height), 0) - caption("turned");
    // Turned about its middle, it must not leave the paper from any side: nor a ball round it.
    const [across, up] = [Math.max(...widths), heights.at(-1)];
    const reach = Math.max(Math.hypot(across, heights[0], up), 1);
    drawings.turned.fit(Math.min(wide, high) / reach * 0.94, boxes.turned, wide, high);
  }
}
