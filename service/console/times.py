"""From what a person types to when a deed happened.

`--on` is a calendar date and stays one: it is never turned into a midnight. `--at` is an instant,
with the household's own offset where the typed one has none. A deed is logged when it has
happened: a day to come is refused.
"""

import re
from argparse import Namespace

from msgspec import Struct

from events import edtf
from service.clock import Clock
from service.errors import WrongUse, of_typed
from service.looks.days import day, end_of, last_day, local, today

__all__ = ["When", "day", "deed", "end_of", "has_come", "instant", "last_day", "local", "today"]

LEEWAY_MS = 10 * 60_000
"""How far ahead of this device's clock a time may lie: clocks differ by minutes."""

INSTANT = r"(?:(?P<day>\d{4}-\d{2}-\d{2})[T ]\s*)?(?P<clock>\d{1,2}:\d{2}(?::\d{2})?)\s*(?P<zone>Z|[+-]\d{2}:\d{2})?"


class When(Struct, frozen=True):
    """When a deed happened, in EDTF, and what the person typed; `at` None: now, by the clock."""

    at: str | None = None
    typed: str | None = None


def deed(args: Namespace, clock: Clock, zone: str) -> When:
    """What `--on` or `--at` say of a deed."""
    if args.on is not None and args.at is not None:
        raise WrongUse("--on says the day and --at the moment: give one of them.")
    typed = args.on if args.on is not None else args.at
    if typed is None:
        return When()
    at = day(args.on, clock, zone) if args.on is not None else instant(args.at, clock, zone)
    has_come(at, typed, clock, zone)
    return When(at=at, typed=" ".join(typed.split()))


def instant(typed: str, clock: Clock, zone: str) -> str:
    """A moment as typed ("18:04", "yesterday 17:30", with an offset or without), in EDTF."""
    found = re.fullmatch(INSTANT, typed.strip()) or re.fullmatch(INSTANT, _told(typed, clock, zone))
    if found is None:
        raise WrongUse(f'--at "{typed}" is not a moment: write it like 2026-08-14T18:04 or 18:04.')
    on = found["day"] or today(clock, zone).isoformat()
    text = f"{on}T{found['clock'].zfill(5 if found['clock'].count(':') == 1 else 8)}"
    east = found["zone"]
    try:
        if east is None:
            ms, _ = edtf.span(text, 0)
            east = _spelled(clock.offset(_reached(ms), zone))
        edtf.span(text + east, 0)
    except ValueError as error:
        raise WrongUse(f'--at "{typed}" cannot be: {error}') from error
    return text + east


def _told(typed: str, clock: Clock, zone: str) -> str:
    """A moment told in words ("7pm", "yesterday 17:30", "6 Sep 21:10"); nothing where it is none."""
    from events import when
    from events.quantity import NotUnderstood, TwoWays

    try:
        return when.read(typed, today(clock, zone))
    except TwoWays as error:
        raise of_typed(error) from error
    except NotUnderstood:
        return ""


def _reached(ms: int | None) -> int:
    if ms is None:
        raise WrongUse("A moment has no open end.")
    return ms


def _spelled(minutes_east: int) -> str:
    sign = "-" if minutes_east < 0 else "+"
    hours, minutes = divmod(abs(minutes_east), 60)
    return f"{sign}{hours:02d}:{minutes:02d}"


def has_come(at: str, typed: str, clock: Clock, zone: str) -> None:
    """A deed is logged when it has happened: WrongUse for what begins later than now."""
    now = clock.now_ms()
    earliest, _ = edtf.span(at, clock.offset(now, zone))
    if earliest is not None and earliest > now + LEEWAY_MS:
        raise WrongUse(
            f'"{typed}" has not come yet (today is {today(clock, zone).isoformat()}): '
            "a deed is logged when it has happened."
        )
