"""QR codes as SVG, by presentation attributes only: the page's policy drops styles."""

from __future__ import annotations

import io

import segno
from markupsafe import Markup, escape

INK = "#17202a"
PAPER = "#ffffff"
BORDER = 4
"""Modules of quiet zone, as the standard asks (ISO/IEC 18004)."""


def qr_svg(text: str, says: str) -> Markup:
    """The QR of `text` as inline SVG; `says` is what it leads to, for who can't see it."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", scale=1, border=BORDER, dark=INK, light=PAPER, xmldecl=False,
        svgns=True, svgclass=None, lineclass=None, omitsize=True, nl=False,
    )  # fmt: skip
    drawn = out.getvalue().decode()
    label = f'<svg class="qr" role="img" aria-label="QR code: {escape(says)}" '
    return Markup(drawn.replace("<svg ", label, 1))
