"""Life used at the temperatures that there were: sums that only rise, and when a life is used up."""

from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from events.keeping.curve import DAY, Curve
from events.keeping.exposure import FIRST, Exposure
from events.keeping.life import Life, Lives, Question
from events.keeping.models import q10_factors
from events.keeping.profile import cycle_of
from events.keeping.rates import WHOLE, Rates, rate_of
from events.tables import load

TABLES = load()
LIVES = Lives(TABLES)
KINDS = ("kitchen", "room", "cellar", "outbuilding", "refrigerator", None)
YEAR = (-4000, -2000, 3000, 9000, 15000, 19000, 22000, 21000, 16000, 10000, 4000, -1000)


@cache
def rates(food: str, kind: str | None, form: str = "", source: str = "") -> Rates:
    return Rates(LIVES, Question(names=(food,), form=form, kind=kind, source=source))


def steady(milli: int) -> Curve:
    return Curve(cycle_of((milli,) * 12), {}, {})


foods = st.sampled_from(sorted(TABLES.foods))
kinds = st.sampled_from(KINDS)
forms = st.sampled_from(("", "fresh", "dried", "home-canned", "jam", "frozen"))
moments = st.integers(-400 * DAY, 4000 * DAY)
readings = st.dictionaries(st.integers(0, 900), st.integers(-20_000, 35_000), max_size=5)


@given(foods, kinds, forms, st.lists(st.integers(-300, 450), min_size=2, max_size=2))
@settings(deadline=None)
def test_a_warmer_day_is_never_kinder(
    food: str, kind: str | None, form: str, tenths: list[int]
) -> None:
    cold, warm = (rates(food, kind, form).at(100 * tenth) for tenth in sorted(tenths))
    assert isinstance(cold, Life) == isinstance(warm, Life)
    if isinstance(cold, Life) and isinstance(warm, Life):
        assert 0 < warm.low_days <= cold.low_days
        assert (warm.high_days or 10**9) <= (cold.high_days or 10**9)
        assert warm.low_days <= (warm.high_days or 10**9)
        assert all(TABLES.sources[row.source_id].published for row in warm.fitting)


@given(foods, kinds, readings, st.lists(moments, min_size=3, max_size=3))
@settings(deadline=None)
def test_a_stay_split_in_two_uses_the_same_and_more_time_uses_no_less(
    food: str, kind: str | None, read: dict[int, int], when: list[int]
) -> None:
    start, middle, end = sorted(when)
    for curve in (Curve(cycle_of(YEAR), read, {}), Curve(None, read, {}), steady(9_000)):
        whole, parts = Exposure(curve, rates(food, kind)), Exposure(curve, rates(food, kind))
        for which in ("low", "high"):
            assert whole.used(which, start, end) == (
                parts.used(which, middle, end) + parts.used(which, start, middle)
            )
            assert whole.used(which, start, end) >= whole.used(which, start, middle) >= 0


@given(foods, kinds, readings, st.lists(st.integers(0, 9_000), min_size=12, max_size=12),
       st.lists(moments, min_size=2, max_size=2))  # fmt: skip
@settings(deadline=None)
def test_a_warmer_store_uses_no_less_of_a_life_and_ends_it_no_later(
    food: str, kind: str | None, read: dict[int, int], more: list[int], when: list[int]
) -> None:
    start, end = sorted(when)
    warmer = tuple(milli + by for milli, by in zip(YEAR, more, strict=True))
    cool, warm = (
        Exposure(Curve(cycle_of(months), at, {}), rates(food, kind))
        for months, at in ((YEAR, read), (warmer, {day: m + max(more) for day, m in read.items()}))
    )
    for which in ("low", "high"):
        assert warm.used(which, start, end) >= cool.used(which, start, end)
        late, soon = (one.when(which, start, WHOLE) for one in (cool, warm))
        assert late is None or (soon is not None and soon <= late)


@given(foods, kinds, moments, st.integers(1, WHOLE))
@settings(deadline=None)
def test_when_is_the_way_back_from_used(
    food: str, kind: str | None, start: int, parts: int
) -> None:
    exposure = Exposure(Curve(cycle_of(YEAR), {30: 12_000}, {}), rates(food, kind))
    ends = exposure.when("low", start, parts)
    if not exposure.published:
        assert ends is None
        return
    assert ends is not None
    # to the nearest millisecond, in which at most a day's share over 86 400 000 is used
    assert abs(exposure.used("low", start, ends) - parts) <= rate_of(1) // DAY + 1


@given(foods, kinds, st.integers(-100, 300), st.lists(moments, min_size=3, max_size=3))
@settings(deadline=None)
def test_there_and_back_at_one_temperature_is_as_staying(
    food: str, kind: str | None, tenth: int, when: list[int]
) -> None:
    a, b, c = sorted(when)
    one, other = (Exposure(steady(100 * tenth), rates(food, kind)) for _ in range(2))
    there_and_back = one.used("low", a, b) + other.used("low", b, c)
    assert there_and_back == one.used("low", a, c)


def test_a_steady_store_uses_a_life_in_just_its_days() -> None:
    # Storing Fall Garden Produce, Iowa State: butternut at 50-55 F, 2-3 months (61 to 91 days)
    exposure = Exposure(steady(11_000), rates("butternut squash", "room"))
    start = 20_000 * DAY + 12_345
    assert exposure.when("low", start, WHOLE) == start + 61 * DAY
    assert exposure.when("high", start, WHOLE) == start + 91 * DAY
    assert exposure.used("low", start, start + 61 * DAY) == pytest.approx(WHOLE, rel=1e-15)


def test_before_and_after_the_days_that_are_followed_nothing_breaks() -> None:
    exposure = Exposure(Curve(cycle_of(YEAR), {}, {}), rates("carrots", "cellar"))
    assert exposure.used("low", -(10**18), 10**18) > WHOLE
    assert exposure.when("low", -(10**18), WHOLE) == exposure.when("low", FIRST * DAY, WHOLE)
    late = exposure.when("low", 10**18, WHOLE)
    assert late is not None


def test_an_open_end_is_never_reached() -> None:
    # Produce Facts: Garlic, UC Davis: -1 to 0 C, nine months or more
    exposure = Exposure(steady(-1_500), rates("garlic", "cellar", source="ucd_garlic"))
    assert exposure.when("low", 0, WHOLE) == 274 * DAY
    assert exposure.when("high", 0, WHOLE) is None
    seasons = tuple(-3_000 - 100 * month for month in range(12))
    swinging = Exposure(
        Curve(cycle_of(seasons), {}, {}), rates("garlic", "cellar", source="ucd_garlic")
    )
    assert swinging.when("high", 0, WHOLE) is None


def test_the_day_sums_agree_with_an_integral_over_the_same_curve() -> None:
    """Referee: scipy's quadrature and root finding over the step function of the days."""
    curve, of = Curve(cycle_of(YEAR), {}, {}), rates("apricots", "room", "dried", "usu_storage")
    exposure = Exposure(curve, of)

    def rate(day: float) -> float:
        answer = of.at(curve.on(int(day // 1)))
        assert isinstance(answer, Life)
        return 1 / answer.low_days

    start, end = 20_000.25, 20_030.75
    marks = [start, *range(20_001, 20_031), end]
    area = sum(quad(rate, a + 1e-9, b - 1e-9)[0] for a, b in pairwise(marks))
    ours = exposure.used("low", int(start * DAY), int(end * DAY)) / WHOLE
    assert ours == pytest.approx(area, rel=1e-6)

    def left(day: float) -> float:
        return exposure.used("low", int(start * DAY), int(day * DAY)) / WHOLE - 0.5

    half = exposure.when("low", int(start * DAY), WHOLE // 2)
    assert half is not None
    assert half / DAY == pytest.approx(brentq(left, start, start + 400), abs=1e-6)


# -- Q10 and series ----------------------------------------------------------------------------


def test_a_q10_goes_band_by_band_and_not_below_freezing() -> None:
    produce = [band for band in TABLES.q10 if band.foods == "fresh-produce"]
    assert q10_factors(produce, 0, 10_000) == (2.5, 4.0)
    assert q10_factors(produce, 0, 20_000) == (5.0, 10.0)
    assert q10_factors(produce, 5_000, 15_000) == pytest.approx(
        (2.5**0.5 * 2**0.5, 4**0.5 * 2.5**0.5)
    )
    assert q10_factors(produce, -8_000, 0) == (1.0, 1.0)
    assert q10_factors(produce, 40_000, 60_000) == (1.0, 1.0)


def test_no_printed_q10_no_correction_and_the_direction_in_words() -> None:
    warm = rates("white flour", "room", source="msu_cupboard").at(30_000)
    assert isinstance(warm, Life)
    assert warm.low_days == 183
    assert warm.said[-1:] == ("warmer than 70 F: less, by how much is not published",)


def test_a_q10_never_goes_past_what_is_printed_for_the_next_band() -> None:
    # garlic: 6-7 months at 32 F, 1-2 months at 20-30 C
    nearly, within = (rates("garlic", "kitchen").at(milli) for milli in (19_900, 20_000))
    assert isinstance(nearly, Life)
    assert isinstance(within, Life)
    assert (within.low_days, within.high_days) == (30, 61)
    assert nearly.low_days >= 30
    assert "Q10" in nearly.said[0]


def test_a_row_for_a_kind_of_place_is_not_corrected_by_a_q10() -> None:
    # Handbook 66's garlic notes: 3-4 months in common storage; Vermont: 6-8 months at 35-45 F
    garlic = rates("garlic", "outbuilding")
    for milli in (5_000, 8_300, 12_000):
        found = garlic.at(milli)
        assert isinstance(found, Life)
        assert (found.low_days, found.row.source_id) == (91, "ah66_garlic")
        assert not any("Q10" in clause for clause in found.said)


def test_over_every_tenth_of_a_degree_no_food_of_the_tables_keeps_longer_in_the_warm() -> None:
    for food in sorted(TABLES.foods):
        for kind in ("cellar", "kitchen"):
            of = rates(food, kind)
            used = [of.parts(tenth) for tenth in range(-250, 450)]
            for cold, warm in pairwise(used):
                assert cold[0] <= warm[0], (food, kind)
                assert cold[1] <= warm[1], (food, kind)


def test_a_place_colder_than_a_band_caps_the_bands_high_end_too() -> None:
    # maincrop potatoes: 6-8 months in common storage (USDA), 5-10 months at 40-46 F (UC Davis)
    cold, within = (rates("maincrop potato", "cellar").at(milli) for milli in (4_300, 4_400))
    assert isinstance(cold, Life)
    assert isinstance(within, Life)
    assert (cold.low_days, cold.high_days) == (183, 244)
    assert (within.low_days, within.high_days) == (152, 244)


def test_a_series_whose_stage_changes_too_is_not_interpolated() -> None:
    # tomatoes of NC State: green at 58-60 F, pink at 48-50 F: stage and temperature change together
    assert not [
        row for row in rates("tomatoes", "room").rows if row.row.temp_as_printed.count(" to ")
    ]


def test_colder_than_all_that_is_printed_goes_uncorrected() -> None:
    cold = rates("acorn squash", "room").at(2_000)
    assert isinstance(cold, Life)
    assert (cold.low_days, cold.high_days) == (35, 56)
    assert cold.said == ("colder than 50-55 F: as there",)
