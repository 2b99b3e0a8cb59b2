// @ts-check
// Where nothing is open: recordings are brought and looked at, and a new job begins with them.

import { startBringing } from "./bring.js";

document.documentElement.classList.add("script");
startBringing();

document.getElementById("new-job")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = /** @type {HTMLFormElement} */ (event.target);
  // What was typed beside a recording is said before the job begins with it.
  for (const one of document.querySelectorAll("form.brought")) {
    const body = new URLSearchParams();
    for (const [name, value] of new FormData(/** @type {HTMLFormElement} */ (one))) {
      if (typeof value === "string") body.set(name, value);
    }
    await fetch("/bring/look", { method: "POST", body });
  }
  form.submit();
});
