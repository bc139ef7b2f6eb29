// What a question found untold of the wheel is asked for in its place, told, and the question goes on.

import { ask, make } from "./asking.js";
import { changed } from "./bench.js";
import { asked, state } from "./state.js";

/** Puts blanks for what is untold under the question that hangs on it. */
export function askUntold(form, untold) {
  const standing = [...form.querySelectorAll(".untold [name]")].map(({ name }) => name);
  if (!untold.length || standing.join() === untold.map(({ key }) => key).join()) return;
  form.querySelector(".untold")?.remove();
  const part = make("fieldset", { class: "untold" }, make("legend", {}, "What is spun on it today"),
    ...untold.map(({ key, means, example, of }) => make("label", {}, `${means} `, of
      ? make("select", { name: key }, ...["", ...of].map((word) => make("option", { value: word }, word || "…")))
      : make("input", { name: key, size: 10, placeholder: example, autocomplete: "off" }))),
    make("p", {}, make("button", {}, "Tell it, and ask again")));
  part.wheel = state.wheel;
  form.append(part);
  part.querySelector("[name]").focus();
}

/** Tells the wheel what was filled in, as a step that can be undone; nothing where nothing was. */
export async function tellUntold(form) {
  const part = form.querySelector(".untold");
  if (!part) return;
  const given = Object.fromEntries([...part.querySelectorAll("[name]")].map(({ name, value }) => [name, value.trim()]));
  if (!Object.values(given).some(Boolean)) return;
  const said = await ask("tell", asked({ given, fit: true }));
  part.remove();
  await changed(said);
}

/** Blanks for what another wheel does not tell are none of the one that lies there now. */
export function forgetUntold() {
  for (const part of document.querySelectorAll(".untold")) if (part.wheel !== state.wheel) part.remove();
}
