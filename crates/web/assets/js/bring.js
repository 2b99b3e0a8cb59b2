// @ts-check
// Recordings brought by picker or dropped on the page: sent one after another, looked at, corrected, kept.

import { ofDesk, taken, who } from "./send.js";

/** @type {File[]} */
const waiting = [];
let going = false;

/** @param {string} text @returns {Element | null} */
function piece(text) {
  const template = document.createElement("template");
  template.innerHTML = text;
  return template.content.firstElementChild;
}

/** @param {string} text */
function words(text) {
  return new DOMParser().parseFromString(text, "text/html").querySelector("main p")?.textContent ?? "It was not taken.";
}

/** @param {Iterable<File>} files */
function bring(files) {
  waiting.push(...files);
  if (!going) next();
}

function next() {
  const file = waiting.shift();
  const status = document.getElementById("bring-going");
  if (!file || !status) {
    going = false;
    return;
  }
  going = true;
  const bar = document.createElement("progress");
  const label = document.createElement("span");
  const stop = document.createElement("button");
  label.textContent = `${file.name} `;
  bar.setAttribute("aria-label", `sending ${file.name}`);
  stop.type = "button";
  stop.textContent = "Stop";
  status.replaceChildren(label, bar, " ", stop);
  const request = new XMLHttpRequest();
  request.upload.addEventListener("progress", (event) => {
    bar.max = event.total;
    bar.value = event.loaded;
  });
  const done = (/** @type {string} */ says) => {
    status.textContent = says;
    next();
  };
  request.addEventListener("load", () => {
    const place = document.getElementById("brought");
    const fresh = request.status === 200 ? piece(request.responseText) : null;
    if (!fresh || !place) {
      done(`${file.name}: ${words(request.responseText)}`);
      return;
    }
    place.append(fresh);
    fresh.querySelector("h3")?.focus();
    done("");
  });
  request.addEventListener("error", () => done(`${file.name}: the program does not answer, or it is too large.`));
  request.addEventListener("abort", () => done(`${file.name} was not sent.`));
  stop.addEventListener("click", () => request.abort());
  request.open("POST", `/bring?${new URLSearchParams({ name: file.name })}`);
  request.setRequestHeader("content-type", "application/octet-stream");
  for (const [name, value] of Object.entries(ofDesk)) request.setRequestHeader(name, value);
  request.send(file);
}

/** @param {HTMLFormElement} form @param {string} step */
async function act(form, step) {
  const section = form.closest("section.brought");
  const body = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (typeof value === "string") body.set(name, value);
  for (const [name, value] of Object.entries(who())) body.set(name, value);
  const response = await fetch(`/bring/${step}`, { method: "POST", headers: ofDesk, body });
  if (!response.ok) {
    const problem = form.querySelector(".problem");
    if (problem) problem.textContent = words(await response.text());
    return;
  }
  if (step === "look") {
    const fresh = piece(await response.text());
    if (fresh) section?.replaceWith(fresh);
    fresh?.querySelector("h3")?.focus();
    return;
  }
  const name = section?.querySelector("h3")?.textContent ?? "";
  section?.remove();
  if (step === "keep") taken(await response.json());
  const going = document.getElementById("bring-going");
  if (going) going.textContent = `${name.replace("Brought: ", "")}: ${step === "keep" ? "kept" : "left out"}.`;
  document.getElementById("bring-files")?.focus();
}

export function startBringing() {
  document.getElementById("bring-files")?.addEventListener("change", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    bring(input.files ?? []);
    input.value = "";
  });
  document.addEventListener("submit", (event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.matches("form.brought")) return;
    event.preventDefault();
    const button = /** @type {HTMLButtonElement | null} */ (event.submitter);
    act(form, button?.value ?? "look");
  });
  const place = document.getElementById("bring");
  if (!place) return;
  document.addEventListener("dragover", (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    document.body.classList.add("holds-files");
  });
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) document.body.classList.remove("holds-files");
  });
  document.addEventListener("drop", (event) => {
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    document.body.classList.remove("holds-files");
    place.scrollIntoView({ block: "start" });
    bring(event.dataTransfer.files);
  });
}
