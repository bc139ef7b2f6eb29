// Sentences with blanks: what a spinner, a repairer or a woodworker asks of the wheel on the board.

import { ask, make, Refused, refusedAt, settled, Stopped, tell, trying } from "./asking.js";
import { layNew, refresh } from "./bench.js";
import { keep } from "./address.js";
import { layOver, leave } from "./ghosts.js";
import { oldWheel, oldWheelBegun } from "./oldwheel.js";
import { asked, state } from "./state.js";
import { askUntold, forgetUntold, tellUntold } from "./untold.js";

const $ = (id) => document.getElementById(id);

/** Tells an answer under its questions; a reader's voice says how much there is, and stands on it. */
let answered = null;
function said(answer, heading, ...nodes) {
  answered = { ...answered, of: of(answer.wheel, answer.revision, answered.unit) };
  const head = make("h3", { tabindex: "-1" }, heading);
  $("said").replaceChildren(make("div", {}, head, ...nodes));
  head.focus();
  $("said").scrollIntoView({ block: "nearest" }); // as much of it as there is room for
  stale();
}
const number = (n, one, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** How many of some findings are of each level, in words; of a level that none has, nothing. */
export function counted(found, levels = ["fault", "warning"]) {
  return levels.flatMap((level) => {
    const n = found.filter((one) => one.level === level).length;
    return n ? [number(n, level)] : [];
  });
}

const of = (wheel, revision, unit) => JSON.stringify([wheel, revision, unit]);

let keptAs = null; // the wheel as it was saved, of which is said beside Save where

/** Puts an answer away that is of a wheel as it was; it can be asked once more. */
export function stale() {
  forgetUntold();
  if (keptAs && keptAs !== of(state.wheel, state.revision)) $("kept").textContent = "";
  if (!answered?.of || answered.of === of(state.wheel, state.revision, state.unit)) return;
  const { form } = answered, again = make("button", { type: "button" }, "Ask again");
  again.addEventListener("click", () => form.requestSubmit());
  const words = answered.of === of(state.wheel, state.revision, answered.unit) ? "This was told in the other unit of lengths. "
    : "This was asked of another wheel, or of this one before it was changed. ";
  answered = null;
  $("said").replaceChildren(make("div", {}, make("p", {}, words, again)));
}

export function ghostGone() {
  for (const button of $("said").querySelectorAll("[aria-pressed]")) button.setAttribute("aria-pressed", "false");
}

let newest = 0; // the number of the question that was asked last: an older one is given up

/** Asks a question of the panel: what is laid over the wheel, told or looked for is of another one. */
function begun(form, words) {
  leave();
  for (const busy of $("ask").querySelectorAll("[aria-busy]")) busy.removeAttribute("aria-busy");
  answered = { form, unit: state.unit };
  $("said").replaceChildren(make("div", {}, make("p", {}, words)));
  return ++newest;
}

function onSubmit(id, work, words = null) {
  const form = $(id), asking = $("ask").contains(form);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!asking && form.getAttribute("aria-busy")) {
      tell("What was asked before is still worked on: ask once more when it is done.");
      return;
    }
    tell("");
    settled(form);
    const blanks = Object.fromEntries([...new FormData(form)].map(([key, value]) => [key, String(value)]));
    const moment = asking ? `Looking for an answer: ${words(blanks)} …` : "Working on it …";
    const mine = asking && begun(form, moment), overtaken = () => asking && mine !== newest;
    form.setAttribute("aria-busy", "true");
    // Not every answer comes at once: whoever cannot see that nothing has come yet is told; what was
    // done already stays told, whatever is drawn anew after it.
    const slow = setTimeout(() => { if (!$("status").textContent) tell(moment, false, true); }, 400);
    try {
      await work(asking ? { ...blanks, asking: mine } : blanks);
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      if (overtaken()) return;
      if (asking) $("said").replaceChildren();
      refusedAt(form, error.faults);
      askUntold(form, error.untold);
    } finally {
      clearTimeout(slow);
      if (!overtaken()) form.removeAttribute("aria-busy");
      if ($("status").textContent === moment) tell("");
    }
  });
}

/** Asks a question of the panel; the answer of one that is overtaken is as one that was refused. */
async function inquired(question, blanks) {
  const answer = await ask(question, asked(blanks));
  if (blanks.asking !== newest) throw new Refused([]);
  return answer;
}

/** A button that lays a ghost over the wheel, and says which. */
function showing(ghost, says, which) {
  const button = make("button", { type: "button", "aria-pressed": "false", "data-ghost": which }, `Lay ${which} over`);
  button.addEventListener("click", () => trying(async () => {
    ghostGone();
    await layOver(ghost, says);
    button.setAttribute("aria-pressed", "true");
  }));
  return button;
}

/** One way: what to do, what it takes and brings, what is to be seen to, and the wheel so changed. */
function oneWay(way, name) {
  const lines = (words, kind) => words.map((line) => make("div", { class: kind }, line));
  const item = make("li", { value: way.number ?? null }, ...lines(way.does, "does"), ...lines(way.tells, "small"));
  if (way.ghost) item.append(showing(way.ghost, `${name}: ${[...way.does, ...way.by_hand].join(" ")}`, name.toLowerCase()));
  else if (way.refused) item.append(`It cannot stand so: ${way.refused}.`);
  const counts = counted(way.see_to, ["fault", "warning", "note"]);
  if (counts.length) {
    item.append(make("details", {}, make("summary", {}, `See to ${counts.join(", ")}`),
      make("ul", {}, ...way.see_to.map((one) => make("li", { class: "small" }, `${one.level}: ${one.says}.`)))));
  }
  return item;
}

async function retune({ count, turns_per_metre, ratio, asking }) {
  await tellUntold($("retune"));
  const answer = await inquired("retune", { count, turns_per_metre, ratio, asking });
  const twist = answer.turns && `${answer.turns} turns a metre`;
  const needed = answer.ratio_asked ? `Ratio wanted${twist && `, with ${twist}`}`
    : `Ratio needed${twist && ` for ${twist}`} at the speed of today`;
  const parts = [
    answer.cannot_run ? make("p", {}, `Cannot run: ${answer.cannot_run}.`) : "",
    answer.yarn ? make("p", {}, `Yarn: ${answer.yarn}.`) : "",
    make("p", {}, `${needed}: ${answer.ratio_needed.toFixed(2)}; it ${answer.cannot_run ? "would be" : "is"} ${answer.ratio_now.toFixed(2)}${answer.cannot_run ? " if it ran" : ""}. ${answer.twist}`),
    make("h4", {}, answer.cannot_run ? "Without a change, if it ran" : "Without a change"),
    make("ol", { type: "a" }, ...answer.as_it_is.map((way, n) => oneWay(way, `Way ${"abc"[n]}`))),
  ];
  if (answer.not_kept_up) parts.push(make("p", { class: "small" }, `Faster turning is no way: ${answer.not_kept_up}.`));
  const listed = (head, ways, none) => {
    if (!ways.length) return;
    parts.push(make("h4", {}, head), none ? make("p", { class: "small" }, none) : "",
      make("ol", {}, ...ways.map((way) => oneWay(way, `Way ${way.number}`))));
  };
  listed("With a change", answer.ways.filter((way) => !way.faulty));
  listed("Cannot be built so", answer.ways.filter((way) => way.faulty && !way.pathless), "Laid over, each says what is wrong with it; taken, what mends that.");
  const pathless = answer.ways.filter((way) => way.pathless);
  if (pathless.length) parts.push(make("p", { class: "small" }, `With these a band has no path: ${pathless.map((way) => `${way.number}. ${way.does.join(" ")}`).join(" ")}`));
  if (answer.ways.length) parts.push(make("p", { class: "small" }, `Work is that of making the parts: common practice, no source.${
    answer.keeps_twist ? " Turns a metre are of the same draft with each; taken, the wheel keeps the twist that was asked for." : ""}`));
  else if (!answer.enough) parts.push(make("p", {}, "No one or two parts of sizes that can be made bring the twist near enough."));
  const clean = (way) => way.see_to.every((one) => one.level === "note") && !way.faulty;
  // A way that brings a warning can be built: it is not counted with those that cannot.
  const kinds = [["sound", clean], ["with a warning", (way) => !way.faulty && !clean(way)],
    ["that cannot be built so", (way) => way.faulty && !way.pathless]];
  const each = kinds.map(([kind, is]) => [answer.ways.filter(is).length, kind]).filter(([n]) => n);
  const ways = [`${number(answer.ways.length - pathless.length, "way")} to change the wheel`,
    each.map(([n, kind]) => `${n} ${kind}`).join(", ")].filter(Boolean).join(": ");
  const without = answer.as_it_is.findIndex(clean); // at another draft or speed, though not as fast as today
  said(answer, answer.enough ? "You need not change the wheel"
    : without < 0 ? ways : `Way ${"abc"[without]} does without a change; ${ways}`, ...parts);
}

/** How many of some bands fit, in words. */
function fitting(bands) {
  const of = bands.length, fit = bands.filter((band) => band.fits).length;
  if (of === 1) return fit ? "The band fits" : "The band does not fit";
  if (fit === of) return of === 2 ? "Both bands fit" : `All ${of} bands fit`;
  return fit ? `${fit} of ${of} bands ${fit === 1 ? "fits" : "fit"}` : `None of ${of} bands fits`;
}

async function have(blanks) {
  const answer = await inquired("have", blanks);
  const words = (band) => [
    band.says,
    band.stretch && `stretched by ${band.stretch}`,
    band.pull && `pulls ${band.pull}`,
    band.tie && answer.slide && `tie it with ${answer.slide} ${band.tie}`,
    band.room && `may still grow by ${band.room}`,
  ].filter(Boolean).join("; ");
  said(answer, fitting(answer.bands), make("p", {}, `${answer.band}, of ${answer.material}.`),
    make("ul", {}, ...answer.bands.map((band) => make("li", {}, make("strong", {}, band.fits ? "fits" : "does not fit"), ` – ${band.name}: ${words(band)}`))),
    ...answer.read.map((line) => make("p", { class: "small" }, line)));
}

async function place(blanks) {
  const answer = await inquired("place", blanks);
  const rows = answer.rows.map((row, n) => {
    const share = [...new Set([row.from, row.to])].map((part) => `${Math.round(100 * part)} %`).join(" to ");
    const when = row.to === 0 ? "for spinning alone" : row.from === 1 ? "for backing off alone"
      : row.from === 0 && row.to === 1 ? "for spinning as for backing off" : `backing off counts ${share}`;
    const how = row.moves.length ? `move it by ${row.moves.join(", ")}` : "it stays where it is";
    const words = `${when}: ${how}; the band arrives at ${row.arriving.join(" and ")}, in backing off at ${row.back.join(" and ")}`;
    const last = row.ghost ? showing(row.ghost, `Place ${n + 1}: ${words}`, `place ${n + 1}`)
      : row.refused ? `It is no help, by a fault: ${row.refused}.` : row.moves.length && !row.helps ? "It arrives no straighter there: no help." : "";
    return make("li", {}, `${words}. `, last);
  });
  const over = `${answer.band} over ${answer.pulleys.join(" and ")}`;
  if (answer.true_already) {
    said(answer, "It is true already", make("p", {}, `${over}: nothing need be moved.`));
    return;
  }
  const on = answer.stays_on ? "Every pulley catches it as it is, in spinning and in backing off: it stays on, and nothing need move for that. " : "";
  const caught = answer.catch.length ? `The grooves' mouths catch a band up to: ${answer.catch.join(", ")}. ` : "";
  const may = answer.true ? "it can arrive true" : "it cannot arrive quite true with that alone";
  const none = answer.helps ? "" : make("p", {}, "No place of it helps: leave it where it is.");
  const out = answer.left_out.map((one) => make("p", {}, `Left out: ${one}.`));
  const head = answer.stays_on ? "It stays on as it is" : answer.helps ? number(answer.rows.filter((row) => row.helps).length, "place that helps", "places that help") : "No place helps";
  said(answer, head, make("p", {}, `${on}${caught}`), make("p", {}, `${over}; ${may}. Moved: ${answer.moved.join(" and ")}.`), ...out, none, make("ol", {}, ...rows));
}

/** Keeps the wheel in a file, and says in which, at the foot and beside Save. */
export async function save(blanks) {
  keptAs = null;
  $("kept").textContent = "";
  const answer = await ask("save", asked(blanks));
  $("kept").textContent = `Kept in ${answer.file}${answer.comments && `. ${answer.comments}`}`;
  tell($("kept").textContent, false, true);
  await refresh(false);
  keptAs = of(state.wheel, state.revision);
}

async function making(blanks) {
  let work = await ask("make", asked(blanks));
  const line = $("making"), bar = line.querySelector("progress"), words = line.querySelector("span");
  line.hidden = false;
  $("made").hidden = true;
  try {
    while (work.running) {
      bar.value = work.of ? work.done / work.of : 0;
      words.textContent = work.step ? `${work.step} (${work.done} of ${work.of})` : "checking the wheel";
      await new Promise((done) => { setTimeout(done, 200); });
      work = await ask("progress", { set: work.set });
    }
  } catch (error) {
    if (!(error instanceof Stopped)) throw error;
    bar.value = 0;
    words.textContent = `Not made: the program stopped. (A set is written whole or not at all: look into ${work.folder}.)`;
    throw error;
  }
  bar.value = work.failed ? 0 : 1;
  words.textContent = work.failed ? `Not made: ${work.failed}` : [
    `${work.files.length} files in ${work.folder}.`,
    work.open_first,
    work.faults && `Do not cut before the ${number(work.faults, "fault")} of this wheel ${work.faults === 1 ? "is" : "are"} mended.`,
  ].filter(Boolean).join(" ");
  $("made").hidden = Boolean(work.failed);
  $("made").querySelector("summary").textContent = `All ${work.files.length} files`;
  $("made").querySelector("ul").replaceChildren(...work.files.map(({ file, what }) => make("li", {}, `${file}: ${what}`)));
  tell(words.textContent, Boolean(work.failed));
}

/** Fills the blanks that hang on the wheel: its bands, and what may move. */
function blanks() {
  const bands = () => [...new Set((state.whole?.settable ?? []).filter((row) => row.key.startsWith("band:")).map((row) => row.part))];
  const moves = () => ["", ...(state.whole?.settable ?? []).map((row) => row.key).filter((key) => /\.offset$|\.at\.[xyz]$/.test(key) && key !== "drive.offset")];
  const fill = (select, values, words = (value) => value) => {
    if ([...select.options].map((o) => o.value).join() === values.join()) return;
    select.replaceChildren(...values.map((value) => make("option", { value }, words(value))));
  };
  new MutationObserver(() => {
    fill($("have").elements.band, bands());
    fill($("place").elements.band, bands());
    fill($("place").elements.move, moves(), (key) => {
      if (!key) return "what helps most";
      const row = state.whole.settable.find((one) => one.key === key);
      return `${row.part}: ${row.means}`;
    });
  }).observe(document.body, { attributes: true, attributeFilter: ["data-ready"] });
}

export function askings(start) {
  $("shipped").elements.design.append(...start.designs.map((name) => make("option", { value: name }, name)));
  blanks();
  onSubmit("retune", retune, ({ count, turns_per_metre, ratio }) => `what must change for ${
    [count, turns_per_metre && `${turns_per_metre} turns a metre`, ratio && `a ratio of ${ratio}`].filter(Boolean).join(" and ") || "it"}`);
  onSubmit("have", have, (b) => `whether ${b.have} fit the ${b.band}`);
  onSubmit("place", place, ({ band }) => `where the ${band} arrives true`);
  onSubmit("over", async (b) => {
    const answer = await inquired("over", b);
    $("said").replaceChildren();
    await layOver(answer.ghost, answer.says);
  }, () => "both wheels");
  onSubmit("make", making);
  onSubmit("save", save);
  onSubmit("link", async () => {
    const answer = await ask("link", asked());
    keep(answer);
    tell("The link is ready to be copied.");
  });
  for (const id of ["shipped", "from-file", "from-link"]) {
    onSubmit(id, async (b) => {
      const { wheel, already } = await ask("open", { ...b, unit: state.unit });
      await layNew(wheel, { already });
    });
  }
  $("old-begin").addEventListener("click", () => oldWheel(layNew, start.widest_in));
  if (oldWheelBegun()) oldWheel(layNew, start.widest_in, true);
}

/** Says of each shipped design what it is and its ratio; asked when the page stands already. */
export async function whatTheyAre() {
  const said = await trying(() => ask("shipped"));
  if (!said) return;
  const list = $("what-they-are");
  list.querySelector("dl").replaceChildren(...said.designs.flatMap((one) => [
    make("dt", {}, `${one.name}, ratio ${one.ratio}`), make("dd", {}, one.is)]));
  list.open = state.wheel === null; // where nothing lies on the board yet, it is what is looked for
  list.hidden = false;
}
