// The stations as a map: tints by height, the stations under the worst straightedge outlined.

import { Preview } from "./preview.js";

const TONES = ["low-3", "low-2", "low-1", "", "high-1", "high-2", "high-3"];

export class Painted extends Preview {
  async ask() {
    await super.ask();
    this.paint();
  }

  paint() {
    const { tones = {}, bars = {}, slots } = this.answer;
    this.close(this.answer.closing || []);
    for (const stop of this.form.querySelectorAll(".stations [data-walk]")) {
      const cell = stop.closest("td");
      const tone = TONES[(tones[stop.name] || 0) + 3];
      cell.className = [tone, bars[stop.name] ? `bar bar-${bars[stop.name]}` : ""].join(" ").trim();
      if (stop.value.trim().toLowerCase() === "x") cell.classList.add("blocked");
      if (slots[stop.name]?.mark) cell.classList.add("doubted");
    }
  }

  // How several set-ups of the laser close, beside what accepts it.
  close(said) {
    const box = document.getElementById("closing");
    box?.replaceChildren(...said.map((text) => Object.assign(document.createElement("p"), { textContent: text })));
  }

  count() {
    const box = document.getElementById("count");
    const read = [...this.form.querySelectorAll(".stations [data-walk]")].filter((stop) => stop.value.trim());
    box.textContent = `${read.length} of ${box.dataset.of} stations`;
  }
}
