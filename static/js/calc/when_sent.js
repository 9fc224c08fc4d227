// What a tablet cannot compute waits for the server.

/** Something hangs on what only the server can compute. `what` names it. */
export class WhenSent extends Error {
  constructor(what) {
    super(`${what}: judged when sent`);
    this.what = what;
  }
}
