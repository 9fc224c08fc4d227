"""The layers of a room in one line, for its own page and others."""

from __future__ import annotations

from fieldlog.calc.bodies import Layer, Layers
from fieldlog.calc.lengths import LengthNotUnderstood, format_length, parse_length
from fieldlog.store import reading
from fieldlog.web import request as at
from fieldlog.web.layers_form import KINDS, ZERO

SAID = {kind: word.partition(":")[0].lower() for kind, word in KINDS}
NOTHING = "nothing, and nothing to come"


def layers_line(room: str) -> str:
    """ "pour 1/2 in, laid; floor finish oak 3/4 in, to come", or "" where nobody recorded it."""
    known = reading.layers(at.conn(), room)
    return said(known) if known else ""


def said(layers: Layers) -> str:
    """The layers in one line."""
    return "; ".join(_says(one) for one in layers.layers) or NOTHING


def _says(one: Layer) -> str:
    named = f"{SAID[one.kind]} {one.name}".strip()
    thick = "" if one.kind in ZERO else f" {_thickness(one)}"
    return f"{named}{thick}, {'laid' if one.laid else 'to come'}"


def _thickness(one: Layer) -> str:
    try:
        return format_length(parse_length(one.thickness, one.unit), at.house().system)
    except LengthNotUnderstood:  # an earlier edition may have taken what this one asks about
        return one.thickness
