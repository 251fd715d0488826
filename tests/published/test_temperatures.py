"""Fahrenheit to Celsius as the factors of NIST SP 811 (appendix B) give it, read in a reprint of
them (t/°C = (t/°F - 32)/1.8), and pint as referee.
"""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.console.reading import COLDEST, HOTTEST, celsius_milli

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("fahrenheit", "milli"),
    [
        ("32", 0),  # (32 - 32)/1.8
        ("212", 100_000),  # 180/1.8
        ("-40", -40_000),  # -72/1.8
        ("0", -17_778),  # -32/1.8 = -17.777 7…
        ("39", 3_889),  # 7/1.8 = 3.888 8…
        ("40", 4_444),  # 8/1.8 = 4.444 4…
        ("98.6", 37_000),  # 66.6/1.8
    ],
)
def test_fahrenheit_by_the_published_formula(fahrenheit: str, milli: int) -> None:
    assert celsius_milli(Fraction(fahrenheit), "F") == milli


@given(st.integers(-1400, 3900))
def test_fahrenheit_as_another_program_reckons_it(tenths: int) -> None:
    other = UNITS.Quantity(tenths / 10, UNITS.degF).to(UNITS.degC).magnitude
    milli = celsius_milli(Fraction(tenths, 10), "F")
    assert COLDEST < milli < HOTTEST
    assert abs(milli / 1000 - other) <= 0.000_501


@given(st.integers(COLDEST, HOTTEST))
def test_celsius_is_kept_exactly(milli: int) -> None:
    assert celsius_milli(Fraction(milli, 1000), "C") == milli
