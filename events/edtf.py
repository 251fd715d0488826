"""When something happened, in EDTF (ISO 8601-2): the moments that a text allows, and plain words.

Read here: an instant to the minute, second or fraction of one, with its own offset, Z or none; a
calendar date; a month; a year; a season; digits nobody knows (`202X`, `2024-XX`); an interval, also
open at an end; each with `~`, `?` or `%` behind it. Not here: what people type (`dates`), time
zones, and "now".

The rule: a calendar date stays a date. Nothing is turned into a midnight; a span is the first and
the last millisecond that the text allows, both included, and the text itself is what is kept.
"""

import re
from functools import lru_cache

MINUTE = 60_000
DAY = 86_400_000

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SEASONS = {21: ("spring", 3), 22: ("summer", 6), 23: ("autumn", 9), 24: ("winter", 12)}
"""EDTF's numbers for seasons: name, first month. ISO 8601-2 leaves their months open; here each is
three whole months as north of the equator, winter reaching into the next year: approximate."""

HOW_TO = "write it like 2026-08-14, 2026-08, 2026 or 2026-08-01/2026-08-20"

_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_CLOCK = re.compile(r"([0-9]{2}):([0-9]{2})(?::([0-9]{2})(?:\.([0-9]{1,9}))?)?")
_ZONE = re.compile(r"([+-])([0-9]{2})(?::([0-9]{2}))?")
_COARSE = re.compile(r"([0-9]{2}XX|[0-9]{3}X|[0-9]{4})(?:-([0-9]{2}|XX)(-XX)?)?")

Span = tuple[int | None, int | None]


def day_number(year: int, month: int, day: int) -> int:
    """Days from 1970-01-01, by the Gregorian calendar; `month` 13 is January of the next year."""
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    shifted = year - (month <= 2)
    of_year = (153 * (month + (-3 if month > 2 else 9)) + 2) // 5 + day - 1
    return 365 * shifted + shifted // 4 - shifted // 100 + shifted // 400 + of_year - 719_468


def calendar(number: int) -> tuple[int, int, int]:
    """Year, month and day of a day's number: the way back from `day_number`."""
    number += 719_468
    era, of_era = divmod(number, 146_097)
    of_era_year = (of_era - of_era // 1460 + of_era // 36_524 - of_era // 146_096) // 365
    of_year = of_era - (365 * of_era_year + of_era_year // 4 - of_era_year // 100)
    shifted = (5 * of_year + 2) // 153
    month = shifted + (3 if shifted < 10 else -9)
    return of_era_year + 400 * era + (month <= 2), month, of_year - (153 * shifted + 2) // 5 + 1


def days_in(year: int, month: int) -> int:
    return day_number(year, month + 1, 1) - day_number(year, month, 1)


def _day(text: str) -> int:
    """Milliseconds from 1970 to the beginning of that date, as if at offset nought."""
    read = _DATE.fullmatch(text)
    if read is None:
        raise ValueError(f"“{text}” is not a date: {HOW_TO}.")
    year, month, day = map(int, read.groups())
    if year == 0 or not 1 <= month <= 12:
        raise ValueError(f"“{text}” is not a date, it has no such year or month: {HOW_TO}.")
    if not 1 <= day <= days_in(year, month):
        raise ValueError(f"“{text}” is not a date, {MONTHS[month - 1]} {year} has no day {day}.")
    return day_number(year, month, day) * DAY


def _clock(text: str) -> int:
    """Milliseconds from the beginning of the day: 18:04, 18:04:31, 18:04:31.5."""
    read = _CLOCK.fullmatch(text)
    if read is None or int(read[1]) > 23 or int(read[2]) > 59 or int(read[3] or 0) > 59:
        raise ValueError(f"“{text}” is not a time of day: write it like 18:04 or 18:04:31.")
    fraction = (read[4] or "")[:3].ljust(3, "0")
    return (
        int(read[1]) * 3_600_000 + int(read[2]) * MINUTE + int(read[3] or 0) * 1000 + int(fraction)
    )


def _zone(text: str) -> int:
    """Milliseconds east of UTC: Z, +01:00, -07."""
    if text == "Z":
        return 0
    read = _ZONE.fullmatch(text)
    if read is None or int(read[2]) > 23 or int(read[3] or 0) > 59:
        raise ValueError(f"“{text}” is not an offset from UTC: write it like +01:00 or Z.")
    east = int(read[2]) * 60 + int(read[3] or 0)
    return (-east if read[1] == "-" else east) * MINUTE


class _Days(dict[str, int]):
    """Dates already worked out; a replay meets the same few hundred again and again."""

    def __missing__(self, text: str) -> int:
        if len(self) > 50_000:
            self.clear()
        self[text] = start = _day(text)
        return start


class _Clocks(dict[str, int]):
    """Times of day already worked out."""

    def __missing__(self, text: str) -> int:
        if len(self) > 90_000:
            self.clear()
        self[text] = since = _clock(text)
        return since


class _Zones(dict[str, int]):
    """Offsets already worked out; there are at most a few thousand."""

    def __missing__(self, text: str) -> int:
        self[text] = east = _zone(text)
        return east


_days = _Days()
_clocks = _Clocks()
_zones = _Zones()


@lru_cache(4096)  # whoever takes in a record asks some four times
def span(text: str, offset: int) -> Span:
    """First and last Unix millisecond that `text` allows, both included.

    `offset`: minutes east of UTC, for what names none of its own. None: open on that end. `~`, `?`
    and `%` say how sure somebody was; EDTF gives them no breadth, so they widen nothing.

    Raises:
        ValueError: the text is none of the forms above; its words say what to write.
    """
    size = len(text)
    try:
        if size == 10:
            first = _days[text] - offset * MINUTE
            return first, first + 86_399_999
        if size > 15 and text[10] == "T":
            if text[16:17] == ":":
                clock, zone, breadth = text[11:19], text[19:], 999
            else:
                clock, zone, breadth = text[11:16], text[16:], 59_999
            east = _zones[zone] if zone else offset * MINUTE
            first = _days[text[:10]] + _clocks[clock] - east
            return first, first + breadth
    except ValueError:
        pass
    return _interval(text, offset) if "/" in text else _one(text, offset)


def _interval(text: str, offset: int) -> Span:
    ends = text.split("/")
    if len(ends) != 2 or all(end in ("", "..") for end in ends):
        raise ValueError(f"“{text}” is not from one date to another: {HOW_TO}.")
    first = None if ends[0] in ("", "..") else _one(ends[0], offset)[0]
    last = None if ends[1] in ("", "..") else _one(ends[1], offset)[1]
    if first is not None and last is not None and last < first:
        raise ValueError(f"“{text}” ends before it begins: write the earlier date first.")
    return first, last


def _one(text: str, offset: int) -> tuple[int, int]:
    """One moment, date, month, year or season, with how sure behind it."""
    bare = text[:-1] if text[-1:] in ("~", "?", "%") else text
    if "T" in bare:
        return _instant(bare, offset)
    if _DATE.fullmatch(bare):
        first = _days[bare] - offset * MINUTE
        return first, first + DAY - 1
    start, end = _coarse(bare)
    return start * DAY - offset * MINUTE, end * DAY - offset * MINUTE - 1


def _instant(text: str, offset: int) -> tuple[int, int]:
    day, _, rest = text.partition("T")
    sign = re.search(r"[Z+-]", rest)
    clock, zone = (rest[: sign.start()], rest[sign.start() :]) if sign else (rest, "")
    east = _zones[zone] if zone else offset * MINUTE
    first = _day(day) + _clock(clock) - east
    return first, first + _breadth(clock) - 1


def _breadth(clock: str) -> int:
    """How many milliseconds a time of day leaves open, by how exactly it is written."""
    if len(clock) == 5:
        return MINUTE
    digits = max(0, len(clock) - len("18:04:31."))
    return (1000, 100, 10, 1)[min(digits, 3)]


def _coarse(text: str) -> tuple[int, int]:
    """Numbers of the first day, and of the day after the last, of a year, month or season."""
    read = _COARSE.fullmatch(text)
    if read is None or (read[3] and not read[2]):
        raise ValueError(f"“{text}” is not a date that can be read: {HOW_TO}.")
    earliest, latest = int(read[1].replace("X", "0")), int(read[1].replace("X", "9"))
    if latest == 0 or (earliest != latest and read[2]):
        raise ValueError(f"“{text}” has no year that can be read: {HOW_TO}.")
    if read[2] in (None, "XX"):
        return day_number(max(earliest, 1), 1, 1), day_number(latest + 1, 1, 1)
    month = int(read[2])
    if month in SEASONS and not read[3]:
        start = SEASONS[month][1]
        return day_number(earliest, start, 1), day_number(earliest, start + 3, 1)
    if not 1 <= month <= 12:
        raise ValueError(f"“{text}” has no such month or season: {HOW_TO}.")
    return day_number(earliest, month, 1), day_number(earliest, month + 1, 1)


def day_ms(date_text: str, offset: int) -> int:
    """The Unix millisecond with which that calendar date begins at `offset` minutes east."""
    return _days[date_text] - offset * MINUTE


def date_of(ms: int, offset: int) -> str:
    """The calendar date at that millisecond, `offset` minutes east of UTC: 2026-08-14."""
    year, month, day = calendar((ms + offset * MINUTE) // DAY)
    return f"{year:04}-{month:02}-{day:02}"


def instant(ms: int, offset: int) -> str:
    """A millisecond as an instant to the second, with its offset: 2026-08-14T18:04:31-07:00."""
    seconds = (ms + offset * MINUTE) % DAY // 1000
    east = f"{'-' if offset < 0 else '+'}{abs(offset) // 60:02}:{abs(offset) % 60:02}"
    clock = f"{seconds // 3600:02}:{seconds % 3600 // 60:02}:{seconds % 60:02}"
    return f"{date_of(ms, offset)}T{clock}{east if offset else 'Z'}"


def show(text: str) -> str:
    """`text` in plain words: "14 Aug 2026, 18:04", "about Aug 2026", "1 to 20 Aug 2026".

    An instant is shown by the clock of the place where it was written. A text that cannot be read
    is shown as it stands.
    """
    try:
        span(text, 0)
    except ValueError:
        return text
    if "/" not in text:
        return _said(text)
    first, last = text.split("/")
    if first == last:
        return _said(first)
    if first in ("", ".."):
        return f"up to {_said(last)}"
    if last in ("", ".."):
        return f"from {_said(first)}"
    return f"{_without_same(_said(first), _said(last))} to {_said(last)}"


def _said(text: str) -> str:
    sure = {"~": "about ", "?": "perhaps ", "%": "perhaps about "}.get(text[-1], "")
    bare = text[:-1] if sure else text
    day, _, clock = bare.partition("T")
    year, *rest = day.split("-")
    if year.endswith("X"):
        return f"{sure}the {year.replace('X', '0')}s"
    parts = [year]
    if rest and rest[0] != "XX":
        month = int(rest[0])
        parts.insert(0, SEASONS[month][0] if month in SEASONS else MONTHS[month - 1])
    if len(rest) > 1 and rest[1] != "XX":
        parts.insert(0, str(int(rest[1])))
    return f"{sure}{' '.join(parts)}{f', {clock[:5]}' if clock else ''}"


def _without_same(first: str, last: str) -> str:
    """`first` without the month and year that `last` says again; only where both are plain."""
    if "," in first + last or "about" in first + last or "perhaps" in first + last:
        return first
    ours, theirs = first.split(" "), last.split(" ")
    while len(ours) > 1 and len(theirs) > 1 and ours[-1] == theirs[-1]:
        ours.pop()
        theirs.pop()
    return " ".join(ours)
