// @ts-check
// Fields of the sheet. The server gives each a form of its own, so that the page works without a script. A browser looks all
// forms and inputs through for what it might fill in whenever one comes or goes, some milliseconds each: with a script a field
// stands without its form and its button, and what it says unseen is kept as one attribute.

/** @param {ParentNode} within */
export function withoutForms(within) {
  for (const form of within.querySelectorAll("form.input")) {
    const field = document.createElement("div");
    field.className = form.className;
    field.setAttribute("data-path", form.getAttribute("data-path") ?? "");
    field.setAttribute("data-says", JSON.stringify(said(form.querySelectorAll("input[type=hidden]"))));
    for (const unseen of form.querySelectorAll("input[type=hidden], button.set")) unseen.remove();
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
  return { ...JSON.parse(from.getAttribute("data-says") ?? "{}"), ...said(from.querySelectorAll("input[name], select[name]")) };
}

/** What inputs hold, by their names. @param {NodeListOf<Element>} inputs @returns {Record<string, string>} */
function said(inputs) {
  return Object.fromEntries([...inputs].map((one) => {
    const input = /** @type {HTMLInputElement | HTMLSelectElement} */ (one);
    return [input.name, input.value];
  }));
}
