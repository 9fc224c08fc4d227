// A form is judged again at every tap, and most of it is as it was: what was worked out is kept.

const MOST = 4096; // then it is begun anew: a tablet's page may stay open for days

/** What `make` gives for a key of a Map or WeakMap; made where it is not there yet. */
export function remembered(known, key, make) {
  let found = known.get(key);
  if (found === undefined) {
    if (known.size >= MOST) known.clear();
    known.set(key, (found = make()));
  }
  return found;
}
