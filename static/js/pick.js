// The photo of a form: one big button, with a preview and the file's name once it is taken.
// Without this file the plain file input does the same.

const MOST = 15_000_000;

function sized(bytes) {
  return bytes < 100_000 ? `${Math.ceil(bytes / 1000)} KB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}

class Pick {
  constructor(box) {
    this.box = box;
    this.input = box.querySelector("input[type=file]");
    this.label = box.querySelector("label");
    this.word = this.label.textContent;
    this.note = document.createElement("p");
    this.note.className = "photo-note";
    this.note.setAttribute("role", "status");
    box.append(this.note);
    box.classList.add("picking");
    this.input.classList.add("vh");
    this.input.addEventListener("change", () => this.show());
    if (this.input.files.length) this.show(); // the browser kept it over Back
  }

  show() {
    const file = this.input.files[0];
    this.clear();
    if (!file) return;
    if (file.size > MOST) {
      this.input.value = "";
      this.refuse(`This photo is ${sized(file.size)}; 15 MB is the most. Take it smaller, or go without.`);
      return;
    }
    const image = document.createElement("img");
    image.alt = "";
    image.src = URL.createObjectURL(file);
    image.addEventListener("load", () => URL.revokeObjectURL(image.src));
    this.label.replaceChildren(image, document.createTextNode("Another photo"));
    this.label.classList.add("has-photo");
    this.note.textContent = `${file.name}, ${sized(file.size)}`;
  }

  clear() {
    this.label.replaceChildren(document.createTextNode(this.word));
    this.label.classList.remove("has-photo");
    this.note.replaceChildren();
    this.note.classList.remove("error");
    this.box.querySelector("p.error:not(.photo-note)")?.remove();
    this.input.removeAttribute("aria-invalid");
  }

  refuse(sentence) {
    this.note.classList.add("error");
    this.note.textContent = sentence;
  }
}

for (const box of document.querySelectorAll("[data-pick]")) new Pick(box);
