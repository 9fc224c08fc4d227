"""The demo's house: what has to be in it so that every page has something to show."""

from __future__ import annotations

import io
from collections import Counter
from datetime import UTC, date, datetime

import pytest
from PIL import Image

from fieldlog.demo import dates, photos, seed
from fieldlog.store import reading
from tests.seeded import reader
from tests.seeded import seed as the_seed

DAYS = ("2026-03-02", "2026-03-03", "2026-03-04", "2026-03-05")


def test_the_house_has_stories_rooms_and_trades() -> None:
    house = the_seed().house
    assert len(house.stories) == 3
    assert len(house.rooms) >= 12
    assert len(house.trades) == 8
    assert {room.story for room in house.rooms} == {story.id for story in house.stories}
    assert sum(check.sheet == "stair" for room in house.rooms for check in room.checks) == 2


def test_every_room_has_something_to_measure_and_is_measured() -> None:
    with reader() as conn:
        measured = {check.room for check in reading.latest_checks(conn)}
    assert {room.id for room in the_seed().house.rooms if room.checks} == measured


def test_every_check_is_one_that_was_planned() -> None:
    planned = {f"{r.id}/{c.key}" for r in the_seed().house.rooms for c in r.checks}
    with reader() as conn:
        made = {f"{check.room}/{check.key}" for check in reading.latest_checks(conn)}
    assert made <= planned
    assert 0 < len(planned - made) < 5, "a few things are left for who tries the demo"


def test_four_days_each_with_its_facts() -> None:
    with reader() as conn:
        assert reading.walk_days(conn) == list(DAYS)
        facts = [reading.day_facts(conn, day) for day in DAYS]
    assert all(f and f.weather and f.crews and f.deliveries for f in facts)
    assert any(f and f.delays for f in facts)


def test_checks_have_every_verdict() -> None:
    with reader() as conn:
        found = Counter(check.verdict for day in DAYS for check in reading.checks_on(conn, day))
    assert sum(found.values()) >= 40
    assert found["fail"] >= 8
    assert found["too_close"] >= 4
    assert found["not_measured"] >= 4
    assert found["pass"] >= 20


def test_many_sheets_are_used() -> None:
    with reader() as conn:
        sheets = {check.sheet for check in reading.latest_checks(conn)}
    assert sheets == {
        "stair", "guard", "handrail", "trim", "floor", "visual", "air", "wood", "slab", "door",
    }  # fmt: skip


def test_thirty_items_in_every_state_and_most_without_a_check() -> None:
    with reader() as conn:
        items = reading.items(conn)
        acts = {act.act for item in items for act in reading.item_history(conn, item.id)}
    assert len(items) == 30
    assert sum(not item.check for item in items) > 15
    states = {item.state for item in items}
    assert states == {"open", "corrected", "accepted", "accepted_as_is", "withdrawn"}
    assert any(item.sent_back for item in items)
    assert any(item.damaged_by_other for item in items)
    assert {"passed_on", "not_ours", "note", "sent_back"} <= acts
    assert {item.trade for item in items} == {trade.id for trade in the_seed().house.trades}


def test_nothing_in_the_seed_is_without_effect_refused_or_a_clash() -> None:
    with reader() as conn:
        assert reading.refused(conn) == []
        for item in reading.items(conn):
            for act in reading.item_history(conn, item.id):
                assert act.effect, (item.number, act.act, act.why_no_effect)
                assert not act.clash


def test_one_item_runs_the_whole_way() -> None:
    with reader() as conn:
        item = next(i for i in reading.items(conn) if i.rules == ("stair.open-gap",))
        acts = [act.act for act in reading.item_history(conn, item.id)]
        looks = [c.verdict for c in reading.checks_of_subject(conn, _subject(item.check, conn))]
        last = reading.item_history(conn, item.id)[-1]
    assert acts == ["opened", "corrected", "sent_back", "corrected", "accepted"]
    assert looks == ["fail", "fail", "pass"]
    assert last.how == "measured"
    assert last.check


def _subject(check_id: str, conn: object) -> str:
    check = reading.check(conn, check_id)  # type: ignore[arg-type]
    assert check is not None
    return check.subject


def test_the_open_stair_fails_for_the_ball_above_thirty_inches_only() -> None:
    with reader() as conn:
        first = reading.checks_of_subject(conn, "check:main-stair/stair/whole-flight")[0]
    gaps = [r for r in first.judgement["rules"] if r["rule"] == "stair.open-gap"]
    failing = [r["index"] for r in gaps if r["verdict"] == "fail"]
    assert failing == list(range(4, 14))
    assert gaps[4]["value"]["text"] == "4 1/2 in"


def test_the_air_and_the_plank_stack_have_a_history() -> None:
    with reader() as conn:
        air = reading.checks_of_subject(conn, "check:main-stair/air")
        wood = reading.checks_of_subject(conn, "check:harbor-room/wood/plank-stack")
    assert [len(look.judgement["quantities"]["day_then"]["values"]) for look in air] == [0, 1, 2, 3]
    assert [look.verdict for look in air] == ["does_not_apply", "does_not_apply", "pass", "fail"]
    drift = [look.judgement["quantities"]["drift"]["values"][0]["text"] for look in wood]
    assert drift[0] == ""
    assert drift[1].startswith("-")


def test_the_override_lets_the_slip_stair_pass_and_is_named() -> None:
    with reader() as conn:
        last = reading.checks_of_subject(conn, "check:slip-stair/stair/whole-flight")[-1]
    assert last.verdict == "pass"
    (override,) = last.judgement["overrides"]
    assert override["limit"] == "8 1/4 in"
    assert override["by"]


def test_one_entry_is_struck_through_with_a_reason() -> None:
    with reader() as conn:
        (struck,) = reading.struck(conn)
    assert struck.struck.startswith("Wrong opening")


def test_three_daily_reports_are_issued_and_one_has_a_late_entry() -> None:
    from fieldlog.reports import daily

    with reader() as conn:
        issued = [report.day for report in reading.reports_issued(conn, kind="daily")]
        monday = daily.gather(conn, the_seed().house, DAYS[0])
    assert issued == list(DAYS[:3])
    assert monday.added


def test_the_letter_is_a_draft_in_plain_words_with_three_photos() -> None:
    with reader() as conn:
        letter, _ = reading.letter(conn, "2026-03-06")
    assert letter is not None
    assert not letter.fixed
    assert len(letter.photos) == 3
    assert "Wednesday, March 4" in letter.finished
    assert "{" not in letter.finished + letter.need_from_you + letter.next_up


def test_twenty_five_photos_each_with_a_room_and_a_caption() -> None:
    with reader() as conn:
        shown = reading.photos(conn)
    assert len(shown) == 25
    assert len({photo.sha256 for photo in shown}) == 25
    assert all(photo.room and photo.caption and photo.of for photo in shown)
    assert {photo.day for photo in shown} == set(DAYS)
    drawn = {photo.scene for day in the_seed().days for e in day.entry for photo in e.photos}
    assert drawn == set(photos.SCENES)


@pytest.mark.parametrize("scene", sorted(photos.SCENES))
def test_a_scene_is_a_picture_with_light_and_dark(scene: str) -> None:
    picture = Image.open(io.BytesIO(photos.drawn(scene)))
    assert (picture.format, picture.size, picture.mode) == ("JPEG", (1200, 900), "RGB")
    low, high = picture.convert("L").resize((60, 45)).getextrema()
    assert high - low > 60


def test_a_scene_is_drawn_the_same_every_time() -> None:
    assert photos.drawn("tub-nick") == photos.drawn("tub-nick")


class TestDates:
    """The seed's days, moved to other days."""

    def calendar(self, last: date, now: datetime | None = None) -> dates.Calendar:
        late = now or datetime(2030, 1, 1, tzinfo=UTC)
        return dates.Calendar.of(DAYS, last, "America/New_York", late)

    def test_the_last_walk_is_today(self) -> None:
        moved = self.calendar(date(2026, 11, 25))
        assert [moved.day(day) for day in DAYS] == [
            "2026-11-20", "2026-11-23", "2026-11-24", "2026-11-25",
        ]  # fmt: skip

    def test_a_weekend_has_the_working_days_before_it(self) -> None:
        moved = self.calendar(date(2026, 11, 28))
        assert [moved.day(day) for day in DAYS[-2:]] == ["2026-11-27", "2026-11-28"]
        assert moved.day("2026-03-06") == "2026-11-30"

    def test_early_in_the_morning_the_last_walk_was_the_working_day_before(self) -> None:
        monday_early = datetime(2026, 11, 30, 11, 0, tzinfo=UTC)
        assert dates.last_walk(monday_early, "America/New_York") == date(2026, 11, 27)
        assert dates.last_walk(monday_early, "Europe/Berlin") == date(2026, 11, 30)

    @pytest.mark.parametrize("hour", [13, 15, 19, 23])
    def test_nothing_is_entered_in_the_future(self, hour: int) -> None:
        now = datetime(2026, 11, 25, hour, 0, tzinfo=UTC)
        moved = self.calendar(date(2026, 11, 25), now)
        times = [moved.moment("2026-03-05", at, "15:20") for at in ("7:03", "11:00", "15:20")]
        assert times == sorted(times)
        assert times[-1] <= now
        assert times[0].date().isoformat() == "2026-11-25"

    def test_a_date_in_a_text_is_said_in_words(self) -> None:
        assert self.calendar(date(2026, 11, 25)).told("by {2026-03-09}") == "by Friday, November 27"

    @pytest.mark.parametrize("day", ["2026-13-01", "tomorrow", "2026-03-05", "2027-01-01"])
    def test_a_day_that_is_none_or_not_over_is_refused(self, day: str) -> None:
        now = datetime(2026, 3, 5, 15, 0, tzinfo=UTC)
        with pytest.raises(dates.WrongDay, match=day):
            dates.asked(day, now, "America/New_York")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('day = "2026-03-02"\nentry = [{at = "7:00"}]', "one of walk, day"),
        ('day = "2026-03-02"\nentry = [{at = "7:00", walk = {}, day = {}}]', "walk, day"),
        ('day = "2026-03-02"\nentry = [{at = "7:00", wlak = {}}]', "wlak"),
        ("day = ", "2026-03-02.toml"),
    ],
)
def test_a_faulty_seed_file_is_named(tmp_path, text: str, says: str) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "walks").mkdir()
    (tmp_path / "walks" / "2026-03-02.toml").write_text(text)
    with pytest.raises(seed.SeedNotUnderstood, match=says):
        seed.read_seed(tmp_path)
