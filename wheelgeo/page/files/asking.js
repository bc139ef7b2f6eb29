// Asks the library, which runs in the terminal, and says what comes of it.

export class Refused extends Error {
  constructor(faults, untold = []) {
    super(faults.map(inWords).join("; "));
    this.faults = faults;
    this.untold = untold; // what the wheel does not tell, and the question hangs on
  }
}

/** The program is there no more. */
export class Stopped extends Refused {}

function inWords(fault) {
  const place = fault.place && fault.place !== "file" ? `${fault.place}: ` : "";
  return place + fault.says + (fault.remedy ? ` – ${fault.remedy}` : "");
}

/** Asks one question; throws Refused where the library refuses what was asked. */
export async function ask(question, body = {}) {
  let reply;
  try {
    reply = await fetch(`ask/${question}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    });
  } catch {
    throw new Stopped([{ place: "", says: "the program has stopped", remedy: "start wheelgeo open again" }]);
  }
  if (!reply.ok) {
    throw new Refused([{ place: "", says: `the program could not answer (${reply.status})`, remedy: "" }]);
  }
  const said = await reply.json();
  if (said.refused) throw new Refused(said.refused, said.untold);
  return said;
}

/** Says a thing once, at the foot of the page; screen readers say it too. */
let clearing = 0;
export function tell(words, bad = false, stays = false) {
  const status = document.getElementById("status");
  status.replaceChildren(...(words ? [make("span", {}, words)] : []));
  status.scrollTop = 0; // what is longer than the ledge may grow is read from its beginning
  clearTimeout(clearing);
  if (!stays) clearing = setTimeout(() => { status.textContent = ""; }, Math.max(bad ? 9000 : 5000, 70 * words.length));
}

/** Takes away what is said. */
export const hush = () => tell("");

/** Says on what was begun; a reader's voice says what is new alone. */
export function tellMore(words) {
  const status = document.getElementById("status"), all = `${status.textContent} ${words}`.trim();
  status.append(make("span", {}, status.textContent ? ` ${words}` : words));
  clearTimeout(clearing);
  clearing = setTimeout(() => { status.textContent = ""; }, Math.max(5000, 70 * all.length));
}

/** Runs what may be refused, and says why where it is. */
export async function trying(work) {
  try {
    return await work();
  } catch (error) {
    if (!(error instanceof Refused)) throw error;
    tell(error.message, true);
    return null;
  }
}

/** Says by each blank at fault, or at the form's foot, why it was refused, until it is typed anew. */
export function refusedAt(place, faults, blank = null) {
  settled(place);
  const by = new Map();
  for (const fault of faults) {
    const at = blank ?? place.elements?.namedItem(fault.place) ?? blamed(place, fault);
    by.set(at, [...(by.get(at) ?? []), fault]);
  }
  for (const [at, own] of by) {
    const id = `refused-${++refusals}`;
    // The blank says already what it is for.
    const says = own.map((fault) => inWords(fault.place === at?.name ? { ...fault, place: "" } : fault)).join("; ");
    const words = make("span", { class: "refused", role: "alert", id }, says, ...offer(at));
    (at?.closest("label") ?? place).append(words);
    at?.setAttribute("aria-invalid", "true");
    at?.setAttribute("aria-describedby", [at.dataset?.means, id].filter(Boolean).join(" "));
    at?.addEventListener("input", () => settled(at.closest("label") ?? place), { once: true });
  }
  if (!place.contains(document.activeElement)) return;
  place.querySelector("[aria-invalid]")?.focus();
  place.querySelector(".refused")?.scrollIntoView({ block: "nearest" }); // it is read, wherever the form stands
}
let refusals = 0;

/** Takes away what was said of a refusal. */
export function settled(place) {
  for (const words of place.querySelectorAll(".refused")) words.remove();
  for (const blank of place.querySelectorAll("[aria-invalid]")) {
    blank.removeAttribute("aria-invalid");
    // What explains a blank for good is told of it again.
    if (blank.dataset.means) blank.setAttribute("aria-describedby", blank.dataset.means);
    else blank.removeAttribute("aria-describedby");
  }
}

/** The blank whose words are quoted in what was refused; none where the fault is of no blank. */
function blamed(place, { says }) {
  const blanks = [...place.querySelectorAll("input:not([readonly], [type])")];
  return blanks.find(({ value }) => value.trim() && says.includes(`"${value.trim()}"`)) ?? null;
}

/** A number without its unit is not guessed at: the unit that is used on this wheel is offered. */
function offer(blank) {
  const [, number, unit] = /^\s*([\d.,]+)\s*([a-z]*)\s*$/i.exec(blank?.value ?? "") ?? [];
  const own = blank?.dataset.unit;
  if (!own || !number || (unit && unit.toLowerCase() !== own.toLowerCase())) return [];
  const button = make("button", { type: "button" }, `${number} ${own}, as this wheel’s yarn?`);
  button.addEventListener("click", () => {
    blank.value = `${number} ${own}`;
    blank.form.requestSubmit();
  });
  return [" ", button];
}

/** Makes an element: attributes, then children; text is always text. */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children);
  return element;
}
