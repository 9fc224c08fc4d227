// What is typed into a form that goes by the outbox survives a reload, until it is kept or two days
// are over. Checks have a draft of their own; a photo can't be brought back.

const PREFIX = "fieldlog:typed:";
const LASTS = 48 * 3_600_000;

const keyOf = (form) => PREFIX + location.pathname + [...document.forms].indexOf(form);
const boxesOf = (form) => [...form.querySelectorAll("input:not([type=hidden], [type=file]), textarea, select")];
const isTap = ({ type }) => type === "checkbox" || type === "radio";
const nameOf = (box) => (isTap(box) ? `${box.name}=${box.value}` : box.name);

function bringBack(form) {
  const { at, had } = JSON.parse(localStorage.getItem(keyOf(form)) ?? "{}");
  if (!had || Date.now() - at > LASTS) return;
  for (const box of boxesOf(form)) {
    const value = had[nameOf(box)];
    if (value === undefined || value === (isTap(box) ? box.checked : box.value)) continue;
    box[isTap(box) ? "checked" : "value"] = value;
    const fold = box.closest("details");
    if (fold) fold.open = true;
  }
}

export function remember(form) {
  bringBack(form);
  form.addEventListener("input", () => {
    const had = Object.fromEntries(boxesOf(form).map((box) => [nameOf(box), isTap(box) ? box.checked : box.value]));
    localStorage.setItem(keyOf(form), JSON.stringify({ at: Date.now(), had }));
  });
}

export const forgetTyped = (form) => localStorage.removeItem(keyOf(form));
