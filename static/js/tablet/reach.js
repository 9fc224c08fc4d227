// A form that only the office can take is sent when the office can be reached, and says so when not.

const PATIENCE = 2500;

export async function inReach() {
  try {
    const answer = await fetch("/sync/hello", {
      cache: "no-store", headers: { "X-Fieldlog": "outbox/1" }, signal: AbortSignal.timeout(PATIENCE),
    });
    return answer.ok;
  } catch (error) {
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

// Goes through when the office answers; the form is let past its own submit handler once.
export async function whenInReach(form, submitter) {
  if (await inReach()) {
    form.dataset.past = "1";
    form.requestSubmit(submitter);
    delete form.dataset.past;
    return;
  }
  notice(form, "No signal: this needs the office, and nothing was sent. What you typed stays here; send it again in reach.");
}
