// The stops of the form in walking order: inputs and groups of radios. One is current.

export class Stops extends EventTarget {
  constructor(form) {
    super();
    this.form = form;
    this.current = null;
    form.addEventListener("focusin", (event) => {
      const stop = event.target.closest("[data-stop]");
      if (stop) this.enter(stop);
    });
  }

  all() {
    return [...this.form.querySelectorAll("[data-stop]")];
  }

  enter(stop) {
    if (stop === this.current) return;
    if (this.current) this.mark(this.current, false);
    this.current = stop;
    this.mark(stop, true);
    this.dispatchEvent(new Event("entered"));
  }

  mark(stop, on) {
    (stop.closest(".slot") || stop).classList.toggle("here", on);
  }

  go(stop) {
    if (!stop) return;
    const target = stop.matches("fieldset")
      ? stop.querySelector("input:checked") || stop.querySelector("input")
      : stop;
    target.focus({ preventScroll: true });
    this.enter(stop);
    this.bringIntoView(stop);
  }

  bringIntoView(stop) {
    const row = stop.closest(".slot, td, .field") || stop;
    const pad = document.getElementById("pad");
    const floor = getComputedStyle(pad).bottom === "auto" || pad.getBoundingClientRect().top < row.getBoundingClientRect().top - 2000
      ? window.innerHeight : Math.min(pad.getBoundingClientRect().top, window.innerHeight);
    const stacked = window.matchMedia("(max-width: 759px)").matches;
    const low = stacked ? floor : document.querySelector(".foot").getBoundingClientRect().top;
    const box = row.getBoundingClientRect();
    if (box.top < 8) window.scrollBy({ top: box.top - 90 });
    else if (box.bottom > low - 8) window.scrollBy({ top: box.bottom - low + Math.min(90, low / 4) });
    if (row.matches("td")) row.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  near(step) {
    const all = this.all();
    return all[all.indexOf(this.current) + step] || null;
  }

  next() {
    this.go(this.near(1));
  }

  back() {
    this.go(this.near(-1));
  }

  // The value of the slot above in the same list, for the key "same".
  before(stop) {
    const previous = this.all()[this.all().indexOf(stop) - 1];
    return previous && previous.dataset.kind === stop.dataset.kind ? previous.value : "";
  }
}
