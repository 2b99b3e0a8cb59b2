// @ts-check
// Fields of the sheet. The server gives each a form of its own, so that the page works without a script. A browser looks all
// forms through for what it might fill in whenever one comes or goes, some milliseconds each: with a script fields stand without.

/** @param {ParentNode} within */
export function withoutForms(within) {
  for (const form of within.querySelectorAll("form.input")) {
    const field = document.createElement("div");
    field.className = form.className;
    field.setAttribute("data-path", form.getAttribute("data-path") ?? "");
    field.append(...form.childNodes);
    form.replaceWith(field);
  }
}

/** What is sent together with an input: its field, or the form of an edit. @param {Element} input @returns {Element | null} */
export function sentWith(input) {
  return input.closest("div.input, form[action='/edit']");
}

/** What an edit says. @param {Element} from @returns {Record<string, string>} */
export function edit(from) {
  const inputs = /** @type {NodeListOf<HTMLInputElement | HTMLSelectElement>} */ (
    from.querySelectorAll("input[name], select[name]")
  );
  return Object.fromEntries([...inputs].map((input) => [input.name, input.value]));
}
