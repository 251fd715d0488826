"""When to dig how much: one day a week, as many loads as are put up in a week, before the bed's end.

As late as may be, for food keeps best where it grows: counted back from the day before the end, past
days on which the ground is closed. What does not fit any more is said, not squeezed in. It plans and
writes nothing.
"""

from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from math import ceil

from msgspec import Struct

WEEK = 7


class Digging(Struct, frozen=True):
    """So many loads on a day, and how much that is in the lot's unit."""

    day: date
    loads: int
    n: Fraction


class Plan(Struct, frozen=True, kw_only=True):
    """The diggings in order of time."""

    days: tuple[Digging, ...]
    loads: int
    """all of them, the last one perhaps not full"""
    short: int
    """loads for which no week is left before the end"""
    n_short: Fraction
    by: date | None


def plan(
    amount: Fraction, load: Fraction, a_week: int, today: date, by: date | None,
    reachable: Callable[[date], bool],
) -> Plan:  # fmt: skip
    """Diggings for `amount` in loads of `load`, `a_week` of them (both above nought), before `by`.

    Without an end, or with one that is past, from today on.
    """
    loads = ceil(amount / load)
    weeks = ceil(Fraction(loads, a_week))
    if by is None or by <= today:
        days = _onwards(today, weeks, reachable)
    else:
        days = _back(today, by - timedelta(days=1), weeks, reachable)
    short = max(0, loads - len(days) * a_week)
    left, left_n, told = loads - short, amount, []
    for i, day in enumerate(reversed(days)):
        here = min(a_week, left)
        n = min(left_n, here * load) if i < len(days) - 1 or short else left_n
        told.append(Digging(day, here, n))
        left, left_n = left - here, left_n - n
    return Plan(days=tuple(reversed(told)), loads=loads, short=short,
                n_short=left_n if short else Fraction(0), by=by)  # fmt: skip


def _onwards(today: date, weeks: int, reachable: Callable[[date], bool]) -> list[date]:
    days: list[date] = []
    day = today
    for _ in range(weeks):
        found = next((d for d in _days(day, 1, YEAR) if reachable(d)), None)
        if found is None:
            break
        days.append(found)
        day = found + timedelta(days=WEEK)
    return days


def _back(
    today: date, last: date, weeks: int, reachable: Callable[[date], bool]
) -> list[date]:  # fmt: skip
    days: list[date] = []
    day = last
    while len(days) < weeks and day >= today:
        found = next((d for d in _days(day, -1, (day - today).days + 1) if reachable(d)), None)
        if found is None:
            break
        days.append(found)
        day = found - timedelta(days=WEEK)
    return sorted(days)


YEAR = 366


def _days(first: date, step: int, count: int) -> list[date]:
    return [first + timedelta(days=step * i) for i in range(count)]
