"""One digest falls due in each calendar week, in every zone, whatever the clocks of the house do."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.jobs.due import (
    USUAL,
    Hour,
    due_after,
    due_in,
    due_since,
    hour_of,
    monday_of,
    next_due,
    reached,
    week_of,
)

ZONES = sorted(available_timezones() - {"localtime"})
TWELVE = (
    "America/New_York", "Europe/Berlin", "Europe/London", "Australia/Lord_Howe",
    "Australia/Sydney", "America/Santiago", "Africa/Cairo", "Asia/Beirut", "America/Havana",
    "Atlantic/Azores", "America/St_Johns", "Pacific/Auckland",
)  # fmt: skip
HOUR = 3_600_000


def ms(text: str) -> int:
    return round(datetime.fromisoformat(text).timestamp() * 1000)


def wall(moment: int, zone: str) -> datetime:
    there = datetime.fromtimestamp(moment / 1000, UTC).astimezone(ZoneInfo(zone))
    return there.replace(tzinfo=None, fold=0)


@given(
    zone=st.sampled_from(ZONES),
    day=st.dates(date(1971, 1, 1), date(2037, 12, 31)),
    at=st.times().map(lambda t: t.replace(second=0, microsecond=0)),
)
def test_it_is_the_first_moment_at_which_the_clock_there_reaches_the_hour(
    zone: str, day: date, at: time
) -> None:
    wanted = datetime.combine(day, at)
    moment = reached(day, at, ZoneInfo(zone))
    assert wall(moment, zone) >= wanted
    assert wall(moment - 1, zone) < wanted
    earlier = range(moment - 30 * HOUR, moment, HOUR // 4)
    assert [m for m in earlier if wall(m, zone) >= wanted] == []


@pytest.mark.parametrize("zone", TWELVE)
def test_every_quarter_of_an_hour_of_a_year(zone: str) -> None:
    """The clock of a year, walked through: each wanted time is met when it is first shown."""
    first: dict[datetime, int] = {}
    start = ms("2026-01-01T00:00:00+00:00")
    for moment in range(start, start + 366 * 24 * HOUR, HOUR // 4):
        first.setdefault(wall(moment, zone), moment)
    tried = 0
    for shown, moment in first.items():
        ripe = shown.minute % 30 == 0 and (shown.hour < 5 or shown.hour == 18)
        if ripe and shown.date() > date(2026, 1, 2):  # the first day is not walked whole
            assert reached(shown.date(), shown.time(), ZoneInfo(zone)) == moment
            tried += 1
    assert tried > 3500


@pytest.mark.parametrize(
    ("zone", "day", "at", "moment"),
    [
        # the night on which the clock goes forward: 02:30 is left out, 03:00 comes next
        ("America/New_York", date(2026, 3, 8), time(2, 30), "2026-03-08T03:00:00-04:00"),
        ("Europe/Berlin", date(2026, 3, 29), time(2, 30), "2026-03-29T03:00:00+02:00"),
        # the night on which it goes back: the hour comes twice, and the first one counts
        ("America/New_York", date(2026, 11, 1), time(1, 30), "2026-11-01T01:30:00-04:00"),
        ("Europe/Berlin", date(2026, 10, 25), time(2, 30), "2026-10-25T02:30:00+02:00"),
        # half an hour is left out
        ("Australia/Lord_Howe", date(2026, 10, 4), time(2, 15), "2026-10-04T02:30:00+11:00"),
        # midnight itself is left out
        ("America/Santiago", date(2026, 9, 6), time(0, 0), "2026-09-06T01:00:00-03:00"),
        # a whole day is left out: Samoa had no 30 December 2011
        ("Pacific/Apia", date(2011, 12, 30), time(18, 0), "2011-12-31T00:00:00+14:00"),
        # and nothing happens
        ("Asia/Kathmandu", date(2026, 3, 29), time(2, 30), "2026-03-29T02:30:00+05:45"),
    ],
)
def test_nights_by_name(zone: str, day: date, at: time, moment: str) -> None:
    assert reached(day, at, ZoneInfo(zone)) == ms(moment)


def ticks(zone: str, hour: Hour, start: int, end: int, every: int) -> list[str]:
    """What a program that looks now and then settles, week after week."""
    settled: list[str] = []
    for now in range(start, end, every):
        last = settled[-1] if settled else None
        come = (
            due_since(start, now, hour, ZoneInfo(zone))
            if last is None
            else due_after(last, now, hour, ZoneInfo(zone))
        )
        settled += [one.week for one in come]
    return settled


def test_5000_household_weeks_none_missing_none_twice() -> None:
    start = ms("2025-12-28T23:00:00+00:00")
    end = start + 53 * 7 * 24 * HOUR
    weeks = 0
    for zone in TWELVE:
        for n, at in enumerate((time(0, 30), time(1, 30), time(2, 30), time(3))):
            for hour in (Hour(6, at), Hour(5, at)):
                settled = ticks(zone, hour, start, end, (5 + 4 * n) * HOUR)
                wanted = [
                    week
                    for k in range(-1, 54)
                    if start < due_in(week := week_of(date(2025, 12, 29) + timedelta(days=7 * k)),
                                      hour, ZoneInfo(zone)).ms <= end - 24 * HOUR
                ]  # fmt: skip
                assert settled[: len(wanted)] == wanted, (zone, hour)
                assert len(settled) == len(set(settled))
                weeks += len(settled)
    assert weeks >= 5000


@given(
    zones=st.lists(st.sampled_from(ZONES), min_size=2, max_size=5),
    weekdays=st.lists(st.integers(0, 6), min_size=5, max_size=5),
    gaps=st.lists(st.integers(1, 24 * 12), min_size=5, max_size=40),
)
def test_a_household_that_moves_zone_and_day_has_each_week_once(
    zones: list[str], weekdays: list[int], gaps: list[int]
) -> None:
    """Wherever it is and whatever its day, no week is left out and none comes twice."""
    now = ms("2026-01-05T00:00:00+00:00")
    settled = ["2026-W01"]
    for n, gap in enumerate(gaps):
        now += gap * HOUR
        hour = Hour(weekdays[n % 5], time(18))
        zone = ZoneInfo(zones[n % len(zones)])
        settled += [one.week for one in due_after(settled[-1], now, hour, zone)]
    mondays = [monday_of(week) for week in settled]
    assert mondays == [mondays[0] + timedelta(days=7 * k) for k in range(len(mondays))]


def test_a_household_that_moves_from_auckland_to_los_angeles_is_told_once() -> None:
    sunday = ms("2026-11-22T18:00:00+13:00")
    first = due_after("2026-W46", sunday, USUAL, ZoneInfo("Pacific/Auckland"))
    assert [one.week for one in first] == ["2026-W47"]
    there = ZoneInfo("America/Los_Angeles")
    evening = ms("2026-11-22T18:00:00-08:00")
    assert due_after("2026-W47", evening, USUAL, there) == []
    assert due_after("2026-W47", evening + 7 * 24 * HOUR, USUAL, there)[0].week == "2026-W48"


def test_a_new_reader_waits_for_the_next_hour() -> None:
    zone = ZoneInfo("Europe/London")
    joined = ms("2026-11-22T18:00:00+00:00")
    assert due_since(joined, joined, USUAL, zone) == []
    assert due_since(joined - 1, joined, USUAL, zone)[0].week == "2026-W47"
    assert next_due(joined, USUAL, zone).day == date(2026, 11, 29)
    assert next_due(joined - 1, USUAL, zone).day == date(2026, 11, 22)


@pytest.mark.parametrize(
    ("typed", "hour"),
    [
        ("Sunday 18:00", Hour(6, time(18))),
        ("sun 7:30", Hour(6, time(7, 30))),
        ("  FRIDAY   00:00 ", Hour(4, time(0))),
    ],
)
def test_an_hour_as_people_write_it(typed: str, hour: Hour) -> None:
    assert hour_of(typed) == hour
    assert hour_of(str(hour)) == hour


@pytest.mark.parametrize("typed", ["", "Sunday", "18:00", "t 18:00", "Sunday 24:00", "Sun 9:60"])
def test_an_hour_that_is_none_is_said(typed: str) -> None:
    with pytest.raises(ValueError, match="write it like Sunday 18:00"):
        hour_of(typed)
