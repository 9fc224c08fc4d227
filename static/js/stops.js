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
    // What is folded away is stepped over; it can still be opened and filled in.
    return [...this.form.querySelectorAll("[data-stop]")].filter((stop) => stop.checkVisibility());
  }

  // What a person had put the cursor in before the scripts ran, which is then not taken away.
  held() {
    return this.form.contains(document.activeElement)
      ? document.activeElement.closest("[data-stop]")
      : null;
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

  // Between the page's head, which stays on a tablet, and the pad or the places at the bottom.
  bringIntoView(stop) {
    const row = stop.closest(".slot, td, .field") || stop;
    if (row.matches("td")) row.scrollIntoView({ block: "nearest", inline: "nearest" });
    const stacked = window.matchMedia("(max-width: 759px)").matches;
    const top = stacked ? 8 : document.querySelector(".head").offsetHeight + 8;
    const low = document.querySelector(stacked ? "#pad" : ".foot").offsetHeight;
    const places = stacked ? document.querySelector(".foot").offsetHeight : 0;
    const floor = window.innerHeight - low - places - 8;
    const box = row.getBoundingClientRect();
    if (box.top < top) window.scrollBy({ top: box.top - top - (floor - top) / 4 });
    else if (box.bottom > floor) window.scrollBy({ top: box.bottom - floor + (floor - top) / 4 });
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

  // Whether it is one of several alike: a place of a list, a station.
  listed(stop) {
    return stop.matches("td *") || Number(stop.dataset.of || 0) > 1;
  }

  // The value of the slot above in the same list, for the key "same".
  before(stop) {
    const previous = this.all()[this.all().indexOf(stop) - 1];
    const alike = previous?.closest(".ask, .stations") === stop.closest(".ask, .stations");
    return alike && previous.dataset.kind === stop.dataset.kind ? previous.value : "";
  }
}
