// @ts-check
// Inputs: what is typed is sent as it stands; a slider picks one of the texts that the server gave it.

import { send } from "./send.js";

let gestures = 0;
/** The gesture that a slider is in. @type {number | null} */
let sliding = null;

export function startInputs() {
  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!isEdit(form)) return;
    event.preventDefault();
    sendForm(form, null);
    if (form.matches(".add")) form.reset();
  });
  document.addEventListener("change", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    // A row is added when all of it is typed.
    if (!input.form || !isEdit(input.form) || input.form.matches(".add")) return;
    if (input.type === "range") {
      sliding = null;
      return;
    }
    sendForm(input.form, null);
  });
  document.addEventListener("input", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    if (!input.form || !isEdit(input.form)) return;
    if (input.type === "range") slide(input, input.form);
    else if (input.type === "number") sendForm(input.form, null);
  });
}

/** @param {HTMLFormElement} form */
function isEdit(form) {
  return form.matches("form[action='/edit']");
}

/** @param {HTMLInputElement} slider @param {HTMLFormElement} form */
function slide(slider, form) {
  const stop = (slider.dataset.stops ?? "").split("|")[Number(slider.value)];
  const field = /** @type {HTMLInputElement | null} */ (form.querySelector("input[name=text]"));
  if (stop === undefined || !field) return;
  if (sliding === null) {
    gestures += 1;
    sliding = gestures;
  }
  field.value = stop;
  slider.setAttribute("aria-valuetext", stop);
  sendForm(form, sliding);
}

/** @param {HTMLFormElement} form @param {number | null} gesture */
function sendForm(form, gesture) {
  const edit = Object.fromEntries(new FormData(form).entries());
  send([edit.do, edit.path, edit.key, edit.part, edit.first].join(" "), edit, gesture);
}
