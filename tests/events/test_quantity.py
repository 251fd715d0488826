"""Amounts stay exact: the grid, the units, and the way between them."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import quantity as q
from events.kinds import GRAIN, MAX_COUNT

on_the_grid = st.integers(-(10**12), 10**12)
amounts = st.integers(0, 10**12)
measured = st.sampled_from([u.name for u in q.UNITS.values() if u.dimension in ("mass", "volume")])
figures = st.fractions(min_value=0, max_value=10**6, max_denominator=10**6)


@given(on_the_grid)
def test_a_whole_number_of_grains_comes_back(n: int) -> None:
    assert q.grains(q.fraction(n)) == n


@given(st.fractions(min_value=-(10**6), max_value=10**6))
def test_what_does_not_divide_goes_to_the_nearest_grain(value: Fraction) -> None:
    error = q.grains(value) - value * GRAIN
    assert abs(error) <= Fraction(1, 2)
    if abs(error) == Fraction(1, 2):
        assert q.grains(value) % 2 == 0


def test_halfway_goes_to_the_even_grain() -> None:
    assert [q.grains(Fraction(n, 2 * GRAIN)) for n in (-3, -1, 1, 3, 5)] == [-2, 0, 0, 2, 2]
    assert q.grains(Decimal("0.0001")) == 504
    assert q.grains(3) == 3 * GRAIN


@pytest.mark.parametrize("parts", [2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 10_000])
def test_the_parts_of_a_whole_are_the_whole(parts: int) -> None:
    assert q.grains(Fraction(1, parts)) * parts == GRAIN


def test_three_takes_of_a_third_leave_an_empty_bucket() -> None:
    bucket = q.grains(1)
    for _ in range(3):
        bucket -= q.grains(q.number("1/3"))
    assert bucket == 0
    honey = q.grains(60) - 7 * q.grains(q.number("8.57"))
    assert honey == q.grains(Decimal("0.01"))
    assert q.show(honey) == "0.01"


@pytest.mark.parametrize("value", [Decimal("NaN"), Decimal("Infinity"), Decimal("-Infinity")])
def test_what_is_no_number_is_no_amount(value: Decimal) -> None:
    with pytest.raises(ValueError, match="is not an amount"):
        q.grains(value)


def test_no_more_than_every_program_reads_exactly() -> None:
    most = Fraction(MAX_COUNT, GRAIN)
    assert q.grains(most) == MAX_COUNT
    with pytest.raises(ValueError, match="more than the books can hold"):
        q.grains(most + 1)


@pytest.mark.parametrize(
    ("value", "decimal", "exact", "shown"),
    [
        ("0", "0", None, "0"),
        ("2", "2", None, "2"),
        ("5/2", "2.5", None, "2 1/2"),
        ("10.5", "10.5", None, "10 1/2"),
        ("1/3", "0.333333", "1/3", "1/3"),
        ("2/3", "0.666667", "2/3", "2/3"),
        ("7/3", "2.333333", "7/3", "2 1/3"),
        ("1/16", "0.0625", None, "1/16"),
        ("5/12", "0.416667", "5/12", "5/12"),
        ("0.35", "0.35", None, "0.35"),
        ("0.1", "0.1", None, "0.1"),
        ("2.4", "2.4", None, "2.4"),
        ("1200", "1200", None, "1200"),
        ("-5/2", "-2.5", None, "-2 1/2"),
        ("0.0001", "0.0001", None, "under 0.001"),
        ("12.3456", "12.3456", None, "12.346"),
    ],
)
def test_as_a_decimal_exactly_and_for_people(
    value: str, decimal: str, exact: str | None, shown: str
) -> None:
    n = q.grains(Fraction(value))
    assert (q.decimal(n), q.exact(n), q.show(n)) == (decimal, exact, shown)


@given(on_the_grid)
def test_a_decimal_is_exact_or_its_fraction_stands_beside_it(n: int) -> None:
    exact, decimal = q.exact(n), q.decimal(n)
    if exact is None:
        assert Decimal(decimal) * GRAIN == n
    else:
        assert Fraction(exact) * GRAIN == n
    assert abs(Fraction(decimal) - q.fraction(n)) <= Fraction(1, 2 * 10**6)
    assert len(decimal.partition(".")[2]) <= 6


@given(st.integers(0, 10**6), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 16, 100, 1000]))
def test_what_is_shown_reads_back_as_the_same(count: int, parts: int) -> None:
    n = q.grains(Fraction(count, parts))
    shown = q.show(n)
    assert q.grains(q.number(shown)) == n
    said = q.parse(shown)
    assert said.n is not None
    assert (q.grains(said.n), said.low, said.unit) == (n, None, None)


@given(st.integers(1, 10**9))
def test_nothing_that_is_there_shows_as_nought(n: int) -> None:
    assert q.show(n) != "0"
    assert q.show(-n).startswith("-")


@given(figures, measured, measured)
def test_there_and_back_is_exact(n: Fraction, unit: str, to: str) -> None:
    there = q.convert(n, unit, to)
    if q.UNITS[unit].dimension != q.UNITS[to].dimension:
        assert there is None
        return
    assert there is not None
    assert q.convert(there, to, unit) == n


@given(figures, measured, measured, measured)
def test_by_way_of_a_third_unit_is_the_same(n: Fraction, a: str, b: str, c: str) -> None:
    first = q.convert(n, a, b)
    if first is not None and q.UNITS[c].dimension == q.UNITS[a].dimension:
        assert q.convert(first, b, c) == q.convert(n, a, c)


@pytest.mark.parametrize(
    ("n", "unit", "to", "comes_to"),
    [
        (2, "dozen", "egg", 24), (24, "jar", "dozen", 2), (1, "gross", "dozen", 12),
        (12, "piece", "dozen", 1), (1, "jar", "bag", None), (3, "piece", "egg", None),
        (1, "dozen", "lb", None), (1, "bushel", "lb", None), (1, "qt", "kg", None),
        (1, "own thing", "own thing", 1), (1, "own thing", "other thing", None),
        (1, "dozen", "own thing", 12), (1, "half-pint", "cup", 1), (2, "half-gallon", "gal", 1),
        (2, "half-bushel", "bushel", 1), (4, "qt", "gal", 1), (4, "imp qt", "imp gal", 1),
    ],
)  # fmt: skip
def test_like_goes_into_like(n: int, unit: str, to: str, comes_to: int | None) -> None:
    assert q.convert(Fraction(n), unit, to) == comes_to


def test_eggs_are_spoken_of_by_the_dozen() -> None:
    laid = Fraction(431)
    dozens = q.convert(laid, "egg", "dozen")
    assert dozens is not None
    assert divmod(dozens, 1) == (35, Fraction(11, 12))
    gone = [q.convert(q.number(said), "dozen", "egg") or 0 for said in ("6", "4 1/2")]
    assert gone == [72, 54]
    assert laid - sum(gone) - 90 - 31 == 184


def test_jars_and_quarts_of_food_are_two_figures() -> None:
    jars = [(52, "1", "qt"), (84, "1", "pt"), (72, "1", "half-pint")]
    held = [q.volume_of(count, content, unit) for count, content, unit in jars]
    assert held == [52, 42, 18]
    assert sum(count for count, _, _ in jars) == 208
    assert q.volume_of(84, "1", "pint", "gal") == Fraction(21, 2)
    assert q.volume_of(Fraction(1, 2), "1 1/2", "pt", "cup") == Fraction(3, 2)
    assert q.volume_of(3, "1", "lb") is None
    assert q.volume_of(3, "full", "qt") is None
    assert q.volume_of(3, "1", "wombat") is None


@pytest.mark.parametrize(
    ("n", "unit", "low", "high", "words"),
    [
        ("1", "jar", None, None, "1 jar"),
        ("2", "jar", None, None, "2 jars"),
        ("0", "jar", None, None, "0 jars"),
        ("1/2", "jar", None, None, "1/2 jar"),
        ("1.5", "jar", None, None, "1 1/2 jars"),
        ("3", "box", None, None, "3 boxes"),
        ("7", "qt", None, None, "7 qt"),
        ("2", "half-pint", None, None, "2 half-pints"),
        ("4", "qt jar", None, None, "4 qt jars"),
        ("2", "dozen", None, None, "2 dozen"),
        ("2", "bushel", None, None, "2 bushels"),
        ("2", "imp fl oz", None, None, "2 imp fl oz"),
        ("2", "loaf", None, None, "2 loaves"),
        ("2", "berry", None, None, "2 berries"),
        ("3", "bunch", None, None, "3 bunches"),
        ("26", "lb", "22", "30", "about 26 (22-30) lb"),
        ("1/2", "jar", "0", "1", "about 1/2 (0-1) jar"),
        ("26", "lb", "26", "26", "26 lb"),
        ("0", "bunch", "0", None, "some bunches"),
        ("0", "lb", "0", None, "some (lb)"),
        ("9", "jar", "9", None, "9 or more jars"),
        ("12", "jar", "9", None, "about 12 (9 or more) jars"),
    ],
)
def test_an_amount_in_words(
    n: str, unit: str, low: str | None, high: str | None, words: str
) -> None:
    ends = [None if end is None else q.grains(Fraction(end)) for end in (low, high)]
    assert q.show_amount(q.grains(Fraction(n)), unit, *ends) == words


def test_a_household_unit_with_and_without_an_equivalence() -> None:
    bag = q.equal("1 bag = 2 lb")
    assert bag == q.Equal(Fraction(1), "bag", Fraction(2), "lb", "1 bag = 2 lb")
    assert q.through(Fraction(3), "bag", "lb", [bag]) == (Fraction(6), "1 bag = 2 lb")
    assert q.through(Fraction(3), "bag", "oz", [bag]) == (Fraction(96), "1 bag = 2 lb")
    assert q.through(Fraction(3), "lb", "bag", [bag]) == (Fraction(3, 2), "1 bag = 2 lb")
    assert q.through(Fraction(3), "lb", "oz", [bag]) == (Fraction(48), "")
    assert q.through(Fraction(3), "bag", "lb") is None
    assert q.through(Fraction(3), "bag", "jar", [bag]) is None
    meal = q.equal("1 bag = 2 meals", ["meal"])
    assert q.through(Fraction(8), "bag", "meal", [bag, meal]) == (Fraction(16), "1 bag = 2 meals")


@given(st.fractions(min_value=0, max_value=1000, max_denominator=1000))
def test_through_an_equivalence_and_back(n: Fraction) -> None:
    equals = [q.equal("3 bags = 2 1/2 lb")]
    there = q.through(n, "bag", "oz", equals)
    assert there is not None
    back = q.through(there[0], "oz", "bag", equals)
    assert back is not None
    assert back[0] == n


@pytest.mark.parametrize("text", ["", "1 bag", "1 bag = 2", "1 bag = some lb", "1 bag = 0 lb", "1 bag = 2-3 lb", "1 bag = 2 lb = 3 lb"])  # fmt: skip
def test_half_an_equivalence_is_none(text: str) -> None:
    with pytest.raises(q.NotUnderstood):
        q.equal(text)


def test_an_amount_as_it_is_written_down() -> None:
    exact = q.amount_of(q.parse("1 1/2 lb"), "lb")
    assert (exact.n, exact.low, exact.said, exact.said_unit) == (
        3 * GRAIN // 2,
        None,
        "1 1/2 lb",
        None,
    )
    bare = q.amount_of(q.parse("3"), "jar")
    assert (bare.n, bare.unit, bare.said_unit, bare.basis) == (3 * GRAIN, "jar", None, None)
    ounces = q.amount_of(q.parse("8 oz"), "lb")
    assert (ounces.n, ounces.said_unit, ounces.basis) == (GRAIN // 2, "oz", None)
    some = q.amount_of(q.parse("some"), "lb")
    assert (some.n, some.low, some.high) == (0, 0, None)
    spread = q.amount_of(q.parse("3-4 lb"), "oz")
    assert (spread.n, spread.low, spread.high) == (56 * GRAIN, 48 * GRAIN, 64 * GRAIN)
    bags = q.amount_of(q.parse("2 bags"), "lb", [q.equal("1 bag = 2 lb")])
    assert (bags.n, bags.said_unit, bags.basis) == (4 * GRAIN, "bag", "1 bag = 2 lb")


def test_a_unit_nobody_can_turn_into_the_lots_changes_no_sum() -> None:
    bowls = q.amount_of(q.parse("2 bowls"), "lb")
    assert (bowls.n, bowls.low, bowls.high) == (None, None, None)
    assert (bowls.said, bowls.said_unit) == ("2 bowls", "bowl")


def test_more_than_a_record_may_say() -> None:
    with pytest.raises(q.NotUnderstood, match="more g than the books can hold"):
        q.amount_of(q.parse("1000000 tonnes"), "g")


@given(amounts)
def test_a_unit_is_said_once_for_one_and_less(n: int) -> None:
    assert q.plural("jar", n) == ("jar" if 0 < n <= GRAIN else "jars")
    assert q.plural("lb", n) == "lb"
