// One more, one fewer, that is all: the person says how many there are. Followers come along.

function lastNumber(slot) {
  return slot.replace(/\d+$/, "");
}

// "Riser 7" after "Riser 6", and "Reveal 5" after "Reveal, right bottom": as the server names it.
function numbered(label, count) {
  return /\d$/.test(label) ? lastNumber(label) + count : `${label.replace(/,[^,]*$/, "")} ${count}`;
}

function clone(list, count) {
  const row = list.lastElementChild.cloneNode(true);
  row.classList.remove("here");
  for (const part of row.querySelectorAll("*")) {
    for (const name of ["id", "name", "for", "aria-describedby", "data-say", "data-name"]) {
      const value = part.getAttribute(name);
      if (value && /-\d+$/.test(value)) part.setAttribute(name, lastNumber(value) + count);
    }
    if (part.dataset.label) part.dataset.label = numbered(part.dataset.label, count);
    if (part.matches("label[for], legend")) part.textContent = numbered(part.textContent.trim(), count);
    if (part.matches("input[type=radio]")) part.checked = part.value === "";
    else if (part.matches("input")) part.value = "";
    if (part.matches(".say")) part.replaceChildren();
    part.removeAttribute("aria-invalid");
  }
  return row;
}

export class Slots {
  constructor(form, stops, changed) {
    this.form = form;
    this.stops = stops;
    this.changed = changed;
    form.addEventListener("click", (event) => {
      const button = event.target.closest(".more button");
      const [act, name] = (button?.value || "").split(":");
      if (!["more", "fewer", "all"].includes(act)) return; // a grid's rows: the server does it
      event.preventDefault();
      this[act](name);
    });
    form.addEventListener("input", () => this.label());
  }

  lists(name) {
    const asks = this.form.querySelectorAll(`[data-field="${name}"], [data-follows="${name}"]`);
    return [...asks].filter((ask) => ask.querySelector(".slots"));
  }

  size(name) {
    return this.lists(name)[0].querySelector(".slots").children.length;
  }

  resize(name, count) {
    for (const ask of this.lists(name)) {
      const list = ask.querySelector(".slots");
      while (list.children.length > count && list.children.length > 1) list.lastElementChild.remove();
      while (list.children.length < count) list.append(clone(list, list.children.length + 1));
      for (const stop of list.querySelectorAll("[data-of]")) stop.dataset.of = String(count);
      ask.querySelector(`[name="slots-${ask.dataset.field}"]`).value = String(count);
    }
    this.label();
    this.changed();
  }

  more(name) {
    const most = this.lists(name)[0].querySelector(".more").dataset.most;
    if (this.size(name) >= Number(most)) return;
    this.resize(name, this.size(name) + 1);
    this.stops.go(this.lists(name)[0].querySelector(".slots").lastElementChild.querySelector("[data-stop]"));
  }

  fewer(name) {
    if (this.size(name) > 1) this.resize(name, this.size(name) - 1);
  }

  all(name) {
    const count = this.filled(this.lists(name)[0]) || this.size(name);
    this.resize(name, count);
    const stops = this.lists(name)[0].querySelectorAll("[data-stop]");
    this.stops.enter(stops[stops.length - 1]);
    this.stops.next();
  }

  filled(ask) {
    let last = 0;
    [...ask.querySelectorAll(".slots > li")].forEach((row, n) => {
      const radio = row.querySelector("input:checked");
      const text = row.querySelector("input:not([type=radio])");
      if ((radio && radio.value) || (text && text.value.trim())) last = n + 1;
    });
    return last;
  }

  label() {
    for (const button of this.form.querySelectorAll('.more button[value^="all:"]')) {
      const ask = button.closest(".ask");
      const count = this.filled(ask) || ask.querySelectorAll(".slots > li").length;
      const { one, many } = button.dataset;
      button.textContent = `That is all: ${count} ${count === 1 ? one : many}`;
    }
  }
}
