"""How the digest says a date, an amount, a food and its place.

Dates are those of the household's own calendar. Nothing here chooses what is said.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from events import edtf
from events.book import Book
from events.kinds import GRAIN
from events.lots.state import UNBOUNDED
from events.quantity import plural, show_amount
from events.readings.rotation import DAY, Use

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class Calendar:
    """A household's calendar: moments to its own dates."""

    def __init__(self, timezone: str, today: date | None = None) -> None:
        """`today`: the day that is looked at, where that is not simply the one by the clock."""
        self.zone = ZoneInfo(timezone)
        self.said_today = today

    def on(self, ms: int) -> date:
        """The date in the household at that Unix millisecond."""
        return datetime.fromtimestamp(ms / 1000, UTC).astimezone(self.zone).date()

    def day(self, ms: int) -> str:
        """The date there: “14 Aug 2026”."""
        return shown(self.on(ms))

    def clock(self, ms: int) -> str:
        """The time of day there: “18:04”."""
        return f"{datetime.fromtimestamp(ms / 1000, UTC).astimezone(self.zone):%H:%M}"

    def today(self, now_ms: int) -> date:
        """The day that is looked at."""
        return self.said_today or self.on(now_ms)

    def after(self, ms: int, offset: int | None, days: int) -> date:
        """So many days of the calendar after that moment's; no clock change shortens them.

        `offset`: minutes east where the moment was said as a date, which it then stays.
        """
        first = self.on(ms) if offset is None else date.fromisoformat(edtf.date_of(ms, offset))
        return first + timedelta(days=days)

    def between(self, low: date, high: date) -> str:
        """Both dates: “12 Feb to 14 Aug 2027”."""
        return edtf.show(f"{low}/{high}" if low != high else f"{low}")


def ends(use: Use, calendar: Calendar) -> tuple[date, date | None]:
    """The days from and to which a food keeps; None: open. Without a time for it, no day comes."""
    if use.by_maker and use.maker is not None and use.maker.at is not None:
        first, last = (None if ms is None else calendar.after(ms, 0, 0)
                       for ms in edtf.span(use.maker.at, 0))  # fmt: skip
        return first or last or date.max, last
    if use.from_ms is None:
        return date.max, None
    low = calendar.after(use.since, use.offset, (use.from_ms - use.since) // DAY)
    if use.to_ms is None:
        return low, None
    return low, calendar.after(use.since_latest, use.offset, (use.to_ms - use.since_latest) // DAY)


def shown(day: date) -> str:
    """A date: “14 Aug 2026”."""
    return edtf.show(day.isoformat())


def weekday(day: date) -> str:
    """A date with its weekday: “Sunday 22 Nov 2026”."""
    return f"{WEEKDAYS[day.weekday()]} {shown(day)}"


def so_much(n: int, low: int, high: int, unit: str) -> str:
    """What a parcel holds, in grains: “7 qt”, “about 26 (22-30) lb”, “some bunches”."""
    return show_amount(n, unit, low, None if high >= UNBOUNDED else high)


def of_food(n: int, low: int, high: int, unit: str, name: str, variety: str = "") -> str:
    """So much of a food: “84 lb apples (russet)”; what is counted in itself once: “6 eggs”."""
    much = so_much(n, low, high, unit)
    if name.casefold() in {unit.casefold(), plural(unit, 2 * GRAIN).casefold()}:
        return much
    if variety and variety.casefold() not in name.casefold():
        return f"{much} {name} ({variety})"
    return f"{much} {name}"


def place(store: str) -> str:
    """Where, as people say it: "in back-room/shelf-2"; the household itself is "somewhere"."""
    return f"in {store}" if store else "somewhere in the house"


def listed(words: Sequence[str], most: int, what: str) -> str:
    """The first of several: “a, b, c and 4 more foods”."""
    shown = ", ".join(words[:most])
    left = len(words) - most
    return (
        shown
        if left <= 0
        else f"{shown} and {left} more {what.removesuffix('s') if left == 1 else what}"
    )


class Week(NamedTuple):
    """The days that a digest is about, Unix milliseconds: after `start`, at the latest `end`."""

    start: int
    end: int

    def has(self, moment: int) -> bool:
        return self.start < moment <= self.end

    def news(self, book: Book, record: str) -> bool:
        """Whether a record is new this week: it happened in it, or was heard in it."""
        entry = book.entry(record)
        if entry is None:  # it is still on its way, or this program cannot read it
            return True
        return self.has(book.place(record)) or self.has(entry.received)
