// A page's forms made ready to go by the outbox.

import { putRoomIn } from "./any_room.js";
import { sameCrew } from "./entering.js";
import { freshIds } from "./fresh_ids.js";
import { lockWhenPassed } from "./lock.js";
import { prepare } from "./preview_here.js";
import { intercept } from "./submitting.js";

export async function ready() {
  freshIds();
  sameCrew();
  await putRoomIn();
  lockWhenPassed();
  intercept();
  prepare(document.querySelector("form[data-check]"));
}
