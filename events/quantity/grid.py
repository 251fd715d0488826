"""The grid that every amount stands on: whole numbers of grains of a unit.

Not here: units. The rule: rounding happens in `grains` alone, once, half to even; a figure shown
with fewer places is never read back into a sum.
"""

from decimal import Decimal
from fractions import Fraction

from events.kinds import GRAIN, MAX_COUNT

SPOKEN = frozenset((2, 3, 4, 6, 7, 8, 9, 12, 16))
"""Parts that people say as a fraction; fifths and tenths read better as decimals."""


def grains(value: Fraction | Decimal | int) -> int:
    """`value` of a unit in grains, rounded once, half to even.

    Raises:
        ValueError: it is no finite number, or more than the books can hold (2**53 - 1 grains).
    """
    if isinstance(value, Decimal) and not value.is_finite():
        raise ValueError(f"{value} is not an amount: write a plain number.")
    n = round(Fraction(value) * GRAIN)
    if abs(n) > MAX_COUNT:
        raise ValueError(f"{value} is more than the books can hold: write it in a larger unit.")
    return n


def fraction(n: int) -> Fraction:
    """`n` grains as so much of the unit."""
    return Fraction(n, GRAIN)


def decimal(n: int) -> str:
    """`n` grains as a plain decimal of at most six places, rounded half to even: 2.5, 0.333333."""
    return _places(n, 6)


def exact(n: int) -> str | None:
    """`n` grains as a fraction, "1/3", where `decimal` rounds; else None."""
    return str(fraction(n)) if n * 10**6 % GRAIN else None


def show(n: int) -> str:
    """`n` grains for people: "2", "2 1/2", "1/3", "0.35"; else three places, rounded.

    What is there never shows as nought: less than half a thousandth is "under 0.001".
    """
    value = fraction(abs(n))
    whole, part = divmod(value, 1)
    sign = "-" if n < 0 else ""
    if part.denominator in SPOKEN:
        return f"{sign}{whole} {part}" if whole else f"{sign}{part}"
    shown = _places(n, 3)
    return f"{sign}under 0.001" if n and shown in ("0", "-0") else shown


def _places(n: int, places: int) -> str:
    scaled = round(Fraction(n * 10**places, GRAIN))
    whole, part = divmod(abs(scaled), 10**places)
    text = f"{whole}.{part:0{places}}".rstrip("0").rstrip(".")
    return f"-{text}" if scaled < 0 else text
