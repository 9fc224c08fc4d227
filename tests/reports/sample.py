"""Facts made by hand: what the text and the HTML are looked at with, without a journal."""

from __future__ import annotations

from fieldlog.reports.facts import (
    ActLine,
    Acts,
    Added,
    Check,
    Checks,
    CrewLine,
    Daily,
    Finding,
    Issue,
    Limits,
    Picture,
    RoomLine,
)
from fieldlog.reports.facts_letter import WeeklyLetter
from fieldlog.reports.facts_punch import PunchItem, PunchList
from fieldlog.store.views import Head

HEAD = Head(412, "9f3c51a0b2d4" + "0" * 52)
NOW = Head(431, "77aa" * 16)
CAUTION = "The local code and the inspector decide. This tool measures; it approves nothing."
TAPE = "Steel tape, good to 1/16 in"
GAP = Finding(
    mark="fail",
    plain="fail",
    head="Open gaps 4 7/16 in to 4 7/8 in. Needs less than 4 in.",
    body="Risers 5 to 9, more than 30 in above the floor.",
    measured="4 7/8 in",
    needs="less than 4 in",
    where="Risers 5 to 9",
    source="IRC 2021 R311.7.5.1",
    kind="safety",
    fix="Treads thicker than 3 7/8 in close them all: 3 57/64 in or more.",
    settle="",
)
RAIL = Finding(
    mark="too_close",
    plain="pass",
    head="Handrail is 37 63/64 in: passes, too close to call. Needs 38 in or less.",
    body="",
    measured="37 63/64 in",
    needs="38 in or less",
    where="Handrail",
    source="IRC 2021 R311.7.8.1",
    kind="safety",
    fix="",
    settle="A story pole would settle it.",
)
HEADROOM = Finding(
    "not_measured", "", "Headroom is not measured.", "", "", "6 ft 8 in or more", "Headroom",
    "IRC 2021 R311.7.2", "safety", "", "",
)  # fmt: skip
HALL = "Mezzanine hall, 2nd floor"
STAIR = Check(
    id="c1",
    sheet="stair",
    title="Stair, first flight",
    room=HALL,
    at="8:12 am",
    tool=TAPE,
    mark="fail",
    plain="",
    findings=(GAP, HEADROOM),
    passes=31,
    notes=("Total rise is 67 1/2 in, but the risers add up to 67 in. Measure both again.",),
    caution=CAUTION,
    again="Measured again at 2:20 pm: pass.",
)
HANDRAIL = Check(
    "c2", "handrail", "Handrail", HALL, "8:20 am", TAPE, "too_close", "pass", (RAIL,), 3, (),
    CAUTION,
)  # fmt: skip
TRIM = Check("c3", "trim", "Trim, closet door", HALL, "8:40 am", TAPE, "pass", "", (), 9, (), "")


def picture(number: int) -> Picture:
    """One of some photos; its hash is a number."""
    return Picture(f"{number:064x}", f"Photo {number}, {HALL}", 900, 675)


def daily(issued: bool = True) -> Daily:
    """A full day."""
    return Daily(
        house="Orchard Row cider mill",
        by="Ada Quill",
        day="2026-03-03",
        head=HEAD,
        now=NOW if issued else HEAD,
        issue=Issue(1, "Tue Mar 3, 5:10 pm", "Ada Quill", HEAD) if issued else None,
        weather="36 F, light rain until noon, then clear and windy from the northwest",
        crews=(CrewLine("Stair crew", 3, "set the second flight"), CrewLine("Paint crew", 1, "")),
        deliveries="Twelve oak treads, one with a split end, sent back with the driver.",
        delays="",
        note="Owner stopped by at 3.\nAsked about the hall light.",
        rooms=(RoomLine(HALL, 3, 2, 4), RoomLine("Basement workshop, Basement", 0, 0, 0)),
        outcomes={
            "fail": (Checks("stair", "Stair", CAUTION, (STAIR,)),),
            "too_close": (Checks("handrail", "Handrail", CAUTION, (HANDRAIL,)),),
            "pass": (Checks("trim", "Trim", "", (TRIM,)),),
        },
        acts=(
            Acts(
                "opened",
                (
                    ActLine(
                        "opened", "P-31", "Stair crew", HALL,
                        "Stair: open gaps 4 7/16 in to 4 7/8 in", "", "Ada Quill", "8:15 am",
                        findings=(GAP,),
                    ),
                    ActLine(
                        "opened", "P-32", "Paint crew", f"{HALL}, wall B",
                        "Door to the closet scratched from top to bottom on the hall side", "",
                        "Ada Quill", "8:44 am",
                    ),
                ),
            ),
            Acts(
                "sent_back",
                (
                    ActLine(
                        "sent_back", "P-24", "Floor crew", "Study, 2nd floor",
                        "Threshold step at the door", "Still 3/8 in at the hinge side.",
                        "Ada Quill", "9:01 am",
                    ),
                ),
            ),
        ),
        pictures=tuple(picture(n) for n in range(1, 6)),
        limits=Limits(
            ("International Residential Code, 2021", "Our standard, March 2026"),
            ("Riser height: 8 1/4 in in this house, by word of the county. Local amendment.",),
        ),
        refused=1,
        added=(Added("Wed Mar 4, 7:02 am", "Stair crew", "P-31 Corrected"),) if issued else (),
    )  # fmt: skip


def punch() -> PunchList:
    """A crew's list with a measured item, one sent back, and one that waits for a look."""
    return PunchList(
        house="Orchard Row cider mill",
        by="Ada Quill",
        trade="stair",
        crew="Stair crew",
        day="2026-03-05",
        head=HEAD,
        open=(
            _item("P-31", "Stair: open gaps", findings=(GAP,), tool=TAPE, kind="safety"),
            _item(
                "P-24", "Tread 4 creaks at the wall side when walked on in the morning",
                sent_back=True, reason="still creaks", damaged_by_other=True, late=True,
                picture=picture(2),
            ),
        ),
        waiting=(_item("P-22", "Board cracked by the window", state="corrected"),),
        cautions=(f"Stair: {CAUTION}",),
        limits=Limits(("International Residential Code, 2021",), ()),
    )  # fmt: skip


def _item(number: str, words: str, **changes: object) -> PunchItem:
    known: dict[str, object] = {
        "number": number, "where": f"{HALL}, wall B", "words": words, "state": "open",
        "sent_back": False, "reason": "", "age": "2 days", "opened": "Tue Mar 3",
        "needs_by": "Fri Mar 6", "late": False, "kind": "", "tool": "", "findings": (),
        "damaged_by_other": False, "not_ours": "", "picture": None,
    }  # fmt: skip
    return PunchItem(**{**known, **changes})  # type: ignore[arg-type]


def letter(fixed: bool = True) -> WeeklyLetter:
    """A letter of one page."""
    return WeeklyLetter(
        house="Orchard Row cider mill",
        owner="the owners",
        by="Ada Quill",
        day="2026-03-06",
        greeting="Dear owners of the mill,",
        finished=(
            "We finished looking over the kitchen and the study, and everything we looked at "
            "there is as it should be.",
            "The paint crew put right what we had asked for in the mezzanine hall.",
        ),
        need_from_you=("Please choose the hall light by Wednesday, March 11.",) if fixed else (),
        next_up=("The stair crew will be back in the mezzanine hall.",),
        closing=("Call me any time with questions.",),
        pictures=tuple(picture(n) for n in (1, 2, 3)),
        fixed=fixed,
    )
