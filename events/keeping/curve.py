"""The temperature of a store day by day: as stated, corrected by what was read, warmed by machines.

A day is a day of UTC, its temperature the mean of that day, in thousandths of a degree Celsius;
None where nothing was stated and nothing read near it. How a reading moves the curve: its
difference from what was expected that day counts whole on its day, and on other days by nearness,
nothing from 14 days on or from the next reading on, whichever comes first. In a store of which
nothing was stated a reading stands for its day and 14 on either side; between two that both reach
a day, each counts by nearness. Several readings of a day are averaged. A machine adds its degrees
by the share of the day that it ran. What is supposed of times to come is added to all that.
Where nothing was stated the years to come, and weeks that nobody read in, are as they were read at
that time of the year before, up to three years on (`again`); a store that a machine keeps cold is as
it was mostly read (`usual`).
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from statistics import median_low

from events.keeping.profile import CYCLE, Milli

DAY = 86_400_000
"""Milliseconds."""

STRETCH = 183
"""Days that are reckoned at a time."""

REACH = 14
"""Days that a reading is heeded on either side. Our own rule, no source."""

YEARS = 3
"""Years for which what was read is taken to come again. Our own rule, no source."""

TENTH = 100
"""Thousandths of a degree; food is reckoned by tenths."""

LONGEST = 366 * DAY
"""Milliseconds of one run that are heeded."""


def tenth_of(milli: Milli | None) -> int | None:
    """The temperature to a tenth of a degree."""
    return None if milli is None else _rounded(milli, TENTH)


class Curve:
    """A store's temperature on any day; two curves of the same facts answer alike."""

    def __init__(
        self,
        cycle: Sequence[Milli] | None,
        readings: Mapping[int, Milli],
        warmth: Mapping[int, Milli],
        swings: Mapping[int, Milli] | None = None,
        *,
        stated: bool = True,
        seen: Sequence[int] | None = None,
    ) -> None:
        """`cycle`: as stated, by the days of four years; the others by day since 1970, UTC.

        `swings`: days on which another temperature is expected than that of the cycle. `stated`:
        whether somebody stated the cycle. `seen`: the days on which somebody read.
        """
        self.cycle = cycle
        self.stated = stated and cycle is not None
        self.swings = {} if swings is None or cycle is None else swings
        self.read = sorted(readings)
        self.seen = self.read if seen is None else seen
        self.more: tuple[int, Sequence[Milli]] | None = None
        """from that day on so much more, by the days of four years: what is supposed"""
        self.humid: tuple[int, int] | None = None
        """the last relative humidity read there: when (Unix ms), and per mille"""
        self.special: dict[int, Milli] = {}
        self._days: dict[int, list[Milli | None]] = {}
        self._tenths: dict[int, list[int | None]] = {}
        if readings or (cycle is not None and warmth) or self.swings:
            self._correct(readings, warmth)

    def _expected(self, day: int, warmth: Mapping[int, Milli]) -> Milli:
        stated = 0 if self.cycle is None else self.cycle[day % CYCLE]
        return self.swings.get(day, stated) + warmth.get(day, 0)

    def _correct(self, readings: Mapping[int, Milli], warmth: Mapping[int, Milli]) -> None:
        if self.cycle is not None:
            for day in {*warmth, *self.swings}:
                self.special[day] = self._expected(day, warmth)
        moved = {day: milli - self._expected(day, warmth) for day, milli in readings.items()}
        for day in self._reached():
            by = _nearness(self.read, moved, day, held=self.cycle is None)
            self.special[day] = self._expected(day, warmth) + by
        self.special.update(readings)

    def _reached(self) -> Iterable[int]:
        """The days near a reading on which there was none."""
        for before, after in pairwise(self.read):
            if after - before > 1:
                yield from range(before + 1, min(before + REACH + 1, after))
                yield from range(max(after - REACH, before + REACH + 1), after)
        for first, last in ((self.read[0], self.read[-1]),) if self.read else ():
            yield from range(first - REACH, first)
            yield from range(last + 1, last + REACH + 1)

    @property
    def known(self) -> bool:
        """Whether any day has a temperature."""
        return self.cycle is not None or bool(self.special)

    @property
    def steady(self) -> bool:
        """Whether every day is alike."""
        return not self.special and self.more is None and len(set(self.cycle or ())) < 2

    def on(self, day: int) -> Milli | None:
        """The temperature of a day since 1970."""
        found = self.special.get(day)
        if found is None and self.cycle is not None:
            found = self.cycle[day % CYCLE]
        if found is not None and self.more is not None and day >= self.more[0]:
            found += self.more[1][day % CYCLE]
        return found

    def days(self, first: int, count: int) -> list[Milli | None]:
        """The temperatures of so many days from `first` on."""
        found: list[Milli | None] = []
        while len(found) < count:
            stretch, past = divmod(first + len(found), STRETCH)
            found += self._stretch(stretch)[past : past + count - len(found)]
        return found

    def tenths(self, stretch: int) -> list[int | None]:
        """A stretch of days in tenths of a degree; kept, for many foods ask for the same days."""
        found = self._tenths.get(stretch)
        if found is None:
            found = self._tenths[stretch] = [tenth_of(one) for one in self._stretch(stretch)]
        return found

    def _stretch(self, stretch: int) -> list[Milli | None]:
        """The days from `stretch` times `STRETCH` on; kept."""
        found = self._days.get(stretch)
        if found is None:
            first = stretch * STRETCH
            found = self._days[stretch] = [self.on(first + n) for n in range(STRETCH)]
        return found

    def warmed(self, day: int, more: Sequence[Milli]) -> "Curve":
        """The same, and from that day on so much warmer, by the days of four years."""
        other = Curve(self.cycle, {}, {}, stated=self.stated, seen=self.seen)
        other.read, other.special, other.more = self.read, self.special, (day, more)
        other.humid = self.humid
        return other


def again(readings: Mapping[int, Milli]) -> dict[int, Milli]:
    """Readings, and the same in the three years after, where nobody read within `REACH` of then.

    Of several years before the nearest is gone by.
    """
    found = dict(readings)
    for years in range(1, YEARS + 1):
        near = sorted(found)
        for day, milli in readings.items():
            then = day + CYCLE * years // 4
            at = bisect_left(near, then - REACH)
            if at == len(near) or near[at] > then + REACH:
                found[then] = milli
    return found


def usual(readings: Mapping[int, Milli]) -> Milli:
    """What was mostly read: the median of the days."""
    return median_low(readings.values())


def _nearness(read: Sequence[int], moved: Mapping[int, Milli], day: int, *, held: bool) -> Milli:
    """What the nearest readings on either side come to on a day."""
    at = bisect_left(read, day)
    after = read[at] if at < len(read) and read[at] - day <= REACH else None
    before = read[at - 1] if at and day - read[at - 1] <= REACH else None
    if after == day:
        return moved[day]
    if held:
        if before is None or after is None:
            return moved[after if before is None else before]  # type: ignore[index]
        return _rounded(
            moved[before] * (after - day) + moved[after] * (day - before), after - before
        )
    by = 0
    next_gap = read[at] - read[at - 1] if 0 < at < len(read) else REACH
    span = min(REACH, next_gap)
    for one in (before, after):
        if one is not None and abs(day - one) < span:
            by += _rounded(moved[one] * (span - abs(day - one)), span)
    return by


def _rounded(n: int, by: int) -> int:
    return (2 * n + by) // (2 * by)


def by_day(readings: Iterable[tuple[int, Milli]]) -> dict[int, Milli]:
    """Readings (Unix ms, temperature) as one a day, averaged, half to even."""
    found: dict[int, Milli] = {}
    several: dict[int, list[Milli]] = {}
    for place, milli in readings:
        day = place // DAY
        if day in found:
            several.setdefault(day, [found[day]]).append(milli)
        else:
            found[day] = milli
    for day, all_of in several.items():
        found[day] = _even(sum(all_of), len(all_of))
    return found


def _even(total: int, count: int) -> int:
    whole, rest = divmod(total, count)
    if 2 * rest == count:
        return whole + whole % 2
    return whole + (2 * rest > count)


def warmth_of(runs: Iterable[tuple[int, int]], degrees: Milli) -> dict[int, Milli]:
    """What a machine adds by day: runs as (end in Unix ms, minutes), each up to its end.

    A run counts for a year at most. A day's share is the minutes of it that the machine ran, at most all of it, over 1440.
    """
    minutes: dict[int, int] = {}
    for end, length in runs:
        left, until = min(length * 60_000, LONGEST), end
        while left > 0:
            day = (until - 1) // DAY
            part = min(left, until - day * DAY)
            minutes[day] = minutes.get(day, 0) + part
            left -= part
            until -= part
    return {day: _rounded(degrees * min(ran, DAY), DAY) for day, ran in minutes.items()}
