// The verdict of each reading as it is typed, shown at its slot: worked out here where the tablet
// can, else asked of the server. Only the answer to the newest question counts; older ones are dropped.

const PATIENCE = 140;

export class Preview {
  constructor(form, stops) {
    this.form = form;
    this.stops = stops;
    this.marks = document.getElementById("mark-templates").content;
    this.verdict = document.getElementById("pad-verdict");
    this.summary = document.getElementById("pad-summary");
    this.timer = 0;
    this.asking = null;
    this.answer = { slots: {}, summary: [] };
    this.filled = new WeakMap(); // what each place says, so that only what changed is drawn anew
    stops.addEventListener("entered", () => this.showCurrent());
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), PATIENCE);
  }

  async ask() {
    this.asking?.abort();
    const asking = new AbortController();
    this.asking = asking;
    const answer = (await this.workedOut()) ?? (await this.askServer(asking));
    if (!answer || asking !== this.asking) return;
    this.show(answer);
  }

  async workedOut() {
    if (!document.documentElement.dataset.outbox) return null;
    const { previewForm } = await import("./tablet/preview_here.js");
    return previewForm(this.form);
  }

  async askServer(asking) {
    const data = new FormData(this.form);
    data.delete("photos");
    try {
      const reply = await fetch(this.form.dataset.preview, { method: "POST", body: data, signal: asking.signal });
      return reply.ok ? await reply.json() : null;
    } catch (error) {
      if (error.name === "AbortError" || error instanceof TypeError) return null; // out of reach: no verdict yet
      throw error;
    }
  }

  show(answer) {
    this.answer = answer;
    for (const place of this.form.querySelectorAll("[data-say]")) this.fill(place, answer.slots[place.dataset.say]);
    for (const input of this.form.querySelectorAll("input[data-stop]")) {
      const said = answer.slots[input.name];
      if (said?.error) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
    this.showCurrent();
  }

  fill(place, said) {
    const text = JSON.stringify(said);
    if (this.filled.get(place) === text) return;
    this.filled.set(place, text);
    place.replaceChildren();
    if (!said) return;
    if (said.error) {
      place.append(this.errorOf(said.error));
      if (said.suggestions.length) place.append(this.meant(place.dataset.say, said.suggestions));
      return;
    }
    place.append(this.mark(said.mark, said.short));
  }

  mark(verdict, text) {
    const box = document.createElement("span");
    box.className = `mark mark-${verdict.replaceAll("_", "-")}`;
    const sign = this.marks.querySelector(`[data-mark="${verdict}"] svg`);
    if (sign) box.append(sign.cloneNode(true));
    const word = document.createElement("span");
    word.className = text === "pass" ? "vh" : "mark-word";
    word.textContent = text;
    box.append(word);
    return box;
  }

  errorOf(text) {
    const box = document.createElement("span");
    box.className = "error";
    box.textContent = text;
    return box;
  }

  meant(name, suggestions) {
    const box = document.createElement("span");
    box.className = "meant";
    box.append("Use");
    for (const text of suggestions) {
      const button = document.createElement("button");
      Object.assign(button, { type: "button", className: "btn-small", textContent: text });
      button.dataset.use = name;
      box.append(button);
    }
    return box;
  }

  // Beside the big number this reading's sentence; below the keys what the numbers say together.
  showCurrent() {
    const { current } = this.stops;
    const name = current?.name || current?.dataset.name;
    const said = this.answer.slots[name];
    this.verdict.replaceChildren();
    if (said?.error) this.verdict.append(this.errorOf(said.error));
    else if (said?.mark) this.verdict.append(this.mark(said.mark, said.long));
    this.summary.replaceChildren(...this.answer.summary.map((line) => this.mark(line.mark, line.text)));
  }
}
