// Asks the library, which runs in the terminal, and says what comes of it.

export class Refused extends Error {
  constructor(faults) {
    super(faults.map(inWords).join("; "));
    this.faults = faults;
  }
}

export function inWords(fault) {
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
    throw new Refused([{ place: "", says: "the program has stopped", remedy: "start wheelgeo open again" }]);
  }
  if (!reply.ok) {
    throw new Refused([{ place: "", says: `the program could not answer (${reply.status})`, remedy: "" }]);
  }
  const said = await reply.json();
  if (said.refused) throw new Refused(said.refused);
  return said;
}

/** Says a thing once, at the foot of the page; screen readers say it too. */
let clearing = 0;
export function tell(words, bad = false) {
  const status = document.getElementById("status");
  status.textContent = words;
  clearTimeout(clearing);
  clearing = setTimeout(() => { status.textContent = ""; }, bad ? 9000 : 5000);
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
