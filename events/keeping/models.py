"""The two published ways from one temperature to another: a Q10 within its band, and a series.

Q10: life is used Q10 ** (dT / 10) times as fast, band by band, above what a life was printed for;
never below freezing, never down into cold that harms, and only where a Q10 was printed for the
food. Handbook 66 prints it for fresh produce as a range for each ten degrees. A series: one food
printed by one source at several temperatures; between two of its own points the logarithm of life
lies on a straight line (a Q10 of its own), and beyond them nothing is reckoned. Temperatures are
in thousandths of a degree Celsius, lives in whole days.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

from events.tables.storing import Q10

Milli: TypeAlias = int


def q10_factors(bands: Sequence[Q10], start: Milli, end: Milli) -> tuple[float, float]:
    """(least, most) times as fast at `end` as at `start`, by the bands between; 1 outside them.

    Of several bands for one temperature the first is heeded.
    """
    least = most = 1.0
    marks = sorted({start, end, *(m for b in bands for m in (b.from_milli, b.to_milli)
                                  if start < m < end)})  # fmt: skip
    for low, high in pairwise(marks):
        band = next((b for b in bands if b.from_milli <= low and high <= b.to_milli), None)
        if band is not None:
            steps = (high - low) / 10_000
            least *= float(band.low) ** steps
            most *= float(band.high) ** steps
    return least, most


def between(low_at: Milli, low_life: int, high_at: Milli, high_life: int, at: Milli) -> int:
    """Days of life at a temperature between two points of a series, rounded; at least one."""
    if at <= low_at:
        return low_life
    if at >= high_at:
        return high_life
    share = (at - low_at) / (high_at - low_at)
    life: float = low_life ** (1 - share) * high_life**share
    return max(1, round(life))
