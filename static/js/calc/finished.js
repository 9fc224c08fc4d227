// The same readings when the finishes are on: the twin of calc/finished.py. `finishes` is what is
// still to come by place: {below: {room, name, floor, ceiling}, ...} with nm as text.

import { evaluate, namesIn } from "./expressions.js";
import { fieldsBehind } from "./document.js";
import { parseFraction, whole } from "./fraction.js";
import { GAP, exact } from "./values.js";

const FINISH_NAMES = ["floor_below", "floor_above", "floor_here", "floor_there", "ceiling_below", "ceiling_here"];
const LAYERS = "layers of the rooms";

/** The rooms whose layers a sheet hangs on: below, above, here, there. */
export function placesOf(sheet) {
  const names = sheet.finished.flatMap((one) => [...namesIn(one.tree)]);
  const of = sheet.from_layers.map((one) => one.of);
  const wanted = [...names.filter((name) => FINISH_NAMES.includes(name)), ...of];
  return [...new Set(wanted.map((name) => name.split("_")[1]))];
}

/** Put what the sheet reads of the layers among the readings; undefined is not known here. */
export function addLayers(sheet, readings, finishes) {
  for (const one of sheet.from_layers) {
    if (finishes === undefined) readings.later.set(one.name, LAYERS);
    else readings.values.set(one.name, stillToCome(one.of, finishes));
  }
}

function stillToCome(name, finishes) {
  const [what, place] = name.split("_");
  const found = finishes[place];
  return found ? exact(parseFraction(what === "floor" ? found.floor : found.ceiling)) : GAP;
}

/** The readings as they will be; null where the layers of no room that matters are known. */
export function finishedReadings(scope, finishes) {
  const { sheet, readings } = scope;
  if (!sheet.finished.length || !placesOf(sheet).some((place) => finishes[place])) return null;
  const where = {
    quantity: (name) => (FINISH_NAMES.includes(name) ? stillToCome(name, finishes) : scope.quantity(name)),
    limit: (rule) => scope.limit(rule),
    applies: (rule) => scope.applies(rule),
  };
  const values = new Map(readings.values);
  for (const one of sheet.finished) values.set(one.field, evaluate(one.tree, where));
  return { ...readings, values };
}

/** The limits on what the finishes change, but for what was not measured in the first place. */
export function changedByFinishes(sheet, rough, finished) {
  const fields = new Set(sheet.finished.map((one) => one.field));
  const key = (r) => `${r.rule.id} ${r.index}`;
  const blank = new Set(rough.filter((r) => r.verdict === "not_measured").map(key));
  const behind = (quantity) => {
    const derived = sheet.derivedOf.get(quantity);
    return derived ? [...fieldsBehind(sheet, derived.tree)] : [quantity];
  };
  const changes = (r) => behind(r.rule.quantity).some((name) => fields.has(name));
  return finished.filter((r) => changes(r) && !(r.verdict === "not_measured" && blank.has(key(r))));
}

/** What a judgement keeps of the layers it was judged with. */
export function layersJson(told, finishes) {
  const places = placesOf(told.sheet);
  const length = (nm) => ({ text: told.speaker.length(parseFraction(nm)), nm });
  return Object.entries(finishes)
    .filter(([place]) => places.includes(place))
    .map(([place, { room, name, floor, ceiling }]) => ({
      place, room, name, floor: length(floor), ceiling: length(ceiling),
    }));
}
