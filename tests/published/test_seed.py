"""The life of seed by Ellis and Roberts (1980), its worked examples as reprinted, and planting temperatures.

Rice: KE 8.242, CW 4.345, CH 0.0307, CQ 0.000501, at 10 % of moisture and 5 C; the universal terms CH 0.0329
and CQ 0.000478; all as the documentation of a seed bank's package reprints them. Soil for planting: Colorado
State University Extension, as reprinted.
"""

from statistics import NormalDist

import pytest

from events.keeping.seed import Terms, spread_days, times_as_long
from events.tables import load
from events.tables.beds import beds

PROBIT = NormalDist()
ROW = beds().seeds["rice"]
RICE = Terms(ROW.ke or 0, ROW.cw or 0, ROW.ch, ROW.cq)


def alive(start: float, days: float, spread: float) -> float:
    """The share that is alive after so many days: v = Ki - p/sigma, in probits."""
    return PROBIT.cdf(PROBIT.inv_cdf(start) - days / spread)


def test_the_constants_as_reprinted() -> None:
    assert (ROW.ke, ROW.cw, ROW.ch, ROW.cq) == (8.242, 4.345, 0.0307, 0.000501)
    universal = beds().seeds["any"]
    assert (universal.ke, universal.cw, universal.ch, universal.cq) == (
        None,
        None,
        0.0329,
        0.000478,
    )
    assert load().sources["ellis_roberts_1980"].published


def test_rice_at_ten_per_cent_and_five_degrees() -> None:
    sigma = spread_days(RICE, 10, 5)
    assert sigma == pytest.approx(5382.388, abs=5e-4)
    assert sigma / 365 == pytest.approx(14.746, abs=5e-4)
    assert alive(0.98, 365, sigma) * 100 == pytest.approx(97.64797, abs=5e-6)


def test_from_98_to_95_per_cent_in_ten_years() -> None:
    # at 8 % of moisture that is at 10.252 C; at 5 C it is at 8.900918 % of moisture
    assert alive(0.98, 3650, spread_days(RICE, 8, 10.252)) == pytest.approx(0.95, abs=5e-6)
    assert alive(0.98, 3650, spread_days(RICE, 8.900918, 5)) == pytest.approx(0.95, abs=5e-7)


def test_between_two_stores_the_terms_of_moisture_fall_out() -> None:
    bare = Terms(0, 0, ROW.ch, ROW.cq)
    for moisture in (6, 10, 14):
        longer = spread_days(RICE, moisture, 5) / spread_days(RICE, moisture, 20)
        assert times_as_long(bare, 5, 20) == pytest.approx(longer)
    assert times_as_long(bare, 12, 12) == 1


@pytest.mark.parametrize(
    ("crop", "fahrenheit"),
    [
        ("potato", 45), ("carrot", 40), ("beet", 40), ("turnip", 40), ("leek", 40), ("pea", 40),
        ("onion", 35), ("parsnip", 35), ("cabbage", 40), ("bean", 55), ("squash", 60),
    ],
)  # fmt: skip
def test_soil_for_planting_as_colorado_prints_it(crop: str, fahrenheit: int) -> None:
    (row,) = [row for row in beds().thresholds if (row.crop, row.kind) == (crop, "planting")]
    assert row.celsius is not None
    assert row.celsius * 1.8 + 32 == pytest.approx(fahrenheit, abs=0.1)
    assert (row.source_id, row.measured_in) == ("csu_soil", "soil")
