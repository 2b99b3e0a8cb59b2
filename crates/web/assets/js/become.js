// @ts-check
// Makes an element of the page what the server says it is, and leaves in place whatever is the same: what is open stays open,
// what is typed stays typed, what is in the hand or has the focus is not taken away, and a browser has little to look at anew.

/** What the script and whoever reads set themselves. */
const OURS = new Set(["open", "tabindex"]);
const FIELDS = "input, select";

/** @param {Element} old @param {Element} fresh @returns {Element} the one that stands there then */
export function become(old, fresh) {
  if (old.nodeName !== fresh.nodeName) {
    old.replaceWith(fresh);
    return fresh;
  }
  // What is drawn on it is nowhere else.
  if (old instanceof HTMLCanvasElement) return old;
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !OURS.has(name)) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (old.getAttribute(name) !== value && !OURS.has(name)) old.setAttribute(name, value);
  }
  children(old, fresh);
  if (old instanceof HTMLInputElement || old instanceof HTMLSelectElement) {
    take(old, /** @type {HTMLInputElement | HTMLSelectElement} */ (fresh));
  }
  return old;
}

/** @param {Element} old @param {Element} fresh */
function children(old, fresh) {
  let here = old.firstChild;
  for (const now of [...fresh.childNodes]) {
    const same = here && isSame(here, now) ? here : furtherOn(here, now);
    if (!same) {
      old.insertBefore(now, here);
      // What was just added is seen.
      if (now instanceof Element && now.matches("details.inputs[id^=t-]")) now.setAttribute("open", "");
      continue;
    }
    if (same === here) here = here.nextSibling;
    else old.insertBefore(same, here);
    if (same instanceof Element) {
      if (!isThat(same, now)) become(same, /** @type {Element} */ (now));
    } else if (same.nodeValue !== now.nodeValue) same.nodeValue = now.nodeValue;
  }
  while (here) {
    const next = here.nextSibling;
    here.remove();
    here = next;
  }
}

/** Whether there is nothing to do, told quicker than by doing it. What a field holds may be other than what it was made with.
 * @param {Element} here @param {Node} now */
function isThat(here, now) {
  return here.isEqualNode(now) && !here.matches(FIELDS) && here.querySelector(FIELDS) === null;
}

/** Whether a node can become another. @param {Node} here @param {Node} now */
function isSame(here, now) {
  if (here.nodeName !== now.nodeName) return false;
  return !(here instanceof Element && now instanceof Element) || nameOf(here) === nameOf(now);
}

/** What tells an element from those beside it: its id, or of a field what it is of. @param {Element} element */
function nameOf(element) {
  return element.id || (element.getAttribute("data-path") ?? "");
}

/** What has the same name among those that follow. @param {Node | null} here @param {Node} now */
function furtherOn(here, now) {
  if (!(now instanceof Element) || nameOf(now) === "") return null;
  for (let other = here; other; other = other.nextSibling) if (isSame(other, now)) return other;
  return null;
}

/** @param {HTMLInputElement | HTMLSelectElement} input @param {HTMLInputElement | HTMLSelectElement} now */
function take(input, now) {
  // What is being typed for a row or as a reason is nowhere else yet.
  if (input.type === "hidden" || input.closest(".add, .say")) return;
  if (document.activeElement !== input && input.value !== now.value) input.value = now.value;
}
