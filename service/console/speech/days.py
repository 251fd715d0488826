"""Days and clock times in a line: what may be two of them is asked.

A date without its year is the last one, unless it would be long ago and soon comes round; an hour
up to eleven without "am" is of the morning only while the evening has not come. Nothing is guessed.
"""

import re
from datetime import date, datetime, timedelta

from events import when as told
from events.quantity import NotUnderstood
from service.console.speech.lexicon import MONTHS, PRESENT
from service.errors import NeedsChoice

_OF_MONTH = re.compile(rf"\b(?:{'|'.join(MONTHS)})\b", re.IGNORECASE)
_YEAR = re.compile(r"\b[0-9]{4}\b")
_HOUR = re.compile(
    r"(?<![0-9:])(1[01]|[1-9])(:[0-9]{2})?(?! ?[ap]m\b|[0-9:]|th|st|nd|rd)", re.IGNORECASE
)
_SPAN = re.compile(
    r"(?:from|between) (?P<first_day>.*?)(?P<first>noon|[0-9]{1,2}(?::[0-9]{2})?(?: ?[ap]m)?) "
    r"(?:to|until|till) (?P<last_day>.*?)(?P<last>noon|[0-9]{1,2}(?::[0-9]{2})?(?: ?[ap]m)?)",
    re.IGNORECASE,
)


def one_day(said: str, now: datetime) -> str:
    """The day that was said, if it is one; `now` by the household's clock on the wall."""
    if _OF_MONTH.search(said) and not _YEAR.search(said):
        _last_or_next(said, now.date())
    if ":" in said and (hour := _HOUR.search(said)):
        _morning_or_evening(said, hour, now)
    return said


_PAST = re.compile(r"yesterday|today|last|ago|this|tonight|[0-9]{4}|at [0-9]", re.IGNORECASE)


def done(verb: str, said: str) -> None:
    """A day beside a verb that may speak of what is to come is plainly past, or is asked."""
    if verb in PRESENT and not _PAST.search(said):
        raise NeedsChoice(
            f'"{verb} … {said}": is it done, or still to be done? Write it as done, with the day. '
            "Nothing was written."
        )


def _last_or_next(said: str, today: date) -> None:
    try:
        last, coming = (told.read(said, today, ahead=ahead)[:10] for ahead in (False, True))
        ago = today - date.fromisoformat(last)
        ahead_by = date.fromisoformat(coming) - today
    except (NotUnderstood, ValueError):
        return
    if timedelta() < 2 * ahead_by < ago:
        raise NeedsChoice(
            f'"{said}" was last on {last}: is that meant, or the one that comes? Write the year. '
            "Nothing was written."
        )


def _morning_or_evening(said: str, hour: "re.Match[str]", now: datetime) -> None:
    try:
        morning = datetime.fromisoformat(told.read(said, now.date()))
    except (NotUnderstood, ValueError):
        return
    if morning + timedelta(hours=12) <= now:
        raise _two_hours(hour[0], hour)


def _two_hours(said: str, hour: "re.Match[str]") -> NeedsChoice:
    minutes = hour[2] or ":00"
    return NeedsChoice(
        f'"{said}" may be in the morning or in the evening: write {int(hour[1]):02}{minutes} or '
        f"{int(hour[1]) + 12}{minutes}. Nothing was written."
    )


def between(said: str, day: str | None) -> tuple[str, str]:
    """Two moments, the day of both said beside them or with each: (from, to), to be typed.

    Raises:
        NeedsChoice: an hour may be of the morning or of the evening; it is not said on which day
            the last one was.
    """
    found = _SPAN.fullmatch(said)
    if found is None:  # the grammar reads nothing else
        raise NeedsChoice(f'"{said}" is not read as two moments. Nothing was written.')
    for one in (found["first"], found["last"]):
        if hour := _HOUR.fullmatch(one):
            raise _two_hours(one, hour)
    first, last = (_clock(found[end]) for end in ("first", "last"))
    first_day = _day(found["first_day"]) or (day or "today").removeprefix("on ")
    last_day = _day(found["last_day"])
    if not last_day and _minutes(last) <= _minutes(first):
        raise NeedsChoice(
            f'"{said}" goes over midnight: write the day with each, as in '
            f'"from yesterday {first} to today {last}". Nothing was written.'
        )
    return f"{first_day} {first}", f"{last_day or first_day} {last}"


def _day(said: str) -> str:
    return said.strip().removesuffix(" at").removeprefix("on ").strip()


def _clock(said: str) -> str:
    return "12:00" if said.casefold() == "noon" else said


def _minutes(clock: str) -> int:
    half = re.fullmatch(r"([0-9]{1,2})(?::([0-9]{2}))? ?([ap]m)?", clock.casefold())
    if half is None:
        return 0
    hours = int(half[1])
    if half[3]:
        hours = hours % 12 + (12 if half[3] == "pm" else 0)
    return hours * 60 + int(half[2] or 0)
