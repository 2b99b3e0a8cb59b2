// @ts-check
// One request at a time: what is typed meanwhile waits, and of one key only the latest.

import { apply } from "./swap.js";

/** A name for this window, so that the server can tell two windows apart. */
const name = Array.from(crypto.getRandomValues(new Uint32Array(4)), (part) => part.toString(16)).join("");

const page = {
  revision: Number(document.body.dataset.revision),
  sequence: Number(document.getElementById("desk")?.dataset.sequence ?? 0),
};

const desk = document.body.dataset.desk;
/** Says of which folder this page is: another may be opened in its place. @type {Record<string, string>} */
export const ofDesk = desk === undefined ? {} : { "silkfall-desk": desk };

let busy = false;
/** The revision, and the state of the controls, that the server told of last. @type {{ revision: string | null, desk: string | null }} */
const told = { revision: null, desk: null };
/** Whether the answer told of drops, cases or a landing alone, and the rest is still being worked. */
let behind = false;
/** How much of the rest was seen. */
let seen = 0;
/** What stands as it was shown before all of its text was. @type {Set<string>} */
const glimpsed = new Set();
/** Waits for that rest; whatever is typed meanwhile goes first. @type {AbortController | null} */
let following = null;
/** What waits to be sent, by what it is about. @type {Map<string, { edit: object, gesture: number | null }>} */
const waiting = new Map();
/** Steps that wait, in their order. @type {{ path: string, keep: string | null }[]} */
const steps = [];

/** Sends an edit; a later one about the same takes its place while it waits.
 * @param {string} about @param {object} edit @param {number | null} gesture */
export function send(about, edit, gesture) {
  waiting.set(about, { edit, gesture });
  go();
}

/** Takes a step that needs nothing typed, after what was typed before it. @param {string} path @param {string | null} keep */
export function step(path, keep) {
  steps.push({ path, keep });
  go();
}

function go() {
  if (following) following.abort();
  else if (!busy) next();
}

/** Whether the page shows all that was sent. */
export function settled() {
  return !busy && !behind && waiting.size === 0 && steps.length === 0;
}

async function next() {
  if (busy) return;
  const first = waiting.entries().next();
  if (!first.done) {
    const [about, { edit, gesture }] = first.value;
    waiting.delete(about);
    const body = { window: name, base: page.sequence, shows: shows(), gesture, edits: [edit] };
    await ask("/edit", body, gesture);
  } else {
    const step = steps.shift();
    if (step) await ask(step.path, { window: name, shows: shows(), keep: step.keep }, null);
    else if (behind) await follow();
    else if (isMissed()) await ask(`/state?${new URLSearchParams({ revision: String(page.revision), glimpsed: shows().glimpsed })}`, null, null);
    else return;
  }
  next();
}

/** Asks for more of a text of which not all is shown yet. */
async function follow() {
  following = new AbortController();
  await ask(`/state?${new URLSearchParams(who())}`, null, null, following.signal);
  following = null;
}

/** Whether the server told of what is not shown. */
function isMissed() {
  const state = document.getElementById("desk")?.dataset.state;
  const is = (told.revision ?? String(page.revision)) !== String(page.revision) || (told.desk ?? state) !== state;
  told.revision = null;
  told.desk = null;
  return is;
}

/** @param {string} path @param {object | null} body @param {number | null} gesture @param {AbortSignal} [signal] */
async function ask(path, body, gesture, signal) {
  busy = true;
  work();
  try {
    const response = await fetch(path, body === null ? { signal, headers: ofDesk } : {
      method: "POST",
      headers: { "content-type": "application/json", ...ofDesk },
      body: JSON.stringify(body),
    });
    if (!response.ok) {
      // What took too long to wait for is waited for again.
      if (body === null && response.status === 408) return;
      behind = false;
      say(`This was not done: ${await words(response)}`);
      return;
    }
    const changed = await response.json();
    take(changed, gesture);
    if (changed.refused) say(`This was not done: ${changed.refused}.`);
  } catch {
    if (signal?.aborted) return;
    behind = false;
    say("The program does not answer; what is typed is still here.");
  } finally {
    busy = false;
    work();
  }
}

/** Says that there is more to come. */
function work() {
  document.getElementById("working")?.classList.toggle("on", busy || behind);
}

/** @param {Response} response */
async function words(response) {
  const found = new DOMParser().parseFromString(await response.text(), "text/html");
  return found.querySelector("main p")?.textContent ?? response.statusText;
}

/** @param {any} changed @param {number | null} gesture */
function take(changed, gesture) {
  // What was sent otherwise may be answered after its text came by the way of what is told.
  if (changed.revision < page.revision || changed.sequence < page.sequence) return;
  const isNew = changed.sequence !== page.sequence;
  const isAll = changed.revision !== page.revision;
  if (isAll) behind = false;
  else if (isNew) behind = true;
  seen = changed.seen;
  if (isAll) glimpsed.clear();
  else for (const { id } of changed.fragments) if (id !== "desk") glimpsed.add(id);
  apply(changed, isNew, isAll, gesture);
  page.revision = changed.revision;
  page.sequence = changed.sequence;
}

/** What this window shows. */
function shows() {
  return { revision: page.revision, sequence: page.sequence, seen, glimpsed: [...glimpsed].join(" ") };
}

/** Who asks, for what is sent otherwise. @returns {Record<string, string>} */
export function who() {
  return Object.fromEntries(Object.entries({ window: name, ...shows() }).map(([key, value]) => [key, String(value)]));
}

/** Takes in what changed by what was sent otherwise. @param {any} changed */
export function taken(changed) {
  take(changed, null);
}

/** @param {string} text */
export function say(text) {
  const said = document.getElementById("said");
  if (said) said.textContent = text;
}

/** Listens to what the server tells without being asked. */
export function listen() {
  const events = new EventSource("/events");
  events.addEventListener("shown", (event) => {
    told.revision = event.data;
    if (!busy) next();
  });
  events.addEventListener("desk", (event) => {
    told.desk = event.data;
    if (!busy) next();
  });
  // What was told before it listened is not told again.
  events.addEventListener("open", () => {
    told.desk = "";
    if (!busy) next();
  });
  const progress = document.getElementById("progress");
  events.addEventListener("progress", (event) => {
    if (!progress) return;
    if (!progress.firstChild) {
      const form = document.createElement("form");
      form.action = "/rest";
      form.method = "post";
      const stop = document.createElement("button");
      stop.textContent = "Stop";
      form.append(stop);
      progress.append(document.createElement("span"), form);
    }
    /** @type {HTMLElement} */ (progress.firstChild).textContent = `refining: ${event.data}`;
  });
  events.addEventListener("rests", () => progress?.replaceChildren());
}
