"""How much of its keeping life a food uses in a store, as a curve that only rises.

A whole life is `WHOLE` parts. In a day a food uses WHOLE / L of it, L being the days that it keeps
at that day's temperature (`rates`), once by the low end of L and once by the high end; the curve is
the sum from a day long past, so that a stay costs two look-ups, a stay split in two comes to the
same, and the same curve carried on says when a life is used up. All sums are whole numbers.
Additive life (so much used here, the rest there) is the usual assumption of time-temperature sums;
its source was read second-hand only. Where nothing is published for a day, what is published for
the store's kind is used, else nothing is used up.
"""

from bisect import bisect_left
from itertools import accumulate
from typing import Literal, TypeAlias

from events.keeping.curve import DAY, Curve, tenth_of
from events.keeping.life import Life
from events.keeping.rates import Rates

STRETCH = 731
"""Days by which a curve is carried on at a time."""

FIRST, LAST = -25_567, 73_049
"""Days since 1970 between which temperatures are followed: 1900 to 2169."""

FARTHEST = 40 * 366
"""Days ahead within which a life has to end to be dated."""

End: TypeAlias = Literal["low", "high"]


class Exposure:
    """One food in one store."""

    def __init__(self, curve: Curve, rates: Rates) -> None:
        self.curve = curve
        self.rates = rates
        self.first, self.last = 0, -1
        """days that the sums are made for"""
        self.sums: dict[End, list[int]] = {"low": [], "high": []}
        """parts used by the beginning of each day from `first` on, and of the one after the last"""
        self.steady: dict[End, int] | None = None
        followed = curve.known and not curve.steady
        if not followed:
            milli = curve.on(0) if curve.known else None
            if isinstance(rates.at(milli), Life):
                low, high = rates.parts(tenth_of(milli))
                self.steady = {"low": low, "high": high}
        self.published = self.steady is not None or (followed and bool(rates.rows))
        """whether anything is published for it here"""

    def used(self, end: End, start: int, until: int) -> int:
        """Parts used between two moments (Unix ms)."""
        if until <= start or not self.published:
            return 0
        if self.steady is not None:
            rate = self.steady[end]
            return rate * until // DAY - rate * start // DAY
        start, until = _within(start), _within(until)
        if start // DAY < self.first or until // DAY > self.last:
            self._cover(start // DAY, until // DAY)
        return self._by(end, until) - self._by(end, start)

    def when(self, end: End, start: int, parts: int) -> int | None:
        """The moment (Unix ms) by which so many parts more are used; None: not within a lifetime."""
        if self.steady is not None:
            rate = self.steady[end]
            return None if not rate else _nearest(start, rate * start // DAY + parts, rate)
        if not self.published:
            return None
        start = _within(start)
        day = start // DAY
        if day < self.first or day > self.last:
            self._cover(day, day + STRETCH)
        wanted = self._by(end, start) + parts
        sums = self.sums[end]
        while sums[-1] < wanted:
            last, so_far = self.first + len(sums) - 1, sums[-1]
            if last - day > FARTHEST:
                return None
            self._cover(day, last + STRETCH)
            if sums[-1] == so_far:  # two years of every season used nothing: an open end
                return None
        at = bisect_left(sums, wanted) - 1
        return (self.first + at) * DAY + _round(wanted - sums[at], sums[at + 1] - sums[at])

    def _by(self, end: End, moment: int) -> int:
        day, rest = divmod(moment, DAY)
        sums, at = self.sums[end], day - self.first
        return sums[at] + (sums[at + 1] - sums[at]) * rest // DAY

    def _cover(self, first: int, last: int) -> None:
        """See to it that the days from `first` to `last` are there, in whole stretches."""
        begins = first - first % STRETCH
        if self.last >= self.first:
            begins, last = min(begins, self.first), max(last, self.last)
        if begins != self.first or self.last < self.first:
            self.first, self.last = begins, begins - 1
            self.sums = {"low": [0], "high": [0]}
        missing = -(-(last + 1 - self.last) // STRETCH) * STRETCH
        days = self.curve.tenths(self.last + 1, missing)
        table = {tenth: self.rates.parts(tenth) for tenth in set(days)}
        for at, sums in enumerate(self.sums.values()):
            parts = {tenth: both[at] for tenth, both in table.items()}
            sums.extend(accumulate(map(parts.__getitem__, days), initial=sums.pop()))
        self.last += missing


def _within(moment: int) -> int:
    """The moment, or the nearest one of which temperatures are followed."""
    return min(max(moment, FIRST * DAY), LAST * DAY)


def _nearest(start: int, wanted: int, rate: int) -> int:
    return max(start, _round(wanted, rate))


def _round(parts: int, rate: int) -> int:
    """Milliseconds in which so many parts are used, to the nearest."""
    return (2 * parts * DAY + rate) // (2 * rate)
