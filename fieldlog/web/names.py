"""What pages call crews, people, rooms and acts."""

from __future__ import annotations

from fieldlog.calc.entries import role_of, trade_of
from fieldlog.calc.house import Room
from fieldlog.store.views import ItemAct
from fieldlog.web.request import house

KINDS = {
    "safety": "Safety and code",
    "holds": "Holds the next trade",
    "contract": "Contract",
    "ours": "Our standard",
}
"""How serious a limit is; an item that nobody measured has no kind."""

STATES = {
    "open": "open",
    "corrected": "corrected",
    "accepted": "accepted",
    "accepted_as_is": "accepted as is",
    "withdrawn": "withdrawn",
}


def crew_name(trade_id: str) -> str:
    """What the page calls a crew."""
    trade = house().trade(trade_id)
    return trade.name if trade else trade_id


def who(author: str) -> str:
    """Whose entry it is: a crew's name, or the superintendent's."""
    return crew_name(trade_of(author)) if role_of(author) == "crew" else author.partition("/")[2]


def where(room_id: str, wall: str = "") -> str:
    """`Boat room, Slip level, wall B`."""
    room = house().room(room_id)
    if room is None:
        return f"{room_id}, no longer in the house"
    return ", ".join([room.name, story_name(room), *([f"wall {wall}"] if wall else [])])


def story_name(room: Room) -> str:
    """The name of a room's story."""
    story = house().story(room.story)
    return story.name if story else ""


def act_says(act: ItemAct) -> str:
    """What an act did, as the history's line says it."""
    told = {"in person": "in person", "call": "by call", "text": "by text"}
    match act.act:
        case "opened":
            return f"Opened for the {crew_name(act.trade)}" if act.trade else "Opened"
        case "corrected":
            return f"The crew said {told[act.how]}: corrected" if act.how in told else "Corrected"
        case "accepted":
            return "Accepted: measured again" if act.how == "measured" else "Accepted: seen by eye"
        case "accepted_as_is":
            return f"Accepted as is. Agreed by {act.agreed_by}"
        case "passed_on":
            return f"Passed on to the {crew_name(act.trade)}"
        case "not_ours":
            return "Not ours, says the crew"
    return act.act.replace("_", " ").capitalize()
