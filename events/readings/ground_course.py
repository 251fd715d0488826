"""How warm a bed is day by day, as a range: the curves of its soil, set right by what was read there.

The rule for readings, our own, no source: what a thermometer in the bed differs from the curve on a
day holds for the week up to it, is carried on from there and halves every 28 days, until the week of
the next one. A week's mean is that of the seven days up to a day.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from statistics import fmean

from msgspec import Struct

from events.keeping.soil import gone
from events.readings.soils import Said

HALVES_DAYS = 28
WEEK = 7


class Course(Struct, frozen=True):
    """Weekly means (C) from `first` on: the coldest that fits what is known, the middle, the warmest."""

    first: date
    low: tuple[float, ...]
    likely: tuple[float, ...]
    high: tuple[float, ...]

    @property
    def last(self) -> date:
        return self.first + timedelta(days=len(self.likely) - 1)

    def day(self, index: int) -> date:
        return self.first + timedelta(days=index)

    def on(self, day: date) -> tuple[float, float, float]:
        """Coldest, middle, warmest on a day of the course. IndexError for any other."""
        index = (day - self.first).days
        if not 0 <= index < len(self.likely):
            raise IndexError(day)
        return self.low[index], self.likely[index], self.high[index]


class Stretch(Struct, frozen=True):
    """Days from `first` to `last`, both within, on which a bed cannot be dug."""

    first: date
    last: date
    sure: bool
    """also by the warmest that fits; else perhaps"""
    own: bool = False
    """by the household's own word, not for frost"""


def course(
    said: Said, read: Iterable[tuple[date, float]], first: date, days: int
) -> Course:  # fmt: skip
    """The course of so many days from `first`; `read` (day, C): what was read in the bed."""
    known = _by_day(read)
    start = first - timedelta(days=WEEK - 1)
    ends = [_ends(said, gone(start + timedelta(days=i))) for i in range(days + WEEK - 1)]
    off = _differences(said, known, start, len(ends))
    low, likely, high = (
        _weekly([end[k] + o for end, o in zip(ends, off, strict=True)]) for k in range(3)
    )
    return Course(first, low, likely, high)


def _by_day(read: Iterable[tuple[date, float]]) -> list[tuple[date, float]]:
    """One figure a day: the mean of what was read on it."""
    days: dict[date, list[float]] = {}
    for day, celsius in read:
        days.setdefault(day, []).append(celsius)
    return sorted((day, fmean(all_of)) for day, all_of in days.items())


def _ends(said: Said, share: float) -> tuple[float, float, float]:
    figures = [curve.at(share) for curve in said.curves]
    return min(figures) - said.misfit, fmean(figures), max(figures) + said.misfit


def _differences(
    said: Said, known: Sequence[tuple[date, float]], start: date, days: int
) -> list[float]:
    """What each day from `start` is set right by."""
    against = [(day, celsius - _ends(said, gone(day))[1]) for day, celsius in known]
    off = []
    for i in range(days):
        day = start + timedelta(days=i)
        coming = bisect_left(against, day, key=lambda one: one[0])
        if coming < len(against) and (against[coming][0] - day).days < WEEK:
            off.append(against[coming][1])
        elif coming:
            then, differs = against[coming - 1]
            off.append(differs * 0.5 ** ((day - then).days / HALVES_DAYS))
        else:
            off.append(0.0)
    return off


def _weekly(days: Sequence[float]) -> tuple[float, ...]:
    return tuple(fmean(days[i : i + WEEK]) for i in range(len(days) - WEEK + 1))


def frozen(on: Course, celsius: float = 0.0) -> tuple[Stretch, ...]:
    """The stretches in which the week's mean is at or below that, surely or perhaps, in order."""
    found: list[Stretch] = []
    for i, (low, high) in enumerate(zip(on.low, on.high, strict=True)):
        if low > celsius:
            continue
        day, sure = on.day(i), high <= celsius
        last = found[-1] if found else None
        if last is not None and last.sure == sure and (day - last.last).days == 1:
            found[-1] = Stretch(last.first, day, sure)
        else:
            found.append(Stretch(day, day, sure))
    return tuple(found)


def first_below(figures: Sequence[float], celsius: float, start: int = 0) -> int | None:
    """The first index from `start` on at which a figure is below."""
    return next((i for i in range(start, len(figures)) if figures[i] < celsius), None)


def rises_above(figures: Sequence[float], celsius: float, start: int = 0) -> int | None:
    """The first index from `start` on at which figures come to be above, having been at or below."""
    return next(
        (
            i
            for i in range(max(1, start), len(figures))
            if figures[i] > celsius and figures[i - 1] <= celsius
        ),
        None,
    )
