"""When a household's digest comes due: one moment in each calendar week, whatever its clocks do.

Pure: the zone's own rules and "now" are handed in. A week is an ISO week (it begins on Monday), so a
household that changes its day, its hour or its zone still has one digest in each. The moment is the
first at which the wall clock there reaches the hour: of an hour that comes twice the earlier one, of
an hour that is left out the first moment after the gap.
"""

import re
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import NamedTuple

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MS = timedelta(milliseconds=1)

_HOUR = re.compile(r"([a-z]+) ([0-9]{1,2}):([0-9]{2})")


class Hour(NamedTuple):
    """A household's own hour. `weekday`: 0 is Monday."""

    weekday: int
    at: time

    def __str__(self) -> str:  # type: ignore[explicit-override]
        return f"{WEEKDAYS[self.weekday]} {self.at:%H:%M}"


USUAL = Hour(6, time(18))
"""Sunday evening, where the household said nothing: the week's list is read before the week."""


class Due(NamedTuple):
    """A week's digest: the week (“2026-W47”), the day on the household's calendar, Unix ms."""

    week: str
    day: date
    ms: int


def hour_of(typed: str) -> Hour:
    """The hour as a person writes it: “Sunday 18:00”, “sun 7:30”.

    Raises:
        ValueError: one sentence with what was read and how to write it.
    """
    read = _HOUR.fullmatch(" ".join(typed.casefold().split()))
    days = [n for n, name in enumerate(WEEKDAYS) if read and name.casefold().startswith(read[1])]
    if read is None or len(days) != 1 or int(read[2]) > 23 or int(read[3]) > 59:
        raise ValueError(f'"{typed}" is no hour of the week: write it like Sunday 18:00.')
    return Hour(days[0], time(int(read[2]), int(read[3])))


def reached(day: date, at: time, zone: tzinfo) -> int:
    """Unix ms of the first moment at which the wall clock in `zone` reaches that time."""
    wanted = datetime.combine(day, at)
    before = _ms(wanted.replace(tzinfo=zone, fold=1))
    reached_at = _ms(wanted.replace(tzinfo=zone, fold=0))
    if _wall(reached_at, zone) == wanted:
        return reached_at
    while reached_at - before > 1:  # the hour is left out: the moment at which the clock jumps
        middle = (before + reached_at) // 2
        if _wall(middle, zone) >= wanted:
            reached_at = middle
        else:
            before = middle
    return reached_at


def week_of(day: date) -> str:
    """The ISO week of a day: “2026-W47”."""
    year, week, _ = day.isocalendar()
    return f"{year:04d}-W{week:02d}"


def monday_of(week: str) -> date:
    """The first day of a week written like “2026-W47”. ValueError if it is none."""
    return datetime.strptime(f"{week}-1", "%G-W%V-%u").replace(tzinfo=UTC).date()


def due_in(week: str, hour: Hour, zone: tzinfo) -> Due:
    """When that week's digest comes due."""
    day = monday_of(week) + timedelta(days=hour.weekday)
    return Due(week, day, reached(day, hour.at, zone))


def due_since(since_ms: int, now_ms: int, hour: Hour, zone: tzinfo) -> list[Due]:
    """Every week's digest that came due after `since_ms`, at the latest at `now_ms`, in order."""
    return [one for one in _from(_wall(since_ms, zone).date(), now_ms, hour, zone)
            if one.ms > since_ms]  # fmt: skip


def due_after(week: str, now_ms: int, hour: Hour, zone: tzinfo) -> list[Due]:
    """Every week's digest after that week's, that has come due at `now_ms`, in order."""
    return _from(monday_of(week) + timedelta(days=7), now_ms, hour, zone)


def next_due(now_ms: int, hour: Hour, zone: tzinfo) -> Due:
    """The first that comes due after `now_ms`."""
    week = week_of(_wall(now_ms, zone).date())
    one = due_in(week, hour, zone)
    while one.ms <= now_ms:
        one = due_in(week_of(monday_of(one.week) + timedelta(days=7)), hour, zone)
    return one


def _from(day: date, now_ms: int, hour: Hour, zone: tzinfo) -> list[Due]:
    found = []
    one = due_in(week_of(day), hour, zone)
    while one.ms <= now_ms:
        found.append(one)
        one = due_in(week_of(monday_of(one.week) + timedelta(days=7)), hour, zone)
    return found


def _ms(moment: datetime) -> int:
    return (moment.astimezone(UTC) - EPOCH) // MS


def _wall(ms: int, zone: tzinfo) -> datetime:
    """What the wall clock shows, without its zone."""
    return (EPOCH + ms * MS).astimezone(zone).replace(tzinfo=None, fold=0)
