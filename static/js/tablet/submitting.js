// Every form's way out: by the outbox where the tablet can make its entry, else when in reach.

import { NotAPhoto } from "./camera.js";
import { Unfinished } from "./bodies.js";
import { act, check, given, item, photo, walk } from "./entering.js";
import { Unjudgeable, showErrors } from "./judging.js";
import { away, inReach, letPast, notice, whenInReach } from "./reach.js";
import { sendAll } from "./send.js";
import { entry } from "./store.js";
import { ByTheOffice } from "./survey_form.js";
import { forgetTyped } from "./typed_here.js";

const PATIENCE = 2500;
const SHORT = 300;

const WAYS = [
  ["form[data-check]", check],
  ["form#item", item],
  ["form[data-gives]", given],
  ['form[action$="/acts"]', act],
  ["form#add", photo],
  ["form#start", walk],
];

function wayOf(form, submitter) {
  if (submitter?.name === "do") return null; // one more, one fewer: the page itself or the office
  return WAYS.find(([selector]) => form.matches(selector))?.[1] ?? null;
}

/** Those forms but for checks, which keep a draft of their own. */
export const ofTheOutbox = () => [...document.forms].filter((form) => WAYS.slice(1).some(([selector]) => form.matches(selector)));

const late = (ms) => new Promise((resolve) => setTimeout(resolve, ms, null));

const STAYS = "Kept, on this tablet only: it is sent by itself in reach. There are no pages for no signal on it yet, so leave this one open.";

async function lead(form, { id, there, here }) {
  await Promise.race([sendAll({ photos: false }), late(away() || !navigator.onLine ? SHORT : PATIENCE)]);
  const kept = await entry(id);
  if (kept?.state === "refused") location.assign(`/tablet/kept#${id}`);
  else if (!kept || kept.state === "sent") go(there);
  else if (navigator.serviceWorker?.controller || !away()) go(here);
  else {
    notice(form, STAYS);
    dispatchEvent(new Event("online")); // the line and the lists are shown anew
  }
}

function go(address) {
  const target = new URL(address, location.href);
  const same = target.pathname + target.search === location.pathname + location.search;
  location.assign(target);
  if (same && target.hash) location.reload(); // else the same page would only scroll
}

// The office knows whether a crew has it already, so it is asked where it can be.
const askedFirst = (form) => form.matches('form[action$="/give"]');

// No page can show these: signs that steer, and those that turn the reading direction.
const STEERING = /[\0-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]/;

function checkSigns(data) {
  for (const [name, value] of data) {
    if (STEERING.test(value)) throw new Unfinished("There is a character in this that no page can show. Type it again.", name);
  }
}

// The sentence above the form, and the cursor where its answer goes.
function asks(form, { message, field }) {
  notice(form, message);
  const input = field ? form.elements.namedItem(field) : null;
  const first = input instanceof RadioNodeList ? input[0] : input;
  first?.setAttribute("aria-invalid", "true");
  first?.focus();
}

async function submitted(form, submitter, way) {
  form.dataset.busy = "1";
  try {
    const data = new FormData(form, submitter);
    checkSigns(data);
    if (askedFirst(form) && (await inReach())) letPast(form, submitter);
    else {
      const made = await way(form, data);
      forgetTyped(form);
      await lead(form, made);
    }
  } catch (error) {
    if (error instanceof ByTheOffice) await whenInReach(form, submitter);
    else if (error instanceof Unjudgeable) showErrors(form, error);
    else if (error instanceof Unfinished || error instanceof NotAPhoto) asks(form, error);
    else if (error.name === "QuotaExceededError") {
      notice(form, "This tablet has no room left, so this was not kept. Send what waits, or free space, then save again.");
    } else throw error;
  } finally {
    delete form.dataset.busy;
  }
}

export function intercept() {
  document.addEventListener("submit", (event) => {
    const { target: form, submitter } = event;
    if (event.defaultPrevented || form.method !== "post" || form.dataset.past) return;
    event.preventDefault();
    if (form.dataset.busy) return; // a second tap while the first is kept
    const way = wayOf(form, submitter);
    if (way) submitted(form, submitter, way);
    else whenInReach(form, submitter);
  });
}
