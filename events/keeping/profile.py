"""A store's climate as the household states it, and the day's temperature that follows from it.

Three ways to state it: one temperature; twelve monthly means, January first; or the outdoors,
damped by a share. Between the middles of two months the day's mean lies on the straight line from
one monthly mean to the other (so a month's own mean comes out a little flatter than stated). A
store that goes with the outdoors by a share f is at mean + f * (outdoors that day - mean), the mean
being that of the outdoors' stated year: no lag, which for a cellar is a simplification.
Temperatures are in thousandths of a degree Celsius. Nothing here is measured.
"""

import re
from calendar import isleap, monthrange
from fractions import Fraction
from itertools import accumulate
from typing import TypeAlias

from msgspec import Struct

from events.quantity import NotUnderstood, number

Milli: TypeAlias = int

CYCLE = 1461
"""Days of four years from 1 January 1970: the seasons of any later day up to February 2100."""

COLDEST, HOTTEST = -60_000, 60_000
HOW = 'write "50 F", twelve monthly means like "3 4 6 9 12 15 17 17 14 10 6 4 C", or "outdoors 1/2"'
FIGURE = r"[-\u2212+]?[0-9]+(?:[.,][0-9]+)?"
STATED = re.compile(
    rf"({FIGURE}(?:[\s,;]+{FIGURE})*) ?(?:°|º|deg(?:rees)?)? ?(c|f|celsius|fahrenheit)"
)
OUTDOORS = re.compile(r"(?:as )?outdoors(?:[\s,]+(?:x |times |damped (?:by|to) )?(.+))?")
SHARES = {"half": Fraction(1, 2), "a third": Fraction(1, 3), "a quarter": Fraction(1, 4)}


class Stated(Struct, frozen=True):
    """Twelve monthly means, January first, thousandths of a degree Celsius."""

    months: tuple[Milli, ...]

    @property
    def steady(self) -> bool:
        return len(set(self.months)) == 1

    @property
    def mean(self) -> Milli:
        return round(Fraction(sum(self.months), 12))


class Damped(Struct, frozen=True):
    """As outdoors, with this share of its swing about the year's mean."""

    share: Fraction


Profile: TypeAlias = Stated | Damped


def read(typed: str) -> Profile:
    """A climate as typed.

    Raises:
        NotUnderstood: one sentence with what was read and what to write.
    """
    text = " ".join(typed.casefold().split())
    if found := OUTDOORS.fullmatch(text):
        return Damped(_share(found[1], typed))
    found = STATED.fullmatch(text)
    if found is None:
        raise NotUnderstood(f"“{typed}” is no climate of a store: {HOW}.")
    figures = re.findall(FIGURE, found[1])
    if len(figures) not in {1, 12}:
        raise NotUnderstood(f"“{typed}” has {len(figures)} figures, not one or twelve: {HOW}.")
    months = tuple(_milli(figure, found[2][0]) for figure in figures)
    if not all(COLDEST <= milli <= HOTTEST for milli in months):
        raise NotUnderstood(f"“{typed}” is no temperature of a store: write it again.")
    return Stated(months * (12 // len(months)))


def _share(text: str | None, typed: str) -> Fraction:
    if text is None:
        return Fraction(1)
    try:
        share = SHARES.get(text) or number(text)
    except NotUnderstood as wrong:
        raise NotUnderstood(f"“{typed}” is no climate of a store: {HOW}.") from wrong
    if not 0 < share <= 1:
        raise NotUnderstood(f"“{typed}”: the share of the outdoors' swing is from 0 to 1.")
    return share


def _milli(figure: str, scale: str) -> Milli:
    degrees = Fraction(figure.replace("\u2212", "-").replace(",", "."))
    return milli_of(degrees, scale)


def milli_of(degrees: Fraction, scale: str) -> Milli:
    """Thousandths of a degree Celsius, rounded once, half to even (NIST SP 811, appendix B)."""
    return round((degrees if scale in "cC" else (degrees - 32) / Fraction("1.8")) * 1000)


def cycle_of(months: tuple[Milli, ...]) -> tuple[Milli, ...]:
    """The day's mean on each day of four years, from 1 January 1970."""
    days: list[Milli] = []
    for year in range(1970, 1974):
        days += _year(months, leap=isleap(year))
    return tuple(days)


def _year(months: tuple[Milli, ...], *, leap: bool) -> list[Milli]:
    sizes = (31, 29 if leap else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    length = sum(sizes)
    starts = [0, *accumulate(sizes)]
    # twice a day's middle, so that all is whole: the middles of the months round the year
    middles = [starts[m] + starts[m + 1] for m in range(12)]
    points = [
        (middles[11] - 2 * length, months[11]),
        *zip(middles, months, strict=True),
        (middles[0] + 2 * length, months[0]),
    ]
    days, at = [], 0
    for day in range(length):
        middle = 2 * day + 1
        while points[at + 1][0] < middle:
            at += 1
        (left, low), (right, high) = points[at], points[at + 1]
        days.append(
            low + ((high - low) * (middle - left) * 2 + (right - left)) // (2 * (right - left))
        )
    return days


def damped(cycle: tuple[Milli, ...], mean: Milli, share: Fraction) -> tuple[Milli, ...]:
    """The outdoors' days with that share of their swing about the mean."""
    return tuple(mean + round(share * (milli - mean)) for milli in cycle)


def month_cycle(months: tuple[int, ...]) -> tuple[int, ...]:
    """1 on the days of those months (January is 1), 0 on the others, over four years."""
    days: list[int] = []
    for year in range(1970, 1974):
        for month in range(1, 13):
            days += [int(month in months)] * monthrange(year, month)[1]
    return tuple(days)
