// A form that only the office can take is sent when the office can be reached, and says so when not.

const PATIENCE = 2500;
const AWAY = "fieldlog:away";
const LASTS = 60_000;

// Whether the office was out of reach a moment ago: then nobody is kept waiting for it.
export const away = () => Date.now() - Number(sessionStorage.getItem(AWAY) || 0) < LASTS;

export function noteReach(reached) {
  if (reached) sessionStorage.removeItem(AWAY);
  else sessionStorage.setItem(AWAY, String(Date.now()));
}

export async function inReach() {
  try {
    const answer = await fetch("/sync/hello", {
      cache: "no-store", headers: { "X-Fieldlog": "outbox/1" }, signal: AbortSignal.timeout(PATIENCE),
    });
    noteReach(true);
    return answer.ok;
  } catch (error) {
    noteReach(false);
    if (error instanceof TypeError || error.name === "TimeoutError") return false;
    throw error;
  }
}

export function notice(form, sentence) {
  let box = form.querySelector(":scope > .said-here");
  if (!box) {
    box = document.createElement("div");
    box.className = "notice said-here";
    box.setAttribute("role", "alert");
    form.prepend(box);
  }
  box.replaceChildren(Object.assign(document.createElement("p"), { textContent: sentence }));
  box.scrollIntoView({ block: "center" });
}

// The form goes its plain way, past the outbox's handler.
export function letPast(form, submitter) {
  form.dataset.past = "1";
  form.requestSubmit(submitter);
  delete form.dataset.past;
}

export async function whenInReach(form, submitter) {
  if (await inReach()) return letPast(form, submitter);
  return notice(form, "No signal: this needs the office, and nothing was sent. What you typed stays here; send it again in reach.");
}
