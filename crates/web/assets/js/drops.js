// @ts-check
// Looking at drops: what belongs to one drop is tied together, ends of a steady stretch are moved sample by sample, and
// drawings are looked at closer. Only places on the screen are reckoned with here; what they mean the server says.

import { send, settled } from "./send.js";
import { shareOf, wayOf, kept, putHair, Asker } from "./place.js";
import { startRibbons, lookAbout } from "./ribbon.js";

/** What each test shows in this window. @type {Map<string, { drop: string | null, from: string, to: string, whole: boolean }>} */
const shown = new Map();
let gestures = 1_000_000;

/** @param {Element} figure */
function stateOf(figure) {
  const test = /** @type {HTMLElement} */ (figure).dataset.test ?? "";
  const state = shown.get(test) ?? { drop: null, from: "", to: "", whole: true };
  shown.set(test, state);
  return { test, state };
}

/** @param {EventTarget | null} target */
function dropAt(target) {
  const marked = target instanceof Element ? target.closest("[data-drop]") : null;
  const section = marked?.closest("section");
  const letter = marked?.getAttribute("data-drop");
  return section && letter ? { section, letter } : null;
}

/** @param {EventTarget | null} target */
function tie(target) {
  const at = dropAt(target);
  for (const tied of document.querySelectorAll(".tied")) {
    if (!at || !at.section.contains(tied) || tied.getAttribute("data-drop") !== at.letter) tied.classList.remove("tied");
  }
  for (const section of document.querySelectorAll(".ties")) {
    if (section !== at?.section) section.classList.remove("ties");
  }
  if (!at) return;
  at.section.classList.add("ties");
  for (const one of at.section.querySelectorAll(`[data-drop="${CSS.escape(at.letter)}"]`)) one.classList.add("tied");
}

/** Makes a drop the current one of its test. @param {Element} section @param {string} letter */
function choose(section, letter) {
  const figure = section.querySelector("figure.overlay");
  if (!figure) return;
  const { state } = stateOf(figure);
  state.drop = letter;
  markCurrent(section);
  for (const ribbon of section.querySelectorAll("figure.ribbon")) lookAbout(ribbon, letter);
}

/** @param {Element} section */
function markCurrent(section) {
  const figure = section.querySelector("figure.overlay");
  if (!figure) return;
  const { state } = stateOf(figure);
  const handle = figure.querySelector(".handle");
  if (state.drop === null) state.drop = handle?.closest("[data-drop]")?.getAttribute("data-drop") ?? null;
  for (const one of section.querySelectorAll("[data-drop]")) {
    one.classList.toggle("now", one.getAttribute("data-drop") === state.drop);
  }
}

/** The sections that these elements stand in, or hold. @param {Element[]} elements @returns {Set<Element>} */
function sectionsOf(elements) {
  const found = elements.flatMap((one) => one.closest("section") ?? [...one.querySelectorAll("section.sheet")]);
  return new Set(found);
}

const overlays = new Asker();

/** Shows the overlay of a test anew. @param {Element} figure @param {string} [look] @param {number} [share] */
function look(figure, look, share) {
  const { test, state } = stateOf(figure);
  const query = new URLSearchParams({ test });
  if (look !== "whole" && !state.whole) {
    query.set("from", state.from);
    query.set("to", state.to);
  }
  if (look && look !== "whole") {
    query.set("look", look);
    query.set("share", String(share ?? 0.5));
  }
  overlays.ask(`/drops/overlay?${query}`, (text) => {
    const template = document.createElement("template");
    template.innerHTML = text;
    const fresh = /** @type {HTMLElement | null} */ (template.content.querySelector(".draw"));
    const old = [...document.querySelectorAll("figure.overlay")].find((one) => stateOf(one).test === test)?.querySelector(".draw");
    if (!fresh || !old) return;
    const focused = old.contains(document.activeElement) ? document.activeElement?.id : undefined;
    const section = old.closest("section");
    old.replaceWith(fresh);
    remember(test, fresh);
    if (section) markCurrent(section);
    if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  });
}

/** @param {string} test @param {HTMLElement} draw */
function remember(test, draw) {
  const state = shown.get(test);
  if (!state) return;
  state.from = draw.dataset.from ?? "";
  state.to = draw.dataset.to ?? "";
  state.whole = draw.dataset.whole === "true";
}

/** The drop that was current stays so, and what was looked at closer is. @param {Iterable<Element>} sections */
function again(sections) {
  for (const section of sections) {
    const figure = section.querySelector("figure.overlay");
    if (!figure) continue;
    const { test, state } = stateOf(figure);
    markCurrent(section);
    const draw = /** @type {HTMLElement | null} */ (figure.querySelector(".draw"));
    if (!draw) continue;
    if (state.whole) remember(test, draw);
    else if (draw.dataset.from !== state.from || draw.dataset.to !== state.to) look(figure);
  }
}

/** Sends where an end is to be. @param {Element} handle @param {object} where @param {number | null} gesture */
function move(handle, where, gesture) {
  const figure = handle.closest("figure");
  const drop = handle.closest("[data-drop]")?.getAttribute("data-drop");
  const end = handle.getAttribute("data-end");
  if (!figure || !drop || !end) return;
  const { test } = stateOf(figure);
  send(["drop", test, drop, end].join(" "), { do: "drop", says: "move", test, drop, end, ...where }, gesture);
}

/** @type {{ id: string, gesture: number, pointer: number } | null} */
let dragged = null;

/** The end that keys move, and the sample that it was sent to: the drawing may be behind it, so that it counts until the page
 * shows all that was sent. @type {{ id: string, sample: number, gesture: number, isHeld: boolean } | null} */
let keyed = null;

/** @param {KeyboardEvent} event */
function moveByKey(event) {
  const handle = event.target instanceof Element ? event.target.closest(".handle") : null;
  if (!handle || event.ctrlKey || event.altKey || event.metaKey) return;
  /** @param {string} name */
  const number = (name) => Number(handle.getAttribute(name));
  if (keyed?.id !== handle.id || (!keyed.isHeld && settled())) {
    gestures += 1;
    keyed = { id: handle.id, sample: number("aria-valuenow"), gesture: gestures, isHeld: true };
  }
  // Samples are counted; an arrow is one of them.
  let sample = keyed.sample;
  if (event.key === "ArrowRight" || event.key === "ArrowUp") sample += 1;
  else if (event.key === "ArrowLeft" || event.key === "ArrowDown") sample -= 1;
  else if (event.key === "Home") sample = number("aria-valuemin");
  else if (event.key === "End") sample = number("aria-valuemax");
  else return;
  event.preventDefault();
  keyed.isHeld = true;
  keyed.sample = kept(sample, number("aria-valuemin"), number("aria-valuemax"));
  move(handle, { sample: keyed.sample }, keyed.gesture);
}

/** @param {PointerEvent} event */
function grab(event) {
  if (event.button !== 0 || !(event.target instanceof Element)) return;
  const handle = event.target.closest(".handle");
  if (handle) {
    event.preventDefault();
    gestures += 1;
    dragged = { id: handle.id, gesture: gestures, pointer: event.pointerId };
    /** @type {SVGElement} */ (handle).focus({ preventScroll: true });
    document.documentElement.classList.add("dragging");
    return;
  }
  const stage = event.target.closest("figure.overlay .stage");
  const figure = stage?.closest("figure");
  if (stage && figure && event.pointerType !== "touch" && !stateOf(figure).state.whole) {
    panned = { figure, x: event.clientX };
    event.preventDefault();
  }
}

/** @type {{ figure: Element, x: number } | null} */
let panned = null;

/** @param {PointerEvent} event */
function drag(event) {
  if (dragged) {
    const handle = document.getElementById(dragged.id);
    const draw = /** @type {HTMLElement | null} */ (handle?.closest(".draw") ?? null);
    if (!handle || !draw) return;
    const share = shareOf(draw, event.clientX);
    const { state } = stateOf(/** @type {Element} */ (draw.closest("figure")));
    const span = state.whole ? {} : { from: Number(draw.dataset.from), to: Number(draw.dataset.to) };
    move(handle, { share, ...span }, dragged.gesture);
    return;
  }
  if (panned) {
    const draw = panned.figure.querySelector(".draw");
    if (!draw) return;
    const by = wayOf(draw, panned.x, event.clientX);
    if (by > -0.01 && by < 0.01) return;
    panned.x = event.clientX;
    look(panned.figure, "by", by);
    return;
  }
  cross(event);
}

function release() {
  dragged = null;
  panned = null;
  keyed = null;
  document.documentElement.classList.remove("dragging");
}

const values = new Asker();

/** What stands where the pointer is. @param {PointerEvent} event */
function cross(event) {
  const stage = event.target instanceof Element ? event.target.closest("figure.overlay .stage") : null;
  for (const hair of document.querySelectorAll(".hair:not([hidden])")) {
    if (!stage?.contains(hair)) hair.setAttribute("hidden", "");
  }
  const figure = stage?.closest("figure");
  const draw = /** @type {HTMLElement | null} */ (stage?.querySelector(".draw") ?? null);
  const hair = /** @type {HTMLElement | null} */ (stage?.querySelector(".hair") ?? null);
  if (!stage || !figure || !draw || !hair) return;
  const share = shareOf(draw, event.clientX);
  putHair(hair, stage, event.clientX);
  const { test, state } = stateOf(figure);
  const query = new URLSearchParams({ test, share: String(share) });
  if (!state.whole) {
    query.set("from", state.from);
    query.set("to", state.to);
  }
  values.ask(`/drops/values?${query}`, (text) => {
    const said = figure.querySelector(".cross");
    if (said) said.innerHTML = text;
  });
}

export function startDrops() {
  document.addEventListener("pointerover", (event) => tie(event.target));
  document.addEventListener("focusin", (event) => tie(event.target));
  document.addEventListener("pointerdown", grab);
  document.addEventListener("pointermove", drag);
  document.addEventListener("pointerup", release);
  document.addEventListener("pointercancel", release);
  document.addEventListener("keydown", moveByKey);
  document.addEventListener("keyup", (event) => {
    if (keyed && event.key.startsWith("Arrow")) keyed.isHeld = false;
  });
  document.addEventListener("click", (event) => {
    const target = event.target instanceof Element ? event.target : null;
    const button = target?.closest("figure.overlay [data-look]");
    const figure = button?.closest("figure");
    if (button && figure) {
      look(figure, button.getAttribute("data-look") ?? "whole", 0.5);
      return;
    }
    if (target?.closest(".handle, form, a")) return;
    const at = dropAt(target);
    if (at) choose(at.section, at.letter);
  });
  document.addEventListener("focusin", (event) => {
    const line = event.target instanceof Element ? event.target.closest("details.drop-line") : null;
    const at = line ? dropAt(line) : null;
    if (at) choose(at.section, at.letter);
  });
  document.addEventListener("wheel", (event) => {
    const target = event.target instanceof Element ? event.target : null;
    const stage = target?.closest("figure.overlay .stage");
    const draw = stage?.querySelector(".draw");
    const figure = stage?.closest("figure");
    if (!draw || !figure || !(event.ctrlKey || event.metaKey)) return;
    event.preventDefault();
    look(figure, event.deltaY < 0 ? "in" : "out", shareOf(draw, event.clientX));
  }, { passive: false });
  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.matches("form.say")) return;
    event.preventDefault();
    const said = Object.fromEntries(new FormData(form, event.submitter).entries());
    send(["drop", said.test, said.drop, "counts"].join(" "), said, null);
    form.reset();
  });
  document.addEventListener("swapped", (event) => again(sectionsOf(/** @type {CustomEvent<Element[]>} */ (event).detail)));
  startRibbons();
  again(document.querySelectorAll("section.sheet"));
}
