"""Filling vessels, jars and trays: worked examples with their sums, and what must always hold."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events.quantity import NotUnderstood, convert
from events.readings.filling import Vessel, by_volume, densities, fill, vessel, weighed
from events.readings.loads import dried, in_jars, loads, yields
from events.tables.packing import packing

KNOWN = packing()
TUB = Vessel(name="10 l tub", ml=Fraction(10_000))


def test_whole_vessels_what_is_left_over_and_the_room_above_it() -> None:
    (way,) = fill(Fraction(25_000), TUB, [], own=Fraction(4, 5)).ways
    # 8 kg a tub: three full, 1 kg in a fourth, which is 1.25 l of its 10
    assert (way.full, way.vessels) == (3, 4)
    assert [int(n) for n in (way.each, way.left, way.free)] == [8_000, 1_000, 8_750]


def test_headroom_is_kept_free_in_each() -> None:
    (way,) = fill(Fraction(24_000), TUB, [], Fraction(1, 4), Fraction(4, 5)).ways
    assert (way.full, way.vessels) == (4, 4)
    assert [int(n) for n in (way.each, way.left, way.free)] == [6_000, 0, 2_500]


def test_a_volume_needs_no_density() -> None:
    assert by_volume(Fraction(25_000), TUB) == (3, Fraction(1, 2))
    assert by_volume(Fraction(20_000), TUB) == (2, Fraction(1))


def test_the_household_weighing_goes_first_and_every_row_answers_by_itself() -> None:
    own = weighed("1 qt = 1.3 lb")
    assert own == Fraction("1.3") * Fraction("453.59237") / (convert(Fraction(1), "qt", "ml") or 1)
    assert weighed("1.3 lb = 1 qt") == own
    ways = fill(Fraction(20_000), TUB, densities(["wheat"], KNOWN), own=own).ways
    assert [way.row.source_id if way.row else None for way in ways] == [
        None,
        "usda_sr26",
        "usda_fcic",
    ]
    for wrong in ("1 lb = 2 lb", "1 qt = 2 pt", "heavy"):
        with pytest.raises(NotUnderstood):
            weighed(wrong)


def test_no_row_no_figure() -> None:
    assert densities(["quinces"], KNOWN) == []
    assert fill(Fraction(100), TUB, []).ways == ()
    assert dried((Fraction(1), Fraction(1)), ["quinces"], KNOWN, "dried") is None


@pytest.mark.parametrize(
    ("typed", "name", "ml"),
    [
        ("bucket-5gal", "5 gal bucket", "18927.1"), ("5-gallon buckets", "5 gal bucket", "18927.1"),
        ("20 l tub", "20 l tub", "20000"), ("half-gallon jars", "half-gallon jar", "1892.705892"),
        ("500 ml jar", "500 ml jar", "500"), ("#10 can", "#10 can", "3080"), ("1 kl", None, None),
        ("bucket", None, None), ("jars", None, None), ("0 l tub", None, None), ("", None, None),
        ("5 gal bucket jar", None, None), ("5 lb bag", None, None), ("#7 can", None, None),
    ],
)  # fmt: skip
def test_vessels_as_people_write_them(typed: str, name: str | None, ml: str | None) -> None:
    if name is None or ml is None:
        with pytest.raises(NotUnderstood):
            vessel(typed, KNOWN)
        return
    found = vessel(typed, KNOWN)
    assert (found.name, found.ml) == (name, Fraction(ml))


def test_jars_that_are_full_and_what_does_not_fill_one_more() -> None:
    quart = vessel("qt jar", KNOWN).ml
    (row,) = yields(["tomatoes"], KNOWN, "whole")
    (found,) = in_jars((Fraction(53), Fraction(53)), None, quart, [row])
    # 3 lb a quart: 17 jars take 51 lb; 17 in loads of 7 are three
    assert (found.jars, found.loads, found.a_load) == ((17, 17), (3, 3), 7)
    assert [int(n) for n in found.left] == [2, 2]
    (own,) = in_jars((Fraction(53), Fraction(53)), None, quart, [row], a_load=5)
    assert (own.loads, own.pounds_a_load) == ((4, 4), None)


def test_pints_are_reckoned_in_loads_of_nine() -> None:
    (row,) = yields(["beetroot"], KNOWN, "canned, tops off")[:1]
    (found,) = in_jars((Fraction(25), Fraction(25)), None, vessel("pt jar", KNOWN).ml, [row])
    # 3 lb a quart is 1 1/2 lb a pint: 16 pints of 25 lb, a pound left over
    assert (found.jars, found.a_load, found.loads) == ((16, 16), 9, (2, 2))
    assert found.pounds_a_load == Fraction(27, 2)
    assert int(found.left[0]) == 1


def test_a_crop_whose_bushel_was_not_printed_is_not_put_up_by_the_bushel() -> None:
    quart = vessel("qt jar", KNOWN).ml
    assert in_jars(None, Fraction(1), quart, yields(["potatoes"], KNOWN)) == []


def test_drying_by_own_word_by_the_table_and_by_dry_matter_alone() -> None:
    fresh = Fraction(1000), Fraction(2000)
    own = dried(fresh, ["strawberries"], KNOWN, "freeze-dried", Fraction(1, 20))
    assert own is not None
    assert own.by is None
    assert [float(n) for n in own.comes_to] == pytest.approx([90.5 / 0.95, 181 / 0.95])
    bare = dried(fresh, ["strawberries"], KNOWN, "freeze-dried")
    assert bare is not None
    assert (bare.dry, [float(n) for n in bare.comes_to]) == (None, [90.5, 181])


def test_trays_in_loads() -> None:
    assert loads(Fraction(10_000), 5, Fraction(1_000)) == 2
    assert loads(Fraction(10_001), 5, Fraction(1_000)) == 3


POSITIVE = st.fractions(min_value=Fraction(1, 100), max_value=10**5)


@given(POSITIVE, st.fractions(min_value=Fraction(1, 10), max_value=2), st.integers(0, 90))
def test_all_of_it_is_in_the_vessels_and_none_is_overfull(
    grams: Fraction, density: Fraction, kept: int
) -> None:
    (way,) = fill(grams, TUB, [], Fraction(kept, 100), density).ways
    assert way.full * way.each + way.left == grams
    assert 0 <= way.left < way.each
    assert TUB.ml * Fraction(kept, 100) <= way.free <= TUB.ml


@given(
    POSITIVE,
    st.fractions(min_value=Fraction(1, 10), max_value=2),
    st.fractions(min_value=0, max_value=1),
)
def test_denser_food_never_needs_more_vessels(
    grams: Fraction, density: Fraction, more: Fraction
) -> None:
    loose, settled = (fill(grams, TUB, [], own=d).ways[0] for d in (density, density + more))
    assert settled.vessels <= loose.vessels


@given(POSITIVE, st.sampled_from(["tomatoes", "potatoes", "apples", "peaches", "beets", "corn"]),
       st.sampled_from(["qt jar", "pt jar", "half-gallon jar"]))  # fmt: skip
def test_more_of_a_crop_never_fills_fewer_jars(pounds: Fraction, food: str, size: str) -> None:
    ml, rows = vessel(size, KNOWN).ml, yields([food], KNOWN)
    less = in_jars((pounds, pounds), None, ml, rows)
    more = in_jars((pounds * 2, pounds * 2), None, ml, rows)
    for one, other in zip(less, more, strict=True):
        assert one.jars[0] <= one.jars[1]
        assert one.jars[0] <= other.jars[0]
        assert 0 <= one.left[0] <= one.pounds[0]
