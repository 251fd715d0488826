"""Plain words that the looks share: who, where, on which device, when.

Times are told by the clock of the zone that is passed in; a calendar date is told as it was said,
whatever the zone. Names are the household's own; nothing here looks anything up elsewhere.
"""

from datetime import UTC, datetime, tzinfo

from events.book import Book
from events.edtf import show, span

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(ms: int, zone: tzinfo) -> str:
    """The day of a moment: "Tue 18 Aug 2026"."""
    return _day(datetime.fromtimestamp(ms // 1000, UTC).astimezone(zone))


def _day(when: datetime) -> str:
    return f"{WEEKDAYS[when.weekday()]} {when.day} {MONTHS[when.month - 1]} {when.year}"


def moment(ms: int, zone: tzinfo, year_of: int | None = None) -> str:
    """A moment: "Tue 18 Aug 2026 18:04"; the year left off where it is that of `year_of`."""
    when = datetime.fromtimestamp(ms // 1000, UTC).astimezone(zone)
    told = f"{_day(when)} {when:%H:%M}"
    if year_of is not None:
        then = datetime.fromtimestamp(year_of // 1000, UTC).astimezone(zone)
        if then.year == when.year:
            return told.replace(f" {when.year} ", " ")
    return told


def happened(at: str, offset: int, zone: tzinfo) -> str:
    """When something happened, as said: a clock time in the zone, a date with its weekday."""
    bare = at.rstrip("~?%")
    if "/" in at or bare != at:
        return show(at)
    start, _ = span(at, offset)
    if start is None or len(at) < len("2026-08-14") or "X" in at:
        return show(at)
    if "T" in at:
        return moment(start, zone)
    return _day(datetime.fromtimestamp((start + offset * 60_000) // 1000, UTC))


def who(by: str | None) -> str:
    """A member in a sentence: a role ("cook") gets its article, a name does not."""
    if by is None:
        return "somebody"
    return f"the {by}" if by[:1].islower() else by


def device_name(book: Book, device: str) -> str:
    """What the household calls a device."""
    return book.settings.devices.get(device, {}).get("name") or device


def store_name(store: str) -> str:
    """A store in a sentence; the root of them all has no name of its own."""
    return store or "the household at large"
