// An entry as the journal takes it, but for device and number, which the outbox gives.

import { fact } from "./store.js";

export async function envelope({ id, type, subject, body, seen = "" }) {
  const hello = await fact("hello");
  const now = new Date();
  return {
    id, job: hello.job, device: "", device_seq: 0, claimed_ms: now.getTime(),
    offset_min: -now.getTimezoneOffset(), author: hello.author, type, subject, seen,
    body: JSON.stringify(body),
  };
}
