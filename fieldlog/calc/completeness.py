"""What a body must hold to be an entry at all, whatever its author."""

from __future__ import annotations

import re
from typing import Any

import msgspec

from fieldlog.calc import bodies
from fieldlog.calc.instrument_tests import TestNotUsable, outcome_of
from fieldlog.calc.lengths import LengthNotUnderstood, parse_length
from fieldlog.calc.shape import Strict
from fieldlog.calc.tested import TestRefused, ratio

_NUMBER = re.compile(r"[A-Z]{1,3}-[1-9][0-9]{0,6}")
_OF = re.compile(r"(check|item):[a-z0-9/:-]{1,250}")
_ACT_NEEDS = {
    "accepted_as_is": ("agreed_by",),
    "sent_back": ("reason",),
    "withdrawn": ("reason",),
    "not_ours": ("reason",),
    "passed_on": ("trade",),
}


class _Value(msgspec.Struct):
    """A value of an answer; a list has `values`, a table `rows`."""

    text: str
    label: str = ""
    exact: str = ""
    values: tuple[_Value, ...] = ()
    rows: tuple[dict[str, _Value], ...] = ()


class _Told(msgspec.Struct):
    """The members of a kept answer that every page reads."""

    calculation: str
    title: str
    inputs: dict[str, _Value]
    answer: dict[str, _Value]
    steps: list[str]
    notes: list[str]
    formula: str
    source: str
    caution: str


class _Planned(msgspec.Struct):
    """The members of a kept plan that pages and drawings read."""

    title: str
    rows: list[list[str | None]]
    steps: list[str]
    patches: list[dict[str, Any]]


_FEWEST = 3
MAX_LAYERS, THICKEST = 20, 10**9
"""Layers of a room, and the thickness of one in nm (1 m)."""
_planned = msgspec.json.Decoder(_Planned).decode
_told = msgspec.json.Decoder(_Told).decode


def why_incomplete(entry_type: str, body: Strict) -> str:
    """A sentence that says what is missing, or ""."""
    for name in _required(body):
        if not getattr(body, name).strip():
            return f"{entry_type} entry, body: {name.replace('_', ' ')} is empty."
    if isinstance(body, bodies.ItemEntry):
        return _item(body)
    if isinstance(body, bodies.RoomOutline):
        return _outline(body)
    if isinstance(body, bodies.Layers):
        return _layers(body)
    if isinstance(body, bodies.FloorPlan):
        return _plan(body)
    if isinstance(body, bodies.InstrumentTest):
        return _test(body)
    return _sum(body) if isinstance(body, bodies.KeptSum) else ""


def _required(body: Strict) -> tuple[str, ...]:
    match body:
        case bodies.Walk() | bodies.Day() | bodies.ReportIssued():
            return ("day",)
        case bodies.Letter():
            return ("week",)
        case bodies.CheckEntry():
            return ("room", "sheet", "instrument")
        case bodies.ItemEntry():
            return ("room", "trade")
        case bodies.PhotoEntry():
            return ("sha256",)
        case bodies.Strike():
            return ("entry", "reason")
        case bodies.Differs():
            return ("check", "verdict")
        case bodies.KeptSum():
            return ("name", "room")
        case bodies.Layers():
            return ("room",)
        case bodies.RoomOutline():
            return ("room", "spacing", "rod")
        case bodies.FloorPlan():
            return ("room", "of", "check", "kind")
        case bodies.InstrumentTest():
            return ("tool", "day")
        case bodies.Act():
            return _ACT_NEEDS.get(body.act, ())
    return ()


def _item(body: bodies.ItemEntry) -> str:
    if not (body.words.strip() or body.photos or body.check):
        return "An item has words, a photo or the check that found it."
    if body.number and not _NUMBER.fullmatch(body.number):
        return f'An item number is such as "P-31", not "{body.number}".'
    return ""


def _outline(body: bodies.RoomOutline) -> str:
    """Whether every length of it can be read; whether the walls cross is for who asks."""
    rings = (body.corners, *body.cut_outs)
    if any(len(ring) < _FEWEST for ring in rings):
        return "A room and what is cut out of it have three corners or more."
    lengths = [body.spacing, body.rod, *(part for ring in rings for pair in ring for part in pair)]
    for text in lengths:
        try:
            parse_length(text, "ft")
        except LengthNotUnderstood as err:
            return str(err)
    return ""


def _layers(body: bodies.Layers) -> str:
    """Each thickness is a length, and none is less than nothing."""
    if len(body.layers) > MAX_LAYERS:
        return f"{len(body.layers)} layers; {MAX_LAYERS} is the most."
    for n, layer in enumerate(body.layers, 1):
        try:
            thick = parse_length(layer.thickness, layer.unit)
        except LengthNotUnderstood as err:
            return f"Layer {n}, {layer.kind}: {err}"
        if not 0 <= thick <= THICKEST:
            return f"Layer {n}, {layer.kind}: {layer.thickness} is no thickness."
    return ""


def _plan(body: bodies.FloorPlan) -> str:
    if not body.of.startswith("check:") or not _OF.fullmatch(body.of):
        return f'A plan belongs to a check, not to "{body.of}".'
    try:
        _planned(body.answer)
    except (msgspec.DecodeError, RecursionError) as err:
        return f"A plan is the JSON that was offered: {err}."
    return ""


def _test(body: bodies.InstrumentTest) -> str:
    """The tilt is what the readings give, as worked out again."""
    try:
        found = outcome_of(body.how, body.inputs)
        ratio(body.allowed)
    except (TestNotUsable, TestRefused) as err:
        return f"A test of a level: {err}"
    if str(found.tilt) != body.tilt:
        return f"A test of a level: its readings give {found.tilt}, not {body.tilt}."
    return ""


def _sum(body: bodies.KeptSum) -> str:
    if body.of and not _OF.fullmatch(body.of):
        return f'A sum is kept with a check or an item, not with "{body.of}".'
    try:
        told = _told(body.answer)
    except (msgspec.DecodeError, RecursionError) as err:
        return f"The answer of a sum is the JSON that its calculation gave: {err}."
    if told.calculation != body.name:
        return f'The answer is of the calculation "{told.calculation}", not of "{body.name}".'
    return ""
