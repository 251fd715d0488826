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

from events.keeping.curve import DAY, STRETCH, Curve, tenth_of
from events.keeping.life import Life
from events.keeping.rates import End, Rates

IDLE = 731
"""Days, every season twice: a curve that used nothing in so many ends nowhere."""

FIRST, LAST = -25_567, 73_049
"""Days since 1970 between which temperatures are followed: 1900 to 2169."""
FIRST_MS, LAST_MS = FIRST * DAY, LAST * DAY

FARTHEST = 40 * 366
"""Days ahead within which a life has to end to be dated."""


class Exposure:
    """One food in one store."""

    def __init__(self, curve: Curve, rates: Rates) -> None:
        self.curve = curve
        self.rates = rates
        self.first, self.last = 0, -1
        """days that the sums are made for"""
        self.sums: dict[End, list[int]] = {"low": [0], "high": [0]}
        """parts used by the beginning of each day from `first` on, and of the one after the last;
        reckoned from a day of no meaning, so below nought before it"""
        self.steady: dict[End, int] | None = None
        followed = curve.known and not curve.steady
        if not followed:
            milli = curve.on(0) if curve.known else None
            if isinstance(rates.at(milli), Life):
                tenth = tenth_of(milli)
                self.steady = {end: used[tenth] for end, used in rates.by.items()}
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
        if not self.first <= day <= self.last:
            self._cover(day, day)
        sums = self.sums[end]
        wanted = self._by(end, start) + parts
        while sums[-1] < wanted:
            ahead = self.last - day
            if ahead > FARTHEST or (ahead >= IDLE and sums[-1] == sums[-1 - IDLE]):
                return None
            self._cover(day, self.last + 1)
        at = bisect_left(sums, wanted) - 1
        return (self.first + at) * DAY + _round(wanted - sums[at], sums[at + 1] - sums[at])

    def _by(self, end: End, moment: int) -> int:
        day, rest = divmod(moment, DAY)
        sums, at = self.sums[end], day - self.first
        so_far = sums[at]
        return so_far + (sums[at + 1] - so_far) * rest // DAY

    def _cover(self, first: int, last: int) -> None:
        """See to it that the days from `first` to `last` are there, in whole stretches."""
        if self.first <= first and last <= self.last:
            return
        if self.last < self.first:
            self.first = first - first % STRETCH
            self.last = self.first - 1
        while self.last < last:
            self._onwards()
        while first < self.first:
            self._backwards()

    def _onwards(self) -> None:
        days = self.curve.tenths((self.last + 1) // STRETCH)
        for end, sums in self.sums.items():
            used = map(self.rates.by[end].__getitem__, days)
            sums.extend(accumulate(used, initial=sums.pop()))
        self.last += STRETCH

    def _backwards(self) -> None:
        self.first -= STRETCH
        days = self.curve.tenths(self.first // STRETCH)
        for end, sums in self.sums.items():
            used = [self.rates.by[end][tenth] for tenth in days]
            sums[:0] = accumulate(used[:-1], initial=sums[0] - sum(used))


def _within(moment: int) -> int:
    """The moment, or the nearest one of which temperatures are followed."""
    if FIRST_MS < moment < LAST_MS:
        return moment
    return min(max(moment, FIRST_MS), LAST_MS)


def _nearest(start: int, wanted: int, rate: int) -> int:
    return max(start, _round(wanted, rate))


def _round(parts: int, rate: int) -> int:
    """Milliseconds in which so many parts are used, to the nearest."""
    return (2 * parts * DAY + rate) // (2 * rate)
