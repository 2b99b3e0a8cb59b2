// @ts-check
// "How?": the derivation of a number, in a dialog over the sheet.

export function startHow() {
  const dialog = /** @type {HTMLDialogElement | null} */ (document.getElementById("how"));
  if (!dialog) return;
  /** Addresses that were looked at on the way. @type {string[]} */
  let trail = [];

  document.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0) return;
    const link = /** @type {Element} */ (event.target).closest("a.how");
    if (!(link instanceof HTMLAnchorElement)) return;
    event.preventDefault();
    if (!dialog.open) trail = [];
    show(link.getAttribute("href") ?? "");
  });

  /** @param {string} address */
  async function show(address) {
    const response = await fetch(address, { headers: { accept: "text/x-piece" } });
    const text = await response.text();
    const piece = document.createElement("template");
    piece.innerHTML = text;
    const content = response.ok ? piece.content : document.createTextNode("Nothing is told of how this number came about.");
    trail.push(address);
    const bar = document.createElement("div");
    bar.className = "bar";
    if (trail.length > 1) bar.append(button("Back", () => {
      trail.pop();
      show(trail.pop() ?? "");
    }));
    bar.append(button("Close", () => dialog?.close()));
    dialog?.replaceChildren(bar, content);
    if (dialog && !dialog.open) dialog.showModal();
    dialog?.querySelector("button")?.focus();
  }

  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });
}

/** @param {string} text @param {() => void} press */
function button(text, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = text;
  made.addEventListener("click", press);
  return made;
}
