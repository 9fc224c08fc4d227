// The plan of the room, drawn by the server while its walls are typed.

const WAIT = 250;
const form = document.getElementById("outline");
const plan = document.getElementById("plan");
let timer = 0;
let asking = null;

function shape() {
  const chosen = form.elements.shape.value;
  for (const part of form.querySelectorAll("[data-shape]")) part.hidden = part.dataset.shape !== chosen;
}

async function look() {
  asking?.abort();
  const mine = new AbortController();
  asking = mine;
  try {
    const reply = await fetch(form.dataset.look, { method: "POST", body: new FormData(form), signal: mine.signal });
    if (!reply.ok) return;
    const page = new DOMParser().parseFromString(await reply.text(), "text/html");
    if (asking === mine) plan.replaceChildren(...page.body.childNodes);
  } catch (error) {
    if (error.name !== "AbortError" && !(error instanceof TypeError)) throw error; // out of reach
  }
}

function changed() {
  shape();
  clearTimeout(timer);
  timer = setTimeout(look, WAIT);
}

document.body.classList.add("scripted");
form.addEventListener("input", changed);
shape();
