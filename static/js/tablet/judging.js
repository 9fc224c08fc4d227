// The tablet's own verdict, where it can work it out; else "judged when it is sent".

let house = null;

export function houseData() {
  house ??= fetch("/tablet/data.json").then((answer) => answer.json()).catch((error) => {
    house = null;
    throw error;
  });
  return house;
}

// Readings that can't be used: {field, index, message, suggestions} each, and its slot's name.
export class Unjudgeable extends Error {
  constructor(errors) {
    super(errors[0].message);
    this.errors = errors;
  }
}

export async function judgedHere() {
  return {};
}

export function showErrors(form, { errors }) {
  for (const { slot, message } of errors) {
    const input = form.elements.namedItem(slot);
    input?.setAttribute?.("aria-invalid", "true");
    const place = form.querySelector(`[data-say="${CSS.escape(slot)}"]`);
    place?.replaceChildren(Object.assign(document.createElement("span"), { className: "error", textContent: message }));
  }
  form.querySelector("[aria-invalid=true]")?.focus();
}
