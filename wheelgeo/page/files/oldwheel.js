// The repairer's questions, each with a sketch of where to measure.

import { ask, make, Refused, refusedAt, settled, tell, tellMore, trying } from "./asking.js";
import { afterPress } from "./ledge.js";
import { shape } from "./shape.js";
import { state } from "./state.js";

const $ = (id) => document.getElementById(id);
const KEPT = "old wheel"; // what was filled in stays with the window, until it is closed
const STEPS = [
  { name: "wheel", asks: "How wide is the wheel, over its rim?", hint: "21 1/2 +- 1/8 in", sketch: "wheel" },
  { name: "groove", asks: "How deep is the groove in its rim?", hint: "1/4 in", sketch: "groove", may: true },
  { name: "whorl", asks: "How wide is the whorl, over its rim?", hint: "1 3/8 in", sketch: "whorl" },
  { name: "whorl_groove", asks: "How deep is the whorl's groove?", hint: "3/16 in", sketch: "groove", may: true },
  { name: "double", asks: "How wide is the bobbin's whorl, over its rim?", hint: "1 1/8 in", sketch: "whorl", goes: "twice" },
  { name: "apart", asks: "How far apart are the axle and the spindle, middle to middle?", hint: "17 3/4 in", sketch: "apart" },
  { name: "cord", asks: "Which cord will you use?", hint: "3 mm cotton cord", sketch: "cord" },
];
const SHAPES = [["", "not looked into"], ["vee", "a vee, the cord between its sides"],
  ["round", "round, the cord on the bottom"], ["worn", "worn, the cord on the bottom"]];
const MORE = [
  { head: "Which wheel" },
  { name: "title", asks: "What do you call it?", hint: "Old wheel" },
  { name: "driven", asks: "What turns it?", options: [["", "not said"], ["foot", "a foot on a treadle"],
    ["hand", "the hand on its rim"], ["crank", "the hand at a crank"], ["motor", "a motor"]] },
  { name: "slide", asks: "How far can the spindle be slid, or screwed, in all? (leave it out if it cannot)", hint: "3/4 in" },
  { head: "The grooves" },
  { name: "groove_shape", asks: "Their shape", options: SHAPES },
  { name: "whorl_shape", asks: "The whorl's, where it is another", options: [["", "the same"], ...SHAPES.slice(1), ["unknown", "not looked into"]] },
  { name: "mouth", asks: "Width of the wheel's at the rim, lip to lip" },
  { name: "whorl_mouth", asks: "Width of the whorl's, likewise" },
  { name: "grooves_apart", asks: "The wheel's two grooves, middle to middle", goes: "twice" },
  { name: "whorls_apart", asks: "The two whorls, middle to middle", goes: "twice" },
  { head: "Where callipers do not reach" },
  { name: "girth", asks: "Instead of the wheel's width: the girth of a thin thread laid in its groove" },
  { name: "whorl_girth", asks: "Instead of the whorl's width: likewise" },
  { head: "The distance, told in another way, or twice to be sure" },
  { name: "edge_to_edge", asks: "From rim to rim, where they are nearest" },
  { name: "over_axles", asks: "Over axle and spindle, from far side to far side" },
  { name: "axle", asks: "and the axle's thickness" },
  { name: "rod", asks: "and the spindle's" },
  { name: "fits", asks: "A band that fits, of the same cord", hint: "75 1/8 in",
    means: "One that runs well: the old band, or cord tied round both wheels as tight as it shall run. Its length gives the distance from axle to axle, where that cannot be measured. Take it off and measure it slack: a joined one laid flat and double, twice from fold to fold; one that you can untie, straight along a tape." },
  { name: "fits_as", asks: "measured", options: [["", "– say how –"], ["loop", "joined, as a loop"],
    ["cord", "untied, its ends trimmed"], ["off the reel", "off the reel, before it was tied"]] },
  { head: "The joint" },
  { name: "joint", asks: "How it will be joined, or the length of cord that this takes", hint: "splice" },
  { head: "Where the wheel does not run true" },
  { name: "least", asks: "Least diameter of an oval rim (above: its greatest)" },
  { name: "wobble", asks: "How far the rim moves sideways over a turn, in all" },
  { name: "eccentric", asks: "How far the rim moves in and out over a turn, in all" },
  { name: "aside", asks: "How far the whorl's groove stands aside of the wheel's, towards the tip" },
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

const known = () => { try { return JSON.parse(sessionStorage.getItem(KEPT)); } catch { return null; } };

/** A blank or choice, and a line that says how it was read. */
function blank(question, size) {
  const { name, options, hint } = question;
  const field = options
    ? make("select", { name, autocomplete: "off" }, ...options.map(([value, words]) => make("option", { value }, words)))
    : make("input", { name, placeholder: hint, size, autocomplete: "off" });
  const read = make("span", { class: "read small", "aria-live": "polite" });
  return { field, read };
}

/** Says beside a blank how it was taken. The same words are not put anew: they would be read out again. */
function hint(field, words) {
  const line = field.closest("li, p")?.querySelector(".read");
  if (line && line.textContent !== words) line.textContent = words;
}

/** Says beside a blank how it is read, as soon as it is left; what the whole is asked says more. */
let reckonings = 0;
async function readBack(field, unit) {
  const before = reckonings, text = field.value, bare = unit();
  if (field.tagName !== "INPUT" || ["title", "fits"].includes(field.name)) return;
  const said = text.trim() ? await trying(() => ask("old-read", { name: field.name, text, unit: bare })) : { taken: "", wrong: [] };
  afterPress(() => {
    // What was asked in whole, or typed, meanwhile is read by itself.
    if (!said || before !== reckonings || field.value !== text || unit() !== bare) return;
    hint(field, said.taken && !said.wrong.length ? `taken as ${said.taken}` : "");
    refusedAt(field.closest("label"), said.wrong, field);
  });
}

function form() {
  const steps = STEPS.map((step) => {
    const { field, read } = blank(step, 14);
    return make("li", { "data-goes": step.goes }, make("label", {},
      `${step.asks}${step.may ? " (leave it out if there is none)" : ""} `, field), sketch(step.sketch), read);
  });
  const more = MORE.map((question) => {
    if (question.head) return make("h3", {}, question.head);
    const { field, read } = blank(question, 11);
    const means = question.means ? [make("br"), make("span", { class: "small", id: `old-${question.name}-means` }, question.means)] : [];
    if (question.means) field.setAttribute("aria-describedby", field.dataset.means = `old-${question.name}-means`);
    return make("p", { "data-goes": question.goes }, make("label", {}, `${question.asks} `, field), " ", read, ...means);
  });
  const goes = make("select", { name: "goes", id: "old-goes", autocomplete: "off" },
    ...[["once", "once round"], ["crossed", "once, and crosses itself"], ["twice", "twice, over the bobbin too"]]
      .map(([value, words]) => make("option", { value }, words)));
  const radio = (value, words) => make("label", {}, make("input", { type: "radio", name: "bare", value, autocomplete: "off" }), ` ${words}`);
  return make("form", {},
    make("p", {}, make("label", {}, "The band goes ", goes)),
    make("fieldset", { class: "row" }, make("legend", { class: "small" }, "A length without its unit is in (halves and eighths are always of inches)"),
      radio("mm", "mm"), radio("in/64", "inches")),
    make("ol", {}, ...steps),
    make("p", { class: "small" }, "How sure you are may stand behind each: 21 1/2 +- 1/8 in."),
    make("details", { id: "old-more" }, make("summary", {}, "More of it: name, slide, grooves, girths, joint, what does not run true"), ...more),
    make("p", {}, make("button", {}, "Which band?"), " ", make("button", { type: "button", id: "old-open" }, "Lay this wheel on the board")));
}

/** Whether one blank has an eighth or the like without a unit, and all whole numbers may be inches. */
function inInches(fields, widest) {
  const bare = [...fields.querySelectorAll("input:not([type])")]
    .map(({ value }) => value.trim()).filter((value) => /^\d[\d\s.,/+\-±]*$/.test(value));
  const wholes = bare.map((words) => Number.parseFloat(words));
  // No wheel in use is wider, in inches: a greater number was measured in millimetres.
  return bare.some((words) => words.includes("/")) && wholes.every((number) => number <= widest);
}

/** What the library says, in its own words. */
function answer(said) {
  const lines = (texts) => texts.map((text) => make("p", {}, text));
  const wrong = said.wrong.map((f) => make("p", { class: f.level }, make("span", { class: "level" }, f.level), ` ${f.says}`));
  const cut = [make("p", {}, make("strong", { id: "old-cut" }, said.take)), ...lines(said.cut)];
  return [
    ...lines(said.mind),
    // What is doubted is answered before a cord is cut by it.
    ...(said.doubted ? [...wrong, make("details", { class: "doubted" }, make("summary", {}, "It is as it was measured: what to cut"), ...cut, ...lines(said.then))]
      : [...cut, ...wrong, ...lines(said.then)]),
    make("p", { class: "small" }, said.last),
    make("details", {}, make("summary", {}, "Assumed, because it was not measured"),
      make("ul", {}, ...said.assumed.map((a) => make("li", { class: "small" }, `${a.what}: ${a.taken} (${a.source})`)))),
  ];
}

/** Opens the questions; `layNew` shows a wheel on the board; `widest`: of all wheels in use, inches. `again`: the page was loaded anew. */
export function oldWheel(layNew, widest, again = false) {
  const slip = $("old"), fields = form();
  const { elements } = fields;
  const old = make("p", { id: "old-stale", class: "small", role: "status", hidden: true }, "Something was changed: press “Which band?” again.");
  const said = make("div", { id: "old-said", role: "group", tabindex: "-1", "aria-label": "The band" });
  const fold = make("details", { open: true }, make("summary", {}, make("h2", {}, "An old wheel")), fields, old, said);
  const unit = () => elements.bare.value;
  const blanks = () => fields.querySelectorAll("input:not([type])");

  const filled = known() ?? {};
  for (const [name, value] of Object.entries(filled)) if (elements[name]) elements[name].value = value;
  if (!unit()) elements.bare.value = state.unit ?? "mm";
  if (MORE.some((q) => q.name && filled[q.name])) fields.querySelector("details").open = true;

  const goes = () => {
    for (const part of fields.querySelectorAll("[data-goes]")) part.hidden = part.dataset.goes !== elements.goes.value;
  };
  const measured = () => {
    const all = Object.fromEntries([...new FormData(fields)].filter(([, value]) => value !== ""));
    if (all.goes === "crossed") all.crossed = true;
    for (const unasked of fields.querySelectorAll("[data-goes][hidden] [name]")) delete all[unasked.name];
    delete all.goes;
    delete all.bare;
    return all;
  };
  let asked = ""; // what the answer that stands below was asked of
  const now = () => JSON.stringify(Object.fromEntries(new FormData(fields)));
  const changed = () => {
    sessionStorage.setItem(KEPT, now());
    old.hidden = !said.childElementCount || now() === asked;
    said.classList.toggle("stale", !old.hidden);
  };
  const reckon = async (open) => {
    let told = null;
    reckonings += 1;
    asked = now();
    settled(fields);
    try {
      if (elements.goes.value === "twice" && !elements.double.value.trim()) {
        throw new Refused([{ place: "", says: "the bobbin's whorl is missing, over which the band goes too", remedy: "measure it", key: "double" }]);
      }
      told = await ask("old", { measured: measured(), unit: unit(), open });
      said.replaceChildren(...answer(told));
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      said.replaceChildren();
      const faults = error.faults.map((fault) => (elements.namedItem(fault.key) ? { ...fault, place: fault.key } : fault));
      const more = fields.querySelector("#old-more"); // opened for a blank in it, and for no other
      if (faults.some(({ place }) => more.contains(elements.namedItem(place)))) more.open = true;
      refusedAt(fields, faults);
    }
    changed();
    // Whoever asked before a blank was left is told as well what was used, and nothing of what was refused.
    for (const field of blanks()) {
      if (field.hasAttribute("aria-invalid")) hint(field, "");
      else readBack(field, unit);
    }
    if (told && !open) {
      said.focus({ preventScroll: true });
      said.scrollIntoView({ block: "start" });
    }
    return told;
  };
  fields.addEventListener("submit", (event) => { event.preventDefault(); reckon(false); });
  fields.addEventListener("input", ({ target }) => {
    for (const field of target.name === "bare" ? blanks() : [target]) hint(field, "");
    changed();
  });
  let byHand = Boolean(filled.bare);
  fields.addEventListener("change", (event) => {
    goes();
    if (event.target.name === "bare") byHand = true;
    const inches = !byHand && unit() !== "in/64" && inInches(fields, widest);
    if (inches) {
      elements.bare.value = "in/64";
      for (const field of blanks()) hint(field, "");
      tell("Halves and eighths are of inches: whole numbers beside them are taken as inches too.");
    }
    changed();
    const again = inches || event.target.name === "bare" ? [...blanks()] : [event.target];
    for (const field of again) readBack(field, unit);
  });
  fields.querySelector("#old-open").addEventListener("click", () => trying(async () => {
    const told = await reckon(true);
    if (!told?.opened) return;
    await layNew(told.opened, {
      seen: () => {
        // The questions stand folded below the answers.
        fold.open = false;
        $("slips").append(slip); // a blank that is still typed in is left by this, and kept once more
        sessionStorage.removeItem(KEPT); // the wheel is on the board, and in the address
      },
    });
    if (told.unkept) tellMore(told.unkept);
  }));
  slip.replaceChildren(fold);
  slip.hidden = false;
  goes();
  if (again) return;
  $("slips").prepend(slip);
  slip.scrollIntoView({ block: "start" });
  elements.wheel.focus({ preventScroll: true });
}

/** Whether questions were begun in this window, and are to be opened again. */
export const oldWheelBegun = () => known() !== null;
