// What every page with a keypad does: suggestions, what was brought back, the head's height.

export function useSuggestions(form, stops, keypad, changed) {
  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-use]");
    if (!button) return;
    event.preventDefault();
    const field = form.elements.namedItem(button.dataset.use);
    field.value = button.textContent.trim();
    stops.go(field);
    keypad.settle(true);
    changed();
  });
}

export function bringBack(draft) {
  if (!draft.restore()) return;
  const box = document.getElementById("brought-back");
  box.querySelector("p").textContent = "What you had typed here is brought back.";
  box.hidden = false;
  box.querySelector("button").addEventListener("click", () => {
    draft.forget();
    location.reload();
  });
}

// The pad sticks under the head, which stays in sight and grows with a long "how to measure".
export function followHead(pad) {
  const head = document.querySelector(".head");
  const follow = () => pad.style.setProperty("--head", `${head.offsetHeight}px`);
  new ResizeObserver(follow).observe(head);
}

// What the numbers say together comes in under the keys and makes the pad taller: the slot in hand
// stays in sight.
export function keepInSight(pad, stops) {
  let before = Infinity;
  const follow = () => {
    if (pad.offsetHeight > before && stops.current) stops.bringIntoView(stops.current);
    before = pad.offsetHeight;
  };
  new ResizeObserver(follow).observe(pad);
}

// The tool that the whole check is taken with: its radio.
export function mainTool(form) {
  return form.querySelector("input[name=instrument]:checked");
}

export function sayMainTool(form) {
  const tool = mainTool(form);
  if (tool) document.getElementById("tool-name").textContent = tool.dataset.says;
}
