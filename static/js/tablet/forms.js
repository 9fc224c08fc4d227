// A page's forms made ready to go by the outbox.

import { putRoomIn } from "./any_room.js";
import { sameCrew } from "./entering.js";
import { freshIds } from "./fresh_ids.js";
import { houseData } from "./house_data.js";
import { lockWhenPassed } from "./lock.js";
import { prepare } from "./preview_here.js";
import { outOfReach } from "./send.js";
import { intercept, ofTheOutbox } from "./submitting.js";
import { remember } from "./typed_here.js";

export async function ready() {
  freshIds();
  sameCrew();
  await putRoomIn();
  ofTheOutbox().forEach(remember);
  lockWhenPassed();
  intercept();
  // With no worker it can't be had later, out of reach.
  if (!navigator.serviceWorker?.controller) houseData().catch((error) => { if (!outOfReach(error)) throw error; });
  prepare(document.querySelector("form[data-check]"));
}
