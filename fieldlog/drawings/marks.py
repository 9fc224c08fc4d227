"""The verdicts' marks: cross in a filled square, waves in a diamond, empty box, tick in a ring.

They differ in shape and read without colour; colour is used for verdicts only.
"""

from __future__ import annotations

from fieldlog.drawings.svg import PAPER, Box, Sheet, num

COLORS = {
    "fail": "#9c1c14",
    "too_close": "#6a4000",
    "not_measured": "#444f5a",
    "pass": "#14602f",
}

WORDS = {
    "fail": "fails",
    "too_close": "too close to call",
    "not_measured": "not measured",
    "pass": "passes",
    "does_not_apply": "does not apply",
}


def mark(sheet: Sheet, x: float, y: float, size: float, verdict: str) -> Box:
    """Draw a verdict's mark in a square whose upper left corner is (x, y); gives its box."""
    box = Box(x, y, x + size, y + size)
    sheet.taken.append(box)
    _DRAW[verdict](sheet, x, y, size)
    return box


def _fail(sheet: Sheet, x: float, y: float, size: float) -> None:
    sheet.path(_square(x, y, size), width=0, fill=COLORS["fail"])
    a, b = size * 0.26, size * 0.74
    cross = (
        f"M{num(x + a)},{num(y + a)} {num(x + b)},{num(y + b)}"
        f"M{num(x + b)},{num(y + a)} {num(x + a)},{num(y + b)}"
    )
    sheet.path(cross, width=size * 0.15, stroke=PAPER)


def _too_close(sheet: Sheet, x: float, y: float, size: float) -> None:
    middle, color = size / 2, COLORS["too_close"]
    sheet.shape(
        [(x + middle, y), (x + size, y + middle), (x + middle, y + size), (x, y + middle)],
        width=size * 0.09,
        stroke=color,
    )
    for at in (0.42, 0.6):
        bend = size * 0.11
        wave = (
            f"M{num(x + size * 0.27)},{num(y + size * at)}"
            f"q{num(size * 0.115)},{num(-bend)} {num(size * 0.23)},0"
            f"t{num(size * 0.23)},0"
        )
        sheet.path(wave, width=size * 0.09, stroke=color)


def _not_measured(sheet: Sheet, x: float, y: float, size: float) -> None:
    inset = size * 0.08
    square = _square(x + inset, y + inset, size - 2 * inset)
    sheet.path(square, width=size * 0.1, stroke=COLORS["not_measured"])


def _pass(sheet: Sheet, x: float, y: float, size: float) -> None:
    color = COLORS["pass"]
    sheet.circle((x + size / 2, y + size / 2), size * 0.44, width=size * 0.1, stroke=color)
    tick = [
        (x + size * 0.3, y + size * 0.52),
        (x + size * 0.45, y + size * 0.67),
        (x + size * 0.71, y + size * 0.36),
    ]
    sheet.line(tick, width=size * 0.11, stroke=color)


def _square(x: float, y: float, size: float) -> str:
    return f"M{num(x)},{num(y)}h{num(size)}v{num(size)}h{num(-size)}z"


_DRAW = {
    "fail": _fail,
    "too_close": _too_close,
    "not_measured": _not_measured,
    "pass": _pass,
}
