"""Amounts as people type them."""

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import quantity as q
from events.quantity import NotUnderstood, parse


@pytest.mark.parametrize(
    ("text", "n", "unit"),
    [
        ("12 qt", "12", "qt"), ("12 QTS.", "12", "qt"), ("1 1/2 lb", "3/2", "lb"),
        ("1-1/2 lb", "3/2", "lb"), ("\u00bd box", "1/2", "box"), ("1\u00bd lbs", "3/2", "lb"),
        ("1 \u2153 cups", "4/3", "cup"), ("1\u20442 lb", "1/2", "lb"), ("2 doz", "2", "dozen"),
        ("2 dozen", "2", "dozen"), ("25kg", "25", "kg"), ("5#", "5", "lb"), ("5 #", "5", "lb"),
        ("1,200 g", "1200", "g"), ("1,200.5 g", "2401/2", "g"), ("1,234,567 g", "1234567", "g"),
        (".5 l", "1/2", "l"), ("2.50 L", "5/2", "l"), ("3", "3", None), ("0", "0", None),
        ("1/3", "1/3", None), ("18 exact", "18", None), ("exactly 18 jars", "18", "jar"),
        ("18 jars (exact count)", "18", "jar"), ("a jar", "1", "jar"), ("three bags", "3", "bag"),
        ("half a box", "1/2", "box"), ("half a dozen", "1/2", "dozen"), ("half pint", "1/2", "pt"),
        ("three quarters of a jar", "3/4", "jar"), ("no jars", "0", "jar"), ("none", "0", None),
        ("3 half-pints", "3", "half-pint"), ("3 half pints", "3", "half-pint"),
        ("72 hp", "72", "half-pint"), ("2 gallons", "2", "gal"), ("3 imp qt", "3", "imp qt"),
        ("3 imperial pints", "3", "imp pt"), ("2 UK gallons", "2", "imp gal"),
        ("2 dry quarts", "2", "dry qt"), ("2 US dry pints", "2", "dry pt"),
        ("1 US gallon", "1", "gal"), ("12 fl. oz.", "12", "fl oz"), ("12 floz", "12", "fl oz"),
        ("2 bu", "2", "bushel"), ("1 peck", "1", "peck"), ("1 lug", "1", "lug"),
        ("4 qt jars", "4", "qt jar"), ("2 quart bags", "2", "qt bag"), ("2 pkts", "2", "packet"),
        ("34 qt + 1 pt", "69/2", "qt"), ("3 lb 4 oz", "13/4", "lb"), ("3 lb, 4 oz", "13/4", "lb"),
        ("2 stone and 7 lb", "5/2", "stone"), ("2 litres", "2", "l"), ("2 liters", "2", "l"),
        ("6 lb, in the pod", "6", "lb"), ("2 boxes ", "2", "box"), ("2 \u00a0 jars", "2", "jar"),
    ],
)  # fmt: skip
def test_exact(text: str, n: str, unit: str | None) -> None:
    said = parse(text)
    assert (said.n, said.low, said.high, said.unit) == (Fraction(n), None, None, unit)
    assert said.text == text


@pytest.mark.parametrize(
    ("text", "n", "low", "high", "unit"),
    [
        ("3-4 lb", "7/2", "3", "4", "lb"),
        ("3 \u2013 4 lbs", "7/2", "3", "4", "lb"),
        ("3 to 4 lb", "7/2", "3", "4", "lb"),
        ("3 or 4 jars", "7/2", "3", "4", "jar"),
        ("3 lb to 4 lb", "7/2", "3", "4", "lb"),
        ("between 3 and 4 lb", "7/2", "3", "4", "lb"),
        ("1 1/2-2 lb", "7/4", "3/2", "2", "lb"),
        ("1-1/2-2 lb", "7/4", "3/2", "2", "lb"),
        ("0-1/2 lb", "1/4", "0", "1/2", "lb"),
        ("~50-60", "55", "50", "60", None),
        ("about 26 (22-30) lb", "26", "22", "30", "lb"),
        ("up to 5 lb", "5/2", "0", "5", "lb"),
        ("about 60", "60", "51", "69", None),
        ("~60", "60", "51", "69", None),
        ("some 60", "60", "51", "69", None),
        ("60 or so", "60", "51", "69", None),
        ("60?", "60", "51", "69", None),
        ("? maybe 6 lb, in the pod", "6", "5", "7", "lb"),
        ("about 1 1/2 lb", "3/2", "51/40", "69/40", "lb"),
        ("5+ lb", "5", "5", None, "lb"),
        ("at least 5 lb", "5", "5", None, "lb"),
        ("9 or more jars", "9", "9", None, "jar"),
        ("some", "0", "0", None, None),
        ("several", "0", "0", None, None),
        ("several bunches", "0", "0", None, "bunch"),
        ("a few jars", "0", "0", None, "jar"),
        ("lots of jars", "0", "0", None, "jar"),
        ("unknown", "0", "0", None, None),
        ("?", "0", "0", None, None),
    ],
)
def test_estimates(text: str, n: str, low: str, high: str | None, unit: str | None) -> None:
    said = parse(text)
    assert (said.n, said.low) == (Fraction(n), Fraction(low))
    assert said.high == (None if high is None else Fraction(high))
    assert said.unit == unit


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "No amount was given"), ("  ", "No amount was given"),
        ("2,5 kg", "write 2.5 with a point, or 25 without the comma"),
        ("0,200 kg", "write 0.200 with a point, or 200 without the comma"),
        ("1234,567 g", "could be read in two ways"), ("1.250 ml", "write 1.25, or 1250 without the point"),
        ("2 dozen eggs", "the food apart"),
        ("12 qt green beans", "the food apart"), ("2 wombats", "“wombats” is not a unit known here"),
        ("2 pk", "may be a peck or a packet: write which"), ("3 t", "a teaspoon or a tonne"),
        ("5 tons", "short tons, long tons or tonnes"), ("5 gr", "grams or grains"),
        ("-3 lb", "below nought"), ("1/0 lb", "divides by nought"), ("1 3/2 lb", "a part of one or more"),
        ("4-3 lb", "write the smaller figure first"), ("3-3 lb", "write the smaller figure first"),
        ("3 lb - 4 kg", "two units"), ("3 lb + 1 qt", "adds lb and qt"), ("3 jars + 1 bag", "adds jar and bag"),
        ("26 (27-30) lb", "does not lie between"), ("exactly about 5", "says exact and also about"),
        ("about 5 exact", "says exact and also about"), ("3-4 exact", "says exact and also about"),
        ("99999999999 kg", "more than the books can hold"), ("5-99999999999 kg", "more than the books"),
        ("1.2.3", "is not an amount"), ("1 2 3", "is not an amount"), ("3-4-5 lb", "is not an amount"),
        ("1,2,3", "is not an amount"), ("3 4 lb", "is not an amount"), ("about", "is not an amount"),
        ("1e5", "is not an amount"), ("nan", "is not an amount"), ("inf kg", "is not an amount"),
        ("\u0663 lb", "is not an amount"), ("2\u00b2 lb", "is not a unit"), ("lb", "is not an amount"),
        ("1\x00 lb", "cannot be printed"), ("1" * 300, "too long"), ("half", "is not an amount"),
        ("2 #10 cans", "is not an amount"), ("1_000 g", "is not an amount"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_said_in_one_sentence(text: str, says: str) -> None:
    with pytest.raises(NotUnderstood) as raised:
        parse(text)
    assert says in str(raised.value)
    assert str(raised.value).endswith(".")
    assert "\n" not in str(raised.value)


def test_a_households_own_units_go_first() -> None:
    own = ("puck", "#10 can", "Pie bag", "qt")
    assert parse("3 pucks", own).unit == "puck"
    assert parse("2 #10 cans", own).unit == "#10 can"
    assert parse("13 pie bags", own).unit == "Pie bag"
    assert parse("1 \u00bd quarts", own).unit == "qt"
    with pytest.raises(NotUnderstood, match="zorbs"):
        parse("3 zorbs", own)
    assert parse("3 zorbs", ["zorb"]).unit == "zorb"


@pytest.mark.parametrize(
    ("text", "unit"),
    [("1 qt", "imp qt"), ("1 pint", "imp pt"), ("1 gal", "imp gal"), ("3 fl oz", "imp fl oz"),
     ("1 bushel", "imp bushel"), ("1 US qt", "qt"), ("1 dry qt", "dry qt"), ("1 lb", "lb"),
     ("2 pint jars", "imp pt jar"), ("1 litre", "l"), ("2 US cups", "cup")],
)  # fmt: skip
def test_a_household_that_measures_in_imperial(text: str, unit: str) -> None:
    assert parse(text, system="imperial").unit == unit


@pytest.mark.parametrize("text", ["2 cups", "1 tbsp", "3 teaspoons"])
def test_cups_and_spoons_are_not_imperial(text: str) -> None:
    with pytest.raises(NotUnderstood, match="is not an imperial measure: write US"):
        parse(text, system="imperial")


@given(st.sampled_from(sorted(q.UNITS)), st.integers(0, 10**8))
def test_every_unit_is_read_by_each_of_its_names(name: str, n: int) -> None:
    grains = n * 504
    for word in (name, q.plural(name, grains), *q.UNITS[name].words):
        assert q.canonical_unit(word) == name
    said = parse(q.show_amount(q.grains(Fraction(n, 4)), name))
    assert (said.n, said.unit) == (Fraction(n, 4), name)


@given(st.integers(0, 4000), st.integers(0, 4000), st.integers(1, 4000))
def test_an_estimate_reads_back_from_its_words(least: int, more: int, most: int) -> None:
    low, n, high = (
        Fraction(quarters, 4) for quarters in (least, least + more, least + more + most)
    )
    said = parse(q.show_amount(q.grains(n), "jar", q.grains(low), q.grains(high)))
    assert (said.n, said.low, said.high, said.unit) == (n, low, high, "jar")


def test_no_word_names_two_units() -> None:
    words = [word for unit in q.UNITS.values() for word in {unit.name, *unit.words}]
    assert len(words) == len(set(words))


@given(st.text(max_size=30) | st.text("0123456789 ,./-+~?()#abouthalfpintqlbs\u00bd", max_size=24))
def test_any_text_is_understood_or_refused(text: str) -> None:
    with suppress(NotUnderstood):
        said = parse(text)
        assert said.n is not None
        assert said.low is None or 0 <= said.low <= said.n
        assert said.high is None or said.n <= said.high
        q.amount_of(said, said.unit or "jar")


@pytest.mark.parametrize("text", ["", "x", "1/2 lb", "1,2", "-1", "1 2", "1/0"])
def test_one_figure_alone(text: str) -> None:
    with pytest.raises(NotUnderstood):
        q.number(text)
