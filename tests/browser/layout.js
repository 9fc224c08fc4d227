// What is wrong with the layout of the page in view. Evaluated by test_layout.py.
() => {
  const LEAST = 48;
  const LEAST_KEY = 46; // seven keys abreast, on a phone that is 390 px wide
  const SLACK = 0.6; // part of a pixel, from rounding
  const STUCK = ".foot, .pad, .head, .skip";

  const name = (e) => {
    const words = (e.getAttribute("aria-label") || e.textContent || e.name || "").trim();
    return `${e.localName}${e.id ? `#${e.id}` : ""} "${words.replace(/\s+/g, " ").slice(0, 40)}"`;
  };

  const seen = (e) => {
    const box = e.getBoundingClientRect();
    if (!e.checkVisibility({ visibilityProperty: true })) return false;
    return box.width > 1 && box.height > 1 && !e.closest(".vh, .skip");
  };

  // A link that stands among the words of a sentence.
  const amongWords = (e) => {
    if (e.localName !== "a" || getComputedStyle(e).display !== "inline") return false;
    return [...e.parentElement.childNodes].some(
      (n) => n !== e && n.nodeType === Node.TEXT_NODE && n.textContent.trim(),
    );
  };

  const labelled = (e) => e.matches("input[type=radio], input[type=checkbox]") && e.closest("label");
  const all = document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, label:has(input), label.btn",
  );
  const targets = [...all].filter((e) => seen(e) && !labelled(e) && !amongWords(e));
  const boxes = targets.map((e) => e.getBoundingClientRect());

  const small = targets
    .filter((e, n) => {
      const wide = e.matches("[data-key]") ? LEAST_KEY : LEAST;
      return boxes[n].width < wide - SLACK || boxes[n].height < LEAST - SLACK;
    })
    .map((e) => {
      const box = e.getBoundingClientRect();
      return `${name(e)} ${Math.round(box.width)} x ${Math.round(box.height)}`;
    });

  const over = [];
  targets.forEach((a, i) => {
    targets.forEach((b, j) => {
      if (j <= i || a.contains(b) || b.contains(a)) return;
      if (a.closest(STUCK) !== b.closest(STUCK)) return; // what sticks lies over what scrolls
      const wide = Math.min(boxes[i].right, boxes[j].right) - Math.max(boxes[i].left, boxes[j].left);
      const high = Math.min(boxes[i].bottom, boxes[j].bottom) - Math.max(boxes[i].top, boxes[j].top);
      if (wide > 1 && high > 1) over.push(`${name(a)} over ${name(b)}`);
    });
  });

  const page = document.documentElement;
  const sideways = page.scrollWidth > page.clientWidth ? [`${page.scrollWidth} px wide`] : [];
  return { sideways, small, over };
}
