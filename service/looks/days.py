"""From a day as typed to the day and the moment that a look looks at.

A date stays one: it is never turned into a midnight. What is not understood is `WrongUse`; what
may be two days is `NeedsChoice`.
"""

from datetime import UTC, date, datetime, timedelta, timezone

from events import edtf
from events.quantity import NotUnderstood
from service.clock import Clock
from service.errors import WrongUse, of_typed

QUARTER_MS = 91 * 86_400_000


def today(clock: Clock, zone: str) -> date:
    """The household's calendar day."""
    now = clock.now_ms()
    return local(now, clock.offset(now, zone)).date()


def local(ms: int, minutes_east: int) -> datetime:
    """A moment by the household's clock on the wall."""
    there = timezone(timedelta(minutes=minutes_east))
    return datetime.fromtimestamp(ms / 1000, UTC).astimezone(there)


def day(typed: str, clock: Clock, zone: str, *, ahead: bool = False) -> str:
    """A date as typed, in EDTF; without a year the last one, or the next one `ahead`."""
    from events import when

    try:
        return when.read(typed, today(clock, zone), ahead=ahead)
    except NotUnderstood as error:
        raise of_typed(error) from error


def last_day(typed: str, clock: Clock, zone: str) -> date:
    """The day that a look is about: of several, the last one."""
    last = edtf.span(day(typed, clock, zone), 0)[1]
    if last is None:
        raise WrongUse(f'"{typed}" has no end: write one day.')
    return date.fromisoformat(edtf.date_of(last, 0))


def end_of(typed: str, clock: Clock, zone: str) -> int:
    """The last moment of the day that a look is about, Unix ms.

    A record's date ends by the offset of the day on which it was written, in summer or in winter:
    the day that is looked at ends when both have.
    """
    at = day(typed, clock, zone)
    ends = [latest for _, latest in [edtf.span(at, 0)] if latest is not None]
    if not ends:
        raise WrongUse(f'"{typed}" has no end: write one day.')
    around = (ends[0] + quarter * QUARTER_MS for quarter in range(-2, 3))
    spans = [edtf.span(at, clock.offset(ms, zone)) for ms in around]
    return max(latest for _, latest in spans if latest is not None)
