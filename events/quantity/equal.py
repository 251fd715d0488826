"""What one unit comes to in another where the household says so: "1 bag = 2 lb".

The rule: an equivalence is used once, when a record is written, and is kept in it as `basis`; from
then on it is a fact. Where none is known nothing is made up: the amount is kept as it was said.
"""

from collections.abc import Collection, Iterable
from fractions import Fraction

from msgspec import Struct

from events.kinds import Amount
from events.quantity.grid import grains
from events.quantity.typed import NotUnderstood, Said, number, parse
from events.quantity.units import System, canonical_unit, convert


class Equal(Struct, frozen=True):
    """So much of one unit is so much of another."""

    n: Fraction
    unit: str
    other_n: Fraction
    other_unit: str
    text: str


def equal(text: str, own_units: Collection[str] = (), system: System = "us") -> Equal:
    """Reads "1 bag = 2 lb"; `own_units` may be named on either side.

    Raises:
        NotUnderstood: it is not two exact amounts, each with a unit, with = between.
    """
    sides = [parse(side, own_units, system) for side in text.split("=")]
    if len(sides) != 2 or not all(_measured(side) for side in sides):
        raise NotUnderstood(f"“{text}” is not an equivalence: write it like 1 bag = 2 lb.")
    here, there = sides
    return Equal(here.n or Fraction(0), here.unit or "", there.n or Fraction(0), there.unit or "",
                 text.strip())  # fmt: skip


def _measured(said: Said) -> bool:
    return bool(said.n) and said.low is None and said.unit is not None


def through(
    n: Fraction, unit: str, to: str, equals: Iterable[Equal] = ()
) -> tuple[Fraction, str] | None:
    """`n` of `unit` in `to`, exact, and on what basis; by measure alone, else by one equivalence.

    The basis is "" where the units measure the same thing. None: no way is known.
    """
    straight = convert(n, unit, to)
    if straight is not None:
        return straight, ""
    for known in equals:
        sides = ((known.n, known.unit), (known.other_n, known.other_unit))
        for (here_n, here), (there_n, there) in (sides, sides[::-1]):
            inside = convert(n, unit, here)
            there_amount = None if inside is None else convert(inside / here_n * there_n, there, to)
            if there_amount is not None:
                return there_amount, known.text
    return None


def amount_of(said: Said, unit: str, equals: Iterable[Equal] = ()) -> Amount:
    """What was said, as it is written down for a lot kept in `unit`: rounded once, here.

    A bare number is of `unit`. Where no equivalence is known, `n` stays None and no sum changes.

    Raises:
        NotUnderstood: it is more of `unit` than a record may say.
    """
    spoken = said.unit or unit
    way = through(Fraction(1), spoken, unit, equals)
    other = None if spoken == unit else spoken
    if way is None or said.n is None:
        return Amount(unit=unit, said=said.text, said_unit=other)
    rate, basis = way
    try:
        n, low, high = (
            None if figure is None else grains(figure * rate)
            for figure in (said.n, said.low, said.high)
        )
    except ValueError:
        raise NotUnderstood(f"“{said.text}” is more {unit} than the books can hold.") from None
    return Amount(
        unit=unit, n=n, low=low, high=high, said=said.text, said_unit=other, basis=basis or None
    )


def volume_of(count: Fraction | int, content: str, unit: str, to: str = "qt") -> Fraction | None:
    """How much food `count` full packages hold, in `to`: 84 jars of "1" "pt" are 42 qt.

    `content` is what one holds, as a package says it ("1/2"). None: it cannot be read or is no
    matter of `to`. A count of jars and a volume of food are never added to each other.
    """
    name = canonical_unit(unit)
    try:
        return None if name is None else convert(Fraction(count) * number(content), name, to)
    except NotUnderstood:
        return None
