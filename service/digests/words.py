"""How the digest says a date, an amount, a food and its place.

Dates are those of the household's own calendar. Nothing here chooses what is said.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from events import edtf
from events.lots.state import UNBOUNDED
from events.quantity import show_amount

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class Calendar:
    """A household's calendar: moments to its own dates."""

    def __init__(self, timezone: str) -> None:
        self.zone = ZoneInfo(timezone)

    def date(self, ms: int) -> date:
        """The date in the household at that Unix millisecond."""
        return datetime.fromtimestamp(ms / 1000, UTC).astimezone(self.zone).date()

    def day(self, ms: int) -> str:
        """The date there: “14 Aug 2026”."""
        return edtf.show(self.date(ms).isoformat())

    def weekday(self, ms: int) -> str:
        """The date there with its weekday: “Sunday 22 Nov 2026”."""
        return f"{WEEKDAYS[self.date(ms).weekday()]} {self.day(ms)}"

    def between(self, low: int, high: int) -> str:
        """Both dates: “12 Feb to 14 Aug 2027”."""
        first, last = self.date(low).isoformat(), self.date(high).isoformat()
        if first == last:
            return edtf.show(first)
        return edtf.show(f"{first}/{last}")


def so_much(n: int, low: int, high: int, unit: str) -> str:
    """What a parcel holds, in grains: “7 qt”, “about 26 (22-30) lb”, “some bunches”."""
    return show_amount(n, unit, low, None if high >= UNBOUNDED else high)


def food(name: str, variety: str) -> str:
    """A food and its variety: “apples (russet)”."""
    if not variety or variety.casefold() in name.casefold():
        return name
    return f"{name} ({variety})"


def place(store: str) -> str:
    """Where, as people say it: "in back-room/shelf-2"; the household itself is "somewhere"."""
    return f"in {store}" if store else "somewhere in the house"


def listed(words: Sequence[str], most: int, what: str) -> str:
    """The first of several: “a, b, c and 4 more foods”."""
    shown = ", ".join(words[:most])
    left = len(words) - most
    return shown if left <= 0 else f"{shown} and {left} more {what}"
