// @ts-check
// Takes in what the server has set anew, piece by piece by its id. A figure that changed keeps its old value beside it until
// the next edit.

import { become } from "./become.js";
import { withoutForms } from "./fields.js";
import { keepDown } from "./place.js";

/** Old texts of a gesture by fragment, so that a drag shows what stood before it. @type {Map<string, Map<string, string>>} */
let before = new Map();
/** @type {number | null} */
let gestureNow = null;
/** The text that the gesture began with: old values that an earlier one left go as soon as all of the sheet is there. */
let begun = "";

/** @typedef {{ sequence: number, main: string | null, is_refined: boolean, fragments: { id: string, html: string }[] }} Changed */

/** @param {Changed} changed @param {boolean} isNew whether the text is another
 * @param {boolean} isAll whether all of its sheet is there @param {number | null} gesture */
export function apply(changed, isNew, isAll, gesture) {
  const goesOn = gesture !== null && gesture === gestureNow;
  if (isNew && !goesOn) {
    before = new Map();
    begun = String(changed.sequence);
  }
  // What only completes an answer is of the same gesture.
  if (isNew) gestureNow = gesture;
  const hand = focusOf();
  const tables = new Set(hand?.adds ? tablesNow().map((table) => table.id) : []);
  /** @type {Element[]} */
  const swapped = [];
  const main = changed.main === null ? [] : [{ id: "main", html: changed.main }];
  const fragments = [...main, ...changed.fragments];
  const pieces = elements(fragments.map(({ html }) => html));
  fragments.forEach(({ id }, at) => {
    const old = document.getElementById(id);
    if (!old) return;
    // Refining is no change: what an edit left beside its figures stays, and nothing is added.
    const texts = before.get(id) ?? (changed.is_refined ? new Map() : textsOf(old));
    for (const was of old.querySelectorAll(".was-number")) was.remove();
    const piece = become(old, pieces[at]);
    swapped.push(piece);
    if (!changed.is_refined) before.set(id, texts);
    mark(piece, texts);
  });
  if (isAll) {
    for (const was of document.querySelectorAll(`.was-number:not([data-of="${begun}"])`)) was.remove();
  }
  // First what is current is marked again: what is not shown cannot have the focus.
  document.dispatchEvent(new CustomEvent("swapped", { detail: swapped }));
  restore(hand, tables);
}

/** An element of each text. Read all at once: each reading has a cost of its own. @param {string[]} texts @returns {Element[]} */
function elements(texts) {
  const template = document.createElement("template");
  template.innerHTML = texts.join("");
  withoutForms(template.content);
  return [...template.content.children];
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
    old.dataset.of = begun;
    const spoken = document.createElement("span");
    spoken.className = "hidden";
    spoken.textContent = " before: ";
    old.append(spoken, was);
    (number.closest("a.how") ?? number).after(old);
  }
}

/** Where the hand is: the focus, what is typed there, and how far down the window, if it is seen. */
function focusOf() {
  const focused = /** @type {HTMLInputElement | null} */ (document.activeElement);
  if (!focused?.id) return null;
  const { top, bottom } = focused.getBoundingClientRect();
  const isText = focused.matches("input[type=text], input[type=number]");
  return {
    id: focused.id,
    typed: isText && focused.value !== focused.defaultValue ? focused.value : null,
    range: focused.matches("input[type=text]") ? [focused.selectionStart, focused.selectionEnd] : null,
    top: bottom > 0 && top < window.innerHeight ? top : null,
    adds: focused.closest("form.add") !== null,
  };
}

/** The hand stays where it was: on the same field, wherever that stands now, with what is typed in it and as far down the
 * window. After a row was added it goes to the first field of that. @param {ReturnType<typeof focusOf>} hand @param {Set<string>} tables */
function restore(hand, tables) {
  if (!hand) return;
  const added = hand.adds ? tablesNow().find((table) => !tables.has(table.id)) : undefined;
  const place = /** @type {HTMLInputElement | null} */ (
    added?.querySelector("input:not([type=hidden]), select") ?? document.getElementById(hand.id)
  );
  if (!place) return;
  for (let fold = place.closest("details:not([open])"); fold; fold = place.closest("details:not([open])")) {
    fold.setAttribute("open", "");
  }
  if (document.activeElement !== place) {
    place.focus({ preventScroll: true });
    if (!added && hand.typed !== null) place.value = hand.typed;
    if (!added && hand.range) place.setSelectionRange(hand.range[0], hand.range[1]);
  }
  if (hand.top !== null) keepDown(place, hand.top);
}

/** @returns {Element[]} */
function tablesNow() {
  return [...document.querySelectorAll(".known > .inputs[id^=t-]")];
}
