"""Several drawings on one sheet, one under another, in the order given."""

from __future__ import annotations

import re
from collections.abc import Sequence

_SIZE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


def stacked(drawings: Sequence[str]) -> str:
    """One SVG of several of ours (`Sheet.finish`), each as large as it is."""
    shown = [drawing for drawing in drawings if drawing]
    if len(shown) < 2:
        return "".join(shown)
    sizes = [tuple(map(float, found.groups())) for one in shown if (found := _SIZE.search(one))]
    top, parts = 0.0, []
    for drawing, (width, height) in zip(shown, sizes, strict=True):
        placed = f'<svg x="0" y="{top:g}" width="{width:g}" height="{height:g}" '
        parts.append(drawing.replace("<svg ", placed, 1))
        top += height
    wide = max(width for width, _ in sizes)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {wide:g} {top:g}">'
    return f"{head}{''.join(parts)}</svg>"
