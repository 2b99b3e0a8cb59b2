// @ts-check
// Inputs: what is typed is sent as it stands; a slider picks one of the texts that the server gave it.

import { edit, sentWith } from "./fields.js";
import { send } from "./send.js";

let gestures = 0;
/** The gesture that a slider is in. @type {number | null} */
let sliding = null;

export function startInputs() {
  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (sentWith(form) !== form) return;
    event.preventDefault();
    sendEdit(form, null);
    if (form.matches(".add")) form.reset();
  });
  document.addEventListener("change", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const from = sentWith(input);
    // A row is added when all of it is typed.
    if (!from || from.matches(".add")) return;
    if (input.type === "range") {
      sliding = null;
      return;
    }
    sendEdit(from, null);
  });
  document.addEventListener("input", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const from = sentWith(input);
    if (!from) return;
    if (input.type === "range") slide(input, from);
    else if (input.type === "number") sendEdit(from, null);
  });
}

/** @param {HTMLInputElement} slider @param {Element} from */
function slide(slider, from) {
  const stop = (slider.dataset.stops ?? "").split("|")[Number(slider.value)];
  const field = /** @type {HTMLInputElement | null} */ (from.querySelector("input[name=text]"));
  if (stop === undefined || !field) return;
  if (sliding === null) {
    gestures += 1;
    sliding = gestures;
  }
  field.value = stop;
  slider.setAttribute("aria-valuetext", stop);
  sendEdit(from, sliding);
}

/** @param {Element} from @param {number | null} gesture */
function sendEdit(from, gesture) {
  const said = edit(from);
  const { text, second, offer, count, ...about } = said;
  send(JSON.stringify(about), said, gesture);
}
