"""The temperature of the soil through the year, as a wave that goes down and dies away.

T(z, t) = mean + swing * exp(-z/d) * cos(2 pi (t - warmest) - z/d), with z the depth, t the share
of the year gone and d the damping depth (van Wijk and de Vries 1963; Hillel 1982). It is fitted to
twelve monthly normals and carried to another depth. It knows no weather, no water, no snow: a warm
week is for the thermometer in the bed. Depths in centimetres, temperatures in degrees Celsius.
"""

from collections.abc import Sequence
from datetime import date
from math import atan2, cos, exp, hypot, pi, sin, sqrt

from msgspec import Struct

YEAR_DAYS = 365.2422


class Curve(Struct, frozen=True):
    """A year of soil temperature at one depth."""

    mean: float
    swing: float
    """half of what lies between the warmest day and the coldest"""
    warmest: float
    """the share of the year that is gone when it is warmest"""
    depth: float

    def at(self, share: float) -> float:
        """The temperature when that share of the year is gone."""
        return self.mean + self.swing * cos(2 * pi * (share - self.warmest))


def fit(months: Sequence[float], depth: float) -> Curve:
    """The first harmonic of twelve monthly means, January first, measured at `depth`.

    A month stands for its middle, (i - 0.5)/12 of the year. Raises ValueError for other than twelve.
    """
    if len(months) != 12:
        raise ValueError(f"a year has twelve months, not {len(months)}")
    mids = [2 * pi * (i + 0.5) / 12 for i in range(12)]
    along = sum(t * cos(a) for t, a in zip(months, mids, strict=True)) / 6
    across = sum(t * sin(a) for t, a in zip(months, mids, strict=True)) / 6
    turn = atan2(across, along) / (2 * pi)
    return Curve(sum(months) / 12, hypot(along, across), turn % 1, depth)


def misfit(curve: Curve, months: Sequence[float]) -> float:
    """How far the curve lies from the months it was fitted to, root of the mean square."""
    off = [(curve.at((i + 0.5) / 12) - t) ** 2 for i, t in enumerate(months)]
    return sqrt(sum(off) / len(off))


def damping_depth(diffusivity: float, period_days: float = YEAR_DAYS) -> float:
    """The depth (cm) at which a wave of that period is down to 1/e: sqrt(D P / pi).

    `diffusivity` in square millimetres a second.
    """
    return sqrt(diffusivity * period_days * 86_400 / pi) / 10


def at_depth(curve: Curve, depth: float, damping: float) -> Curve:
    """The same ground at another depth: less and later below, more and earlier above."""
    down = (depth - curve.depth) / damping
    return Curve(curve.mean, curve.swing * exp(-down), (curve.warmest + down / (2 * pi)) % 1, depth)


def shifted(curve: Curve, coldest: float, warmest: float) -> Curve:
    """The ground with its coldest and its warmest day moved by so many degrees (under a mulch).

    A mulch that would turn winter into summer leaves no swing.
    """
    swing = max(0.0, curve.swing + (warmest - coldest) / 2)
    return Curve(curve.mean + (warmest + coldest) / 2, swing, curve.warmest, curve.depth)


def passing(curve: Curve, share: float) -> Curve:
    """The ground under a mulch that lets so much of the swing through (0 to 1)."""
    return Curve(curve.mean, curve.swing * share, curve.warmest, curve.depth)


def gone(day: date) -> float:
    """The share of the year that is gone at noon of a day."""
    first = date(day.year, 1, 1).toordinal()
    whole = date(day.year + 1, 1, 1).toordinal() - first if day.year < 9999 else 365
    return (day.toordinal() - first + 0.5) / whole
