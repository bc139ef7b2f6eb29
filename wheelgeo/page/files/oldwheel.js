// The repairer's questions, each with a sketch of where to measure.

import { ask, make, Refused, refusedAt, settled, trying } from "./asking.js";
import { state } from "./bench.js";
import { shape } from "./drawing.js";

const $ = (id) => document.getElementById(id);
const STEPS = [
  { name: "wheel", asks: "How wide is the wheel, over its rim?", hint: "21 1/2 +- 1/8 in", sketch: "wheel",
    more: [{ name: "girth", asks: "or the girth of a thin thread laid in its groove" }] },
  { name: "groove", asks: "How deep is the groove in its rim?", hint: "1/4 in", sketch: "groove", may: true,
    more: [{ name: "groove_shape", asks: "and its shape: vee, round or worn (round: the cord lies on the bottom)" },
      { name: "mouth", asks: "and its width at the rim, from lip to lip" }] },
  { name: "whorl", asks: "How wide is the whorl, over its rim?", hint: "1 3/8 in", sketch: "whorl",
    more: [{ name: "whorl_girth", asks: "or the girth of a thin thread laid in its groove" }] },
  { name: "whorl_groove", asks: "How deep is the whorl's groove?", hint: "3/16 in", sketch: "groove", may: true,
    more: [{ name: "whorl_shape", asks: "and its shape, where it is another" },
      { name: "whorl_mouth", asks: "and its width at the rim, from lip to lip" }] },
  { name: "apart", asks: "How far apart are the axle and the spindle, middle to middle?", hint: "17 3/4 in", sketch: "apart",
    more: [{ name: "edge_to_edge", asks: "or from edge to edge of the two rims, where they are nearest" },
      { name: "fits", asks: "or a band that fits: 75 in loop (joined, once round), 76 in cord (untied, its joint in it)" }] },
  { name: "cord", asks: "Which cord will you use?", hint: "3 mm cotton cord", sketch: "cord" },
];

function sketch(kind) {
  const p = (d, pen = "outline") => shape("path", { d, class: pen });
  const circle = (x, r, pen) => p(`M${x - r} 60a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`, pen);
  const arrow = (x1, x2, y) => p(`M${x1} ${y}H${x2}M${x1 + 6} ${y - 3}L${x1} ${y}L${x1 + 6} ${y + 3}M${x2 - 6} ${y - 3}L${x2} ${y}L${x2 - 6} ${y + 3}`, "arrow");
  const both = [circle(70, 48), circle(190, 12), p("M70 60h0M62 60H78M70 52V68M184 60H196M190 54V66", "fine")];
  const drawn = {
    wheel: [...both, arrow(22, 118, 116), p("M22 60V120M118 60V120", "dimension")],
    whorl: [...both, arrow(178, 202, 90), p("M178 60V94M202 60V94", "dimension")],
    apart: [...both, arrow(70, 190, 116), p("M70 60V120M190 60V120", "dimension"), p("M70 12L190 48M70 108L190 72", "cord")],
    groove: [p("M40 20H100L125 70L150 20H210V110H40Z"), p("M125 20V70M120 64L125 70L130 64M120 26L125 20L130 26", "arrow"), p("M100 20H150", "dimension")],
    cord: [p("M20 70C80 20 150 110 230 50", "cord"), p("M118 52V82M110 60L118 52M126 60L118 52", "arrow")],
  }[kind];
  return shape("svg", { class: "view sketch", viewBox: "0 0 250 125", role: "img", "aria-label": "where to measure" }, ...drawn);
}

/** Opens the questions; `layNew` shows a wheel on the board. */
export function oldWheel(layNew) {
  const slip = $("old");
  const result = make("div", { role: "status", id: "old-said" });
  const fields = STEPS.map((step) => {
    const input = make("input", { name: step.name, placeholder: step.hint, size: 14, autocomplete: "off" });
    const parts = [make("label", {}, `${step.asks}${step.may ? " (leave it out if there is none)" : ""} `, input), sketch(step.sketch)];
    for (const more of step.more || []) {
      parts.push(make("label", { class: "small" }, `${more.asks} `, make("input", { name: more.name, size: 10, autocomplete: "off" })));
    }
    return make("li", {}, ...parts);
  });
  const form = make("form", {}, make("ol", {}, ...fields),
    make("p", {}, make("label", {}, make("input", { type: "checkbox", name: "crossed" }), " the band crosses itself")),
    make("p", { class: "small" }, "How sure you are may stand behind each: 21 1/2 +- 1/8 in."),
    make("p", {}, make("button", {}, "Which band?"), " ", make("button", { type: "button", id: "old-open" }, "Lay this wheel on the board")), result);
  const measured = () => {
    const all = Object.fromEntries([...new FormData(form)].filter(([, value]) => value !== ""));
    if (all.crossed) all.crossed = true;
    return all;
  };
  const reckon = async (open) => {
    settled(form);
    try {
      const said = await ask("old", { measured: measured(), unit: state.unit, open });
      const half = said.half ? ` ± ${said.half}` : "";
      result.replaceChildren(
        said.ring ? make("p", {}, make("strong", { id: "old-cut" }, `${said.ring[0].toUpperCase()}${said.ring.slice(1)}`)) :
          make("p", {}, "Cut the cord ", make("strong", { id: "old-cut" }, `${said.cut_with_joint}${half}`), ` long: ${said.cut}, and ${said.joint} for the joint (${said.joined})${said.off_reel}.`),
        make("p", {}, `In place it is ${said.in_place} long, stretched by ${said.stretch}. ${said.tie}`),
        make("p", {}, `Ratio ${said.ratio.toFixed(2)}; ${said.twist}.`),
        ...said.findings.map((f) => make("p", { class: f.level }, `${f.level}: ${f.says}.`)),
        make("details", {}, make("summary", {}, "Assumed, because it was not measured"),
          make("ul", {}, ...said.assumed.map((a) => make("li", {}, `${a.what}: ${a.taken} (${a.source})`)))));
      return said;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      result.replaceChildren();
      refusedAt(form, error.faults.map((fault) => (fault.remedy.startsWith("give --") ? { ...fault, remedy: "" } : fault)));
      return null;
    }
  };
  form.addEventListener("submit", (event) => { event.preventDefault(); reckon(false); });
  slip.replaceChildren(make("h2", {}, "An old wheel"), form);
  slip.hidden = false;
  $("slips").prepend(slip);
  form.querySelector("#old-open").addEventListener("click", () => trying(async () => {
    const said = await reckon(true);
    if (said?.opened) await layNew(said.opened);
  }));
  slip.scrollIntoView({ block: "start" });
  form.querySelector("input").focus({ preventScroll: true });
}
