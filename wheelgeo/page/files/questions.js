// Sentences with blanks: what a spinner, a repairer or a woodworker asks of the wheel on the board.

import { ask, make, Refused, refusedAt, settled, tell, trying } from "./asking.js";
import { asked, change, layDown, layOver, refresh, state } from "./bench.js";
import { keep } from "./address.js";
import { oldWheel } from "./oldwheel.js";

const $ = (id) => document.getElementById(id);

/** Tells an answer under its questions; a reader's voice says how much there is, and stands on it. */
function said(heading, ...nodes) {
  const head = make("h3", { tabindex: "-1" }, heading);
  $("said").replaceChildren(make("div", {}, head, ...nodes));
  head.focus();
}
const number = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

export function ghostGone() {
  for (const button of $("said").querySelectorAll("[aria-pressed]")) button.setAttribute("aria-pressed", "false");
}

function onSubmit(id, work) {
  const form = $(id);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (form.getAttribute("aria-busy")) return;
    tell("");
    settled(form);
    const asking = $("ask").contains(form);
    if (asking) $("said").replaceChildren();
    const blanks = Object.fromEntries([...new FormData(form)].map(([key, value]) => [key, String(value)]));
    form.setAttribute("aria-busy", "true");
    const moment = asking ? "Looking for an answer …" : "Working on it …";
    // Not every answer comes at once: whoever cannot see that nothing has come yet is told.
    const slow = setTimeout(() => tell(moment, false, true), 400);
    try {
      await work(blanks);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      refusedAt(form, error.faults);
    } finally {
      clearTimeout(slow);
      form.removeAttribute("aria-busy");
      if ($("status").textContent === moment) tell("");
    }
  });
}

/** A button that lays a ghost over the wheel, and says which. */
function showing(ghost, says, which) {
  const button = make("button", { type: "button", "aria-pressed": "false" }, `Lay ${which} over`);
  button.addEventListener("click", () => trying(async () => {
    ghostGone();
    await layOver(ghost, says);
    button.setAttribute("aria-pressed", "true");
  }));
  return button;
}

async function retune(blanks) {
  const answer = await ask("retune", asked(blanks));
  const ways = answer.ways.map((way, n) => {
    const words = [...way.make, ...way.set].join("; ");
    const counts = ["fault", "warning"].map((level) => [way.see_to.filter((said) => said.level === level).length, level])
      .filter(([n]) => n).map(([n, level]) => `${n} ${level}${n > 1 ? "s" : ""}`).join(", ");
    const bad = counts ? make("details", {}, make("summary", {}, `${counts.includes("fault") ? "Cannot be built so" : "See to"}: ${counts}`),
      make("ul", {}, ...way.see_to.map((said) => make("li", { class: "small" }, `${said.level}: ${said.says}`)))) : "";
    return make("li", {}, `${words}. Ratio ${way.ratio.toFixed(1)}. ${way.bands.join("; ")}. `, showing(way.ghost, words, `way ${n + 1}`), bad);
  });
  const lead = answer.enough ? "You need not change the wheel" : "Without a change";
  const sound = answer.ways.filter((way) => way.see_to.every((one) => one.level === "note")).length;
  said(`${number(answer.ways.length, "way")}, ${sound} sound`, make("p", {}, `${lead}: ${answer.without}${answer.other_way ? ", the other way round" : ""}.`),
    make("p", {}, `Ratio needed${answer.turns_per_metre ? ` for ${Math.round(answer.turns_per_metre)} turns a metre` : ""} at the speed of today: ${answer.ratio_needed.toFixed(1)}; it is ${answer.ratio_now.toFixed(1)}.`),
    make("ol", {}, ...ways));
}

async function have(blanks) {
  const answer = await ask("have", asked(blanks));
  const words = (band) => [
    band.says,
    band.cut && `cut ${band.cut}, joint included`,
    band.stretch && `stretched by ${band.stretch}`,
    band.pull && `pulls ${band.pull}`,
    band.tie && answer.slide && `tie it with ${answer.slide} at ${band.tie} on its slide`,
    band.room && `may still grow by ${band.room}`,
  ].filter(Boolean).join("; ");
  said(`${answer.bands.filter((band) => band.fits).length} of ${number(answer.bands.length, "band")} fit`, make("p", {}, `${answer.band}, of ${answer.material}; right is a stretch of ${answer.right}.`),
    make("ul", {}, ...answer.bands.map((band) => make("li", {}, make("strong", {}, band.fits ? "fits" : "does not fit"), ` – ${band.name}: ${words(band)}`))));
}

async function place(blanks) {
  const answer = await ask("place", asked(blanks));
  const rows = answer.rows.map((row, n) => {
    const when = row.weight === 0 ? "for spinning alone" : row.weight === 1 ? "for backing off alone" : `backing off counts ${Math.round(100 * row.weight)} %`;
    const words = `${when}: move it by ${row.moves.join(", ")}; the band arrives at ${row.arriving.join(" and ")}, in backing off at ${row.back.join(" and ")}`;
    return make("li", {}, `${words}. `, row.ghost ? showing(row.ghost, words, `place ${n + 1}`) : `It cannot stand there: ${row.refused}`);
  });
  said(number(answer.rows.length, "place"), make("p", {}, `${answer.band} over ${answer.pulleys.join(" and ")}${answer.true ? "; it can arrive true" : "; it cannot arrive quite true with that alone"}.`),
    make("ol", {}, ...rows));
}

async function making(blanks) {
  let work = await ask("make", asked(blanks));
  const line = $("making"), bar = line.querySelector("progress"), words = line.querySelector("span");
  line.hidden = false;
  while (work.running) {
    bar.value = work.of ? work.done / work.of : 0;
    words.textContent = work.step ? `${work.step} (${work.done} of ${work.of})` : "checking the wheel";
    await new Promise((done) => { setTimeout(done, 200); });
    work = await ask("progress", { set: work.set });
  }
  bar.value = work.failed ? 0 : 1;
  words.textContent = work.failed ? `Not made: ${work.failed}` : `${work.files.length} files in ${work.folder}`;
  tell(words.textContent, Boolean(work.failed));
}

/** Fills the blanks that hang on the wheel: its bands, and what may move. */
function blanks() {
  const bands = () => [...new Set((state.whole?.settable ?? []).filter((row) => row.key.startsWith("band:")).map((row) => row.part))];
  const moves = () => (state.whole?.settable ?? []).filter((row) => /\.offset$|\.at\.[xyz]$/.test(row.key)).map((row) => row.key);
  const fill = (select, values, words = (value) => value) => {
    if ([...select.options].map((o) => o.value).join() === values.join()) return;
    select.replaceChildren(...values.map((value) => make("option", { value }, words(value))));
  };
  new MutationObserver(() => {
    fill($("have").elements.band, bands());
    fill($("place").elements.band, bands());
    fill($("place").elements.move, moves(), (key) => {
      const row = state.whole.settable.find((one) => one.key === key);
      return `${row.part}: ${row.means}`;
    });
  }).observe(document.body, { attributes: true, attributeFilter: ["data-ready"] });
}

export function askings(start) {
  $("shipped").elements.design.append(...start.designs.map((name) => make("option", { value: name }, name)));
  blanks();
  onSubmit("retune", retune);
  onSubmit("have", have);
  onSubmit("place", place);
  onSubmit("over", async (b) => {
    const answer = await ask("over", asked(b));
    await layOver(answer.ghost, answer.says);
  });
  onSubmit("make", making);
  onSubmit("save", async (b) => {
    const answer = await ask("save", asked(b));
    tell(`Kept in ${answer.file}`);
    await refresh(false);
  });
  onSubmit("link", async () => {
    const answer = await ask("link", asked());
    keep(answer);
    tell("The link is ready to be copied.");
  });
  for (const id of ["shipped", "from-file"]) {
    onSubmit(id, async (b) => layDown((await ask("open", b)).wheel));
  }
  onSubmit("from-link", async ({ link }) => layDown((await ask("open", { link })).wheel));
  $("old-begin").addEventListener("click", () => oldWheel(layDown));
}

export { change };
