// The slip that a number of the drawing is typed on.

import { make, Refused, refusedAt } from "./asking.js";
import { change } from "./bench.js";
import { drawings } from "./state.js";

const $ = (id) => document.getElementById(id);

/** A slip to type a number on, beside the ring or label that it belongs to. */
export function type(keys, anchor) {
  $("typing")?.remove();
  const handle = Object.values(drawings).flatMap((d) => d.data?.handles ?? [])
    .find((h) => h.pulls.map((p) => p.key).join(" ") === keys || h.pulls.some((p) => p.key === keys));
  if (!handle) return;
  const inputs = handle.pulls.map((pull) => make("input", { value: pull.text, name: pull.key, autocomplete: "off" }));
  const form = make("form", {},
    ...handle.pulls.map((pull, i) => make("label", {}, `${handle.part}, ${pull.means}`, inputs[i])),
    make("p", { class: "small" }, "As on the rule: 9 mm, 3/8 in."),
    make("button", {}, "Set it"), " ", make("button", { type: "button", class: "off" }, "Leave it"));
  const slip = make("dialog", { id: "typing", "aria-label": handle.name }, form);
  const shut = () => {
    slip.remove();
    const ring = [...document.querySelectorAll(".handle")].find((one) => one.dataset.key.split(" ").includes(keys));
    (anchor.isConnected && anchor.matches(".handle") ? anchor : ring)?.focus();
  };
  slip.querySelector(".off").addEventListener("click", shut);
  slip.addEventListener("keydown", (event) => { if (event.key === "Escape") { event.preventDefault(); shut(); } });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const put = {};
    handle.pulls.forEach((pull, i) => { if (inputs[i].value !== pull.text) put[pull.key] = inputs[i].value; });
    if (!Object.keys(put).length) { shut(); return; }
    try {
      await change(put);
      shut();
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      // The slip says already which number it is.
      const words = error.faults.map((fault) => (fault.place in put ? { ...fault, place: "" } : fault));
      refusedAt(form, words, inputs.find(({ name }) => name === error.faults[0].place) ?? inputs[0]);
    }
  });
  document.body.append(slip);
  const box = anchor.getBoundingClientRect();
  // Beside a scroll bar and above the ledge at the foot: what lies under those is not seen.
  const right = document.documentElement.clientWidth, low = $("foot").getBoundingClientRect().top;
  // It stands by its ring before it opens: what opens is brought before the eye, wherever it is.
  slip.style.top = `${Math.max(8, box.top) + window.scrollY}px`;
  slip.show();
  slip.style.left = `${Math.max(8, Math.min(box.right + 12, right - slip.offsetWidth - 8)) + window.scrollX}px`;
  slip.style.top = `${Math.max(8, Math.min(box.top, low - slip.offsetHeight - 8)) + window.scrollY}px`;
  inputs[0].focus({ preventScroll: true });
  inputs[0].select();
}
