// Phrases as buttons that fill the text box. Without this file they are check boxes, and the
// server puts them before the words.

const words = document.getElementById("words");
const MARK = ", ";

function parts() {
  return words.value.split(/\s*,\s*/).filter(Boolean);
}

function same(a, b) {
  return a.toLowerCase() === b.toLowerCase();
}

function put(phrase, on) {
  const rest = parts().filter((part) => !same(part, phrase));
  words.value = (on ? [...rest, phrase] : rest).join(MARK);
}

// A phrase that was deleted from the text by hand is no longer pressed.
function follow(boxes) {
  const said = parts();
  for (const box of boxes) box.checked = said.some((part) => same(part, box.value));
}

if (words) {
  const boxes = [...document.querySelectorAll("[data-phrase]")];
  for (const box of boxes) {
    if (box.checked) put(box.value, true);
    box.addEventListener("change", () => put(box.value, box.checked));
  }
  words.addEventListener("input", () => follow(boxes));
}
