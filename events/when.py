"""When something happened, in the words in which it is told: "last Sunday", "yesterday evening".

Whatever else is a date is read by `dates`. What is told by a part of the day is an interval and not
a moment: nobody said the hour. The bounds of the parts are our own, and wide. The rule is that of
`dates`: what may be two days is listed, never guessed; whoever asks says what day it is.
"""

import re
from datetime import date, timedelta

from events import dates, edtf
from events.quantity import NotUnderstood, TwoWays

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

BOUNDS = {
    "morning": ("04:00", "11:59"),
    "afternoon": ("12:00", "17:59"),
    "evening": ("17:00", "23:59"),
}
"""First and last minute of a part of the day; a night reaches into the next day."""

NIGHT = ("18:00", "05:59")

_WHOLE = {
    "tonight": "today night",
    "last night": "yesterday night",
    "last evening": "yesterday evening",
    "this morning": "today morning",
    "this afternoon": "today afternoon",
    "this evening": "today evening",
}
_PART = re.compile(r"(.+?) (?:in the |at )?(morning|afternoon|evening|night)")
_LAST_DAY = re.compile(rf"last ({'|'.join(WEEKDAYS)})")
_OF_MONTH = re.compile(r"(?:the )?([0-9]{1,2})(?:st|nd|rd|th)")
_CLOCK = re.compile(r"(?:at )?([0-9]{1,2}:[0-9]{2}(?: ?[ap]m)?|[0-9]{1,2} ?[ap]m)")
_AGO = re.compile(r"(one|two|three|four|five|six|seven|eight|nine|ten) ((?:day|week)s? ago)")
_FIGURES = {word: str(n) for n, word in enumerate(
    ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"), 1)}  # fmt: skip


def read(typed: str, today: date, *, ahead: bool = False) -> str:
    """EDTF for when something happened, as a person tells it.

    A day without its month or year is the last one up to `today`; with `ahead`, the next one.

    Raises:
        TwoWays: it has several meanings, which are listed.
        NotUnderstood: one sentence with what was read.
    """
    text = " ".join(typed.casefold().split()).removeprefix("on ")
    text = _WHOLE.get(text, text)
    if part := _PART.fullmatch(text):
        day = _day(part[1], typed, today, ahead=ahead)
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", day):
            raise NotUnderstood(f"“{typed}” does not say which day: {dates.HOW_TO}.")
        return _part_of(day, part[2])
    return _day(text, typed, today, ahead=ahead)


def _part_of(day: str, part: str) -> str:
    if part == "night":
        after = date.fromisoformat(day) + timedelta(days=1)
        return f"{day}T{NIGHT[0]}/{after.isoformat()}T{NIGHT[1]}"
    first, last = BOUNDS[part]
    return f"{day}T{first}/{day}T{last}"


def _day(text: str, typed: str, today: date, *, ahead: bool) -> str:
    if named := _LAST_DAY.fullmatch(text):
        return _last(WEEKDAYS.index(named[1]), typed, today)
    if figure := _OF_MONTH.fullmatch(text):
        return _of_month(int(figure[1]), typed, today, ahead=ahead)
    if text == "last month":
        return (today.replace(day=1) - timedelta(days=1)).isoformat()[:7]
    if clock := _CLOCK.fullmatch(text):
        return dates.read(f"today at {clock[1]}", today)
    if ago := _AGO.fullmatch(text):
        return dates.read(f"{_FIGURES[ago[1]]} {ago[2]}", today)
    return dates.read(text if text != typed.casefold().strip() else typed, today, ahead=ahead)


def _last(weekday: int, typed: str, today: date) -> str:
    """The last such day before today; in the week that is still going on it may be meant otherwise."""
    day = today - timedelta(days=(today.weekday() - weekday - 1) % 7 + 1)
    if today - day <= timedelta(days=today.weekday()):
        before = day - timedelta(days=7)
        said = f"{edtf.show(day.isoformat())} or {edtf.show(before.isoformat())}"
        raise TwoWays(f"“{typed}” may be {said}: write {day.isoformat()} or {before.isoformat()}.")
    return day.isoformat()


def _of_month(figure: int, typed: str, today: date, *, ahead: bool) -> str:
    """The last such day up to today, or the next one from today on."""
    for back in range(62):
        day = today + timedelta(days=back if ahead else -back)
        if day.day == figure:
            return day.isoformat()
    raise NotUnderstood(f"“{typed}” is no day of a month: {dates.HOW_TO}.")
