"""Every type of journal entry, its version and the schema of its body, in one place.

An entry's body is a JSON string that is stored and hashed byte for byte; these structures
only read it. *Append checks shape; folds check state*: what is here is shape.
Days are ISO dates (`2026-03-03`), empty where the person confirmed none (then the day
received, in the house's zone, counts).
"""

from __future__ import annotations

from typing import Any, Literal

from fieldlog.calc.house import House
from fieldlog.calc.shape import Strict


class Walk(Strict, frozen=True):
    """`walk/1`, subject `walk:<day>`: the superintendent starts the day's walk."""

    day: str
    note: str = ""


class CheckEntry(Strict, frozen=True):
    """`check/1`, subject `check:<room>/<planned key>`: one measured look.

    `readings` maps a field to a reading or a list of them; a reading is text as typed, a
    yes/no, null for "not taken", or `{"value": ..., "instrument": ...}`.
    """

    room: str
    sheet: str
    readings: dict[str, Any]
    instrument: str
    place: str = ""
    books: tuple[str, ...] = ()
    sheet_sha256: str = ""
    day: str = ""
    note: str = ""
    photos: tuple[str, ...] = ()


Wall = Literal["", "A", "B", "C", "D"]


class ItemEntry(Strict, frozen=True):
    """`item/1`, subject `item:<this entry's id>`: a punch item is opened.

    `check` is the id of the check entry that found it ("" where nothing was measured) and
    `rules` the ids of its failing rules. `wall` is A to D clockwise from the door, or "".
    """

    number: str
    room: str
    trade: str
    words: str
    wall: Wall = ""
    needs_by: str = ""
    damaged_by_other: bool = False
    check: str = ""
    rules: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()
    day: str = ""


ActName = Literal[
    "corrected", "accepted", "accepted_as_is", "sent_back", "withdrawn", "not_ours", "passed_on",
    "note",
]  # fmt: skip


class Act(Strict, frozen=True):
    """`act/1`, subject `item:<id>`: something was done about an item.

    `how`: for corrected by the superintendent `in person`, `call`, `text`; for accepted `eye`
    or `measured` (then `check` is the new check's entry id). `reason`: why sent back,
    withdrawn, not ours, passed on; `agreed_by`: who agreed, for accepted as is; `trade`: the
    crew it is passed on to.
    """

    act: ActName
    how: Literal["", "in person", "call", "text", "eye", "measured"] = ""
    reason: str = ""
    trade: str = ""
    agreed_by: str = ""
    check: str = ""
    photos: tuple[str, ...] = ()
    day: str = ""


class PhotoEntry(Strict, frozen=True):
    """`photo/1`, subject `photo:<sha256>`: a photo's file is kept, and belongs to a room.

    `of` is the subject it shows (`item:...`, `check:...`) or "".
    """

    sha256: str
    size: int
    media: Literal["image/jpeg", "image/png", "image/webp"]
    width: int
    height: int
    room: str = ""
    of: str = ""
    caption: str = ""
    day: str = ""


class CrewToday(Strict, frozen=True):
    """How many of a crew were there and what they did."""

    trade: str
    people: int
    did: str = ""


class Day(Strict, frozen=True):
    """`day/1`, subject `day:<day>`: the day's facts as typed; the latest one holds."""

    day: str
    weather: str = ""
    crews: tuple[CrewToday, ...] = ()
    deliveries: str = ""
    delays: str = ""
    note: str = ""


class ReportIssued(Strict, frozen=True):
    """`report/1`, subject `report:<kind>:<day>[:<trade>]`: a report was issued.

    `head_seq` and `head_chain` are the journal's head it was written from.
    """

    kind: Literal["daily", "punch"]
    day: str
    head_seq: int
    head_chain: str
    text_sha256: str
    trade: str = ""


class Letter(Strict, frozen=True):
    """`letter/1`, subject `letter:<friday>`: the weekly letter, a draft or fixed."""

    week: str
    greeting: str
    finished: str
    need_from_you: str
    next_up: str
    closing: str
    photos: tuple[str, ...] = ()
    fixed: bool = False


class KeptSum(Strict, frozen=True):
    """`calculation/1`, subject `calculation:<this entry's id>`: a sum kept with its answer.

    `name` is the calculation's, `inputs` its inputs as typed, `answer` the JSON text it gave
    (inputs, formula, source, steps, answer), which is read back and not computed anew. `of` is
    the subject it belongs to (`check:...`, `item:...`), or "" for the room alone.
    """

    name: str
    room: str
    inputs: dict[str, str]
    answer: str
    of: str = ""
    day: str = ""


class RoomOutline(Strict, frozen=True):
    """`outline/1`, subject `outline:<room>`: a room's walls; the latest one holds.

    `corners` are (across, down) as typed, in order around the room; `cut_outs` what is not
    floor (a column, a stair's hole), each the same. Stations are laid `spacing` apart, the
    rod's radius `rod` off the walls.
    """

    room: str
    corners: tuple[tuple[str, str], ...]
    spacing: str
    rod: str
    cut_outs: tuple[tuple[tuple[str, str], ...], ...] = ()
    day: str = ""


class FloorPlan(Strict, frozen=True):
    """`plan/1`, subject that of the check: the work that was chosen to make a floor pass.

    `of` is the check's subject, `check` its entry id. `inputs` is what was asked and answered
    (what is there, products, prices), `answer` the plan as it was offered, a JSON text with its
    depths, bags, patches and steps, which is read back and not computed anew.
    """

    room: str
    of: str
    check: str
    kind: str
    inputs: dict[str, str]
    answer: str
    day: str = ""


class Layer(Strict, frozen=True):
    """One layer of a room: carpet and runner count as zero; `laid`: it is in place already.

    `thickness` is as typed; `unit` holds where it has none.
    """

    kind: Literal["pour", "underlay", "finish", "ceiling", "carpet", "runner"]
    thickness: str
    unit: Literal["in", "mm"] = "in"
    name: str = ""
    laid: bool = False


class Layers(Strict, frozen=True):
    """`layers/1`, subject `layers:<room>`: a room's layers, the latest entry holds."""

    room: str
    layers: tuple[Layer, ...]
    note: str = ""
    day: str = ""


class InstrumentTest(Strict, frozen=True):
    """`instrument/1`, subject `instrument:<tool>`: a level was tested; the latest of a kind holds.

    `inputs` are the readings and distances as typed; `tilt` what they come to, rise over run
    without a sign ("1/38400"), and `allowed` how much of it the tool's file allowed that day.
    """

    tool: str
    how: Literal["two pegs", "turned"]
    inputs: dict[str, str]
    tilt: str
    allowed: str
    note: str = ""
    day: str = ""


class Strike(Strict, frozen=True):
    """`strike/1`, subject of the struck entry: that entry was wrong, and why."""

    entry: str
    reason: str


class AccessAct(Strict, frozen=True):
    """`access/1`, subject `access:<device or link id>`: who may come in was changed.

    Only the act: no token, code or secret is in it. `of` is the id of the device or link, `name`
    what the device is called, `trade` the crew of a link ("" for the owner's letters).
    """

    act: Literal["paired", "device_revoked", "link_made", "link_revoked", "passed", "taken_back"]
    of: str
    name: str = ""
    trade: str = ""
    day: str = ""


class Differs(Strict, frozen=True):
    """`differs/1`, subject `differs:<check entry's id>`: a tablet judged a check otherwise.

    Made by the server when it judged the check on arrival. `verdict` and `rules_sha256` (see
    `calc.judged.rules_digest`) are the tablet's; the server's stand with the check itself.
    """

    check: str
    verdict: str
    rules_sha256: str = ""


BODIES: dict[str, type[Strict]] = {
    "house/1": House,
    "walk/1": Walk,
    "check/1": CheckEntry,
    "item/1": ItemEntry,
    "act/1": Act,
    "photo/1": PhotoEntry,
    "day/1": Day,
    "report/1": ReportIssued,
    "letter/1": Letter,
    "layers/1": Layers,
    "calculation/1": KeptSum,
    "outline/1": RoomOutline,
    "plan/1": FloorPlan,
    "access/1": AccessAct,
    "instrument/1": InstrumentTest,
    "strike/1": Strike,
    "differs/1": Differs,
}
"""Every entry type that can be appended."""
