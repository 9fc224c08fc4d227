// A sum is worked out anew while its inputs are typed; without this file "Work it out" does it.
// The server works it out: the page it would give is read, and its answer put in place.

const PAUSE = 450;

class Sum {
  constructor(form) {
    this.form = form;
    this.timer = 0;
    this.asked = 0;
    form.addEventListener("input", () => this.soon());
    form.addEventListener("keydown", (event) => this.enters(event));
  }

  // In a box of several lines Enter works it out too: a list has commas, not lines.
  enters(event) {
    if (event.key !== "Enter" || event.shiftKey || !event.target.matches("textarea")) return;
    event.preventDefault();
    this.form.requestSubmit();
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.work(), PAUSE);
  }

  async work() {
    this.asked += 1;
    const mine = this.asked;
    let page;
    try {
      const body = new URLSearchParams(new FormData(this.form));
      const answer = await fetch(this.form.action, { method: "POST", body });
      page = new DOMParser().parseFromString(await answer.text(), "text/html");
    } catch {
      return; // no signal: the button says so when it is pressed
    }
    if (mine === this.asked) this.show(page);
  }

  show(page) {
    const answer = page.querySelector("#answer");
    if (!answer) return;
    const known = !page.querySelector("#sum .error");
    const here = document.querySelector("#answer");
    here.classList.toggle("stale", !known);
    if (!known) return; // half a number is typed: the last answer stays, paler
    here.replaceChildren(...answer.childNodes);
    const [bar, other] = [document, page].map((one) => one.querySelector(".act"));
    bar.replaceChildren(...other.childNodes);
  }
}

const form = document.querySelector("#sum");
if (form) new Sum(form);
