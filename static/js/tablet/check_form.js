// The form of a sheet as raw readings, the same that `web/sheet_form.readings_of` makes.

const typed = (data, name) => String(data.get(name) ?? "");

function withTool(text, tool, main) {
  if (!text.trim()) return null;
  return tool === main ? text : { value: text, instrument: tool };
}

// The tool chosen for a field; else the check's where it can take it; else the first that can.
function toolOfField(field, data, main) {
  const chosen = typed(data, `tool-${field.name}`).trim();
  if (chosen) return chosen;
  const able = field.able;
  return able.includes(main) || !able.length ? main : able[0];
}

function listOf(field, data, tool, main) {
  const slots = Number(data.get(`slots-${field.name}`)) || 1;
  const texts = Array.from({ length: slots }, (_, n) => typed(data, `q-${field.name}-${n + 1}`));
  // One of a kind is said of all: one thickness where all treads are alike.
  if (slots === 1 && !field.follows) return withTool(texts[0], tool, main);
  if (!texts.some((text) => text.trim()) && !field.required) return null;
  return texts.map((text) => withTool(text, tool, main));
}

function gridWritten(field, data, tool, main) {
  const [rows, columns] = ["rows", "columns"].map((side) => Number(data.get(`${side}-${field.name}`)) || 1);
  const cells = Array.from({ length: rows }, (_, r) =>
    Array.from({ length: columns }, (_, c) => typed(data, `q-${field.name}-${r + 1}-${c + 1}`).trim() || null),
  );
  if (!cells.flat().some(Boolean)) return null;
  const grid = {
    spacing: typed(data, `q-${field.name}-spacing`),
    unit: typed(data, `q-${field.name}-unit`),
    rows: cells,
  };
  return tool === main ? grid : { ...grid, instrument: tool };
}

// `fields`: {name, kind, many, follows, required, able} in the sheet's order.
export function readingsOf(fields, data, main) {
  const readings = {};
  for (const field of fields) {
    const tool = toolOfField(field, data, main);
    let value;
    if (field.kind === "grid") value = gridWritten(field, data, tool, main);
    else if (field.many) value = listOf(field, data, tool, main);
    else value = withTool(typed(data, `q-${field.name}`), tool, main);
    if (value !== null) readings[field.name] = value;
  }
  return readings;
}

export function nothingIn(readings) {
  return Object.values(readings).every((value) => Array.isArray(value) && value.every((one) => one === null));
}

// The form's name of the slot that an error of the parser is about, as `sheet_form.error_name`.
export function slotOf(fields, data, error) {
  const field = fields.find((one) => one.name === error.field);
  if (field?.kind === "grid") {
    if (error.index === null) return `q-${error.field}-spacing`;
    const columns = Number(data.get(`columns-${error.field}`)) || 1;
    return `q-${error.field}-${Math.floor(error.index / columns) + 1}-${(error.index % columns) + 1}`;
  }
  return field?.many ? `q-${error.field}-${(error.index ?? 0) + 1}` : `q-${error.field}`;
}
