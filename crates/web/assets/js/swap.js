// @ts-check
// Puts elements that the server has set anew in the place of those with the same id. What is open stays open, what is
// typed stays typed, and a figure that changed keeps its old value beside it until the next edit.

import { withoutForms } from "./fields.js";

/** Old texts of a gesture by fragment, so that a drag shows what stood before it. @type {Map<string, Map<string, string>>} */
let before = new Map();
/** @type {number | null} */
let gestureNow = null;

/** @param {{ main: string | null, is_refined: boolean, fragments: { id: string, html: string }[] }} changed
 * @param {boolean} isNew whether the text is another @param {number | null} gesture */
export function apply(changed, isNew, gesture) {
  const goesOn = gesture !== null && gesture === gestureNow;
  if (isNew && !goesOn) {
    before = new Map();
    for (const old of document.querySelectorAll(".was-number")) old.remove();
  }
  // What only completes an answer is of the same gesture.
  if (isNew) gestureNow = gesture;
  const focused = focusOf();
  /** @type {Element[]} */
  const swapped = [];
  if (changed.main !== null) {
    const main = document.getElementById("main");
    if (main) swapped.push(replace(main, changed.main));
  }
  for (const { id, html } of changed.fragments) {
    const old = document.getElementById(id);
    if (!old) continue;
    // Controls that stand as they are stay: a press must not miss them.
    if (id === "desk" && element(html).getAttribute("data-state") === old.getAttribute("data-state")) continue;
    if (old.classList.contains("known")) patch(old, html);
    else {
      // Refining is no change: what an edit left beside its figures stays, and nothing is added.
      const texts = before.get(id) ?? (changed.is_refined ? new Map() : textsOf(old));
      const fresh = replace(old, html);
      swapped.push(fresh);
      if (!changed.is_refined) before.set(id, texts);
      mark(fresh, texts);
    }
  }
  // First what is current is marked again: what is not shown cannot have the focus.
  document.dispatchEvent(new CustomEvent("swapped", { detail: swapped }));
  restore(focused);
}

/** @param {string} html @returns {Element} */
function element(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  withoutForms(template.content);
  return /** @type {Element} */ (template.content.firstElementChild);
}

/** @param {Element} old @param {string} html @returns {Element} */
function replace(old, html) {
  const fresh = element(html);
  keepOpen(old, fresh);
  old.replaceWith(fresh);
  return fresh;
}

/** What is unfolded stays so. @param {Element} old @param {Element} fresh */
function keepOpen(old, fresh) {
  const wasOpen = [...old.querySelectorAll("details")];
  const now = [...fresh.querySelectorAll("details")];
  for (const [at, details] of wasOpen.entries()) {
    if (!details.open) continue;
    const same = details.id ? now.find((other) => other.id === details.id) : now[at];
    if (same) same.open = true;
  }
}

/** Inputs are changed where they stand: a slider in the hand must not be taken away. @param {Element} old @param {string} html */
function patch(old, html) {
  const fresh = element(html);
  const names = (/** @type {Element} */ of) => [...of.querySelectorAll("[id]")].map((one) => one.id).join(" ");
  if (names(old) !== names(fresh)) {
    keepOpen(old, fresh);
    // What was just added is seen.
    for (const table of fresh.querySelectorAll("details.inputs[id^=t-]")) {
      if (!document.getElementById(table.id)) table.setAttribute("open", "");
    }
    old.replaceWith(fresh);
    return;
  }
  const news = [...fresh.querySelectorAll("input, select")];
  for (const [at, input] of [...old.querySelectorAll("input, select")].entries()) {
    const now = /** @type {HTMLInputElement} */ (news[at]);
    const here = /** @type {HTMLInputElement} */ (input);
    // What is being typed for a new row is nowhere else yet.
    if (!now || here.type === "hidden" || here.closest(".add")) continue;
    for (const name of ["aria-invalid", "aria-valuetext", "data-stops", "max"]) {
      const value = now.getAttribute(name);
      if (value === null) here.removeAttribute(name);
      else if (here.getAttribute(name) !== value) here.setAttribute(name, value);
    }
    if (document.activeElement !== here && here.value !== now.value) here.value = now.value;
    here.defaultValue = now.defaultValue;
  }
  const notes = [...fresh.querySelectorAll("p.about")];
  for (const [at, note] of [...old.querySelectorAll("p.about")].entries()) {
    if (notes[at] && note.innerHTML !== notes[at].innerHTML) note.innerHTML = notes[at].innerHTML;
  }
}

/** What each number reads. @param {Element} of @returns {Map<string, string>} */
function textsOf(of) {
  const texts = new Map();
  for (const number of of.querySelectorAll("data[data-id]")) {
    texts.set(/** @type {HTMLElement} */ (number).dataset.id, number.textContent ?? "");
  }
  return texts;
}

/** @param {Element} fresh @param {Map<string, string>} texts */
function mark(fresh, texts) {
  for (const number of fresh.querySelectorAll("data[data-id]")) {
    const was = texts.get(/** @type {HTMLElement} */ (number).dataset.id ?? "");
    if (was === undefined || was === number.textContent) continue;
    const old = document.createElement("span");
    old.className = "was-number";
    const spoken = document.createElement("span");
    spoken.className = "hidden";
    spoken.textContent = " before: ";
    old.append(spoken, was);
    (number.closest("a.how") ?? number).after(old);
  }
}

function focusOf() {
  const focused = /** @type {HTMLInputElement | null} */ (document.activeElement);
  if (!focused?.id) return null;
  const isText = focused.matches("input[type=text]");
  return { id: focused.id, range: isText ? [focused.selectionStart, focused.selectionEnd] : null };
}

/** @param {ReturnType<typeof focusOf>} focused */
function restore(focused) {
  if (!focused || document.activeElement?.id === focused.id) return;
  const again = /** @type {HTMLInputElement | null} */ (document.getElementById(focused.id));
  again?.focus({ preventScroll: true });
  if (again && focused.range) again.setSelectionRange(focused.range[0], focused.range[1]);
}
