// @ts-check
// The page's script: it sends what is typed and swaps what the server has set anew. It works out nothing.

import { withoutForms } from "./fields.js";
import { step, listen } from "./send.js";
import { startInputs } from "./inputs.js";
import { startHow } from "./how.js";
import { startDrops } from "./drops.js";
import { startBringing } from "./bring.js";

document.documentElement.classList.add("script");
withoutForms(document);

/** Steps that need nothing typed: undo, redo, save, drop edits, settle. */
document.addEventListener("submit", (event) => {
  const form = /** @type {HTMLFormElement} */ (event.target);
  if (!form.closest("#desk, #progress")) return;
  event.preventDefault();
  const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
  step(new URL(form.action).pathname, button?.name === "keep" ? button.value : null);
});

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = /** @type {HTMLElement | null} */ (event.target)?.matches("input[type=text], textarea");
  const key = event.key.toLowerCase();
  // In a field the browser's own undo is what a person means.
  if (key === "z" && !typing) {
    event.preventDefault();
    step(event.shiftKey ? "/redo" : "/undo", null);
  } else if (key === "s") {
    event.preventDefault();
    step("/save", null);
  }
});

/** Scrolls to a place. What is not seen has only a guessed height until it is: so once more when it has been drawn.
 * @param {Element} element @param {"start" | "center"} block */
function scrollTo(element, block) {
  element.scrollIntoView({ block });
  requestAnimationFrame(() => requestAnimationFrame(() => element.scrollIntoView({ block })));
}

function scrollToHash() {
  const named = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (named) scrollTo(named, "start");
}

/** @param {Element | null} element */
function go(element) {
  if (!element) return;
  if (!element.matches("a, button, input, select, summary, [tabindex]")) element.setAttribute("tabindex", "-1");
  const folded = element.closest("details:not([open])");
  if (folded) folded.setAttribute("open", "");
  scrollTo(element, "center");
  /** @type {HTMLElement} */ (element).focus({ preventScroll: true });
}

const jump = /** @type {HTMLSelectElement | null} */ (document.getElementById("jump"));
/** Whether the list of sections is gone through by keys: then Enter goes there, not each name on the way. */
let isByKeys = false;

function jumpThere() {
  const section = jump && document.getElementById(jump.value);
  if (!section) return;
  jump.value = "";
  scrollTo(section, "start");
  section.querySelector("h2")?.setAttribute("tabindex", "-1");
  section.querySelector("h2")?.focus({ preventScroll: true });
}

jump?.addEventListener("pointerdown", () => { isByKeys = false; });
jump?.addEventListener("keydown", (event) => {
  isByKeys = true;
  // By then a list that was unfolded has given its choice.
  if (event.key === "Enter") setTimeout(jumpThere);
});
jump?.addEventListener("change", () => {
  if (!isByKeys) jumpThere();
});

let doubt = -1;
document.getElementById("doubt")?.addEventListener("click", () => {
  // What misses before what may; of an input that is in doubt its field.
  const doubts = ["main .misses", "main .undecided"].flatMap((worth) => [...document.querySelectorAll(worth)]);
  if (doubts.length === 0) {
    const said = document.getElementById("said");
    if (said) said.textContent = "Nothing is in doubt.";
    return;
  }
  doubt = doubt + 1 < doubts.length ? doubt + 1 : 0;
  const next = doubts[doubt];
  go(next.closest(".input")?.querySelector("input, select") ?? next);
});

window.addEventListener("hashchange", scrollToHash);
scrollToHash();

startInputs();
startHow();
startDrops();
startBringing();
listen();
