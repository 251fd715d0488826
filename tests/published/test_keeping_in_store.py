"""Lives at the temperatures that the publications print them for, asked of the reckoning itself.

Figures are typed in from the publication named beside them; each is asked for as the household's
chosen source, at a temperature of its own. Also: series, Handbook 66's relative rates, curing, who
harms whom, and the cold that hurts. Nothing here was read second-hand.
"""

import itertools

import pytest

from events.keeping.curve import DAY, Curve
from events.keeping.exposure import Exposure
from events.keeping.life import Life, Lives, Question
from events.keeping.models import q10_factors
from events.keeping.profile import cycle_of
from events.keeping.rates import WHOLE, Rates
from events.tables import load

TABLES = load()
LIVES = Lives(TABLES)


def celsius(fahrenheit: float) -> int:
    return round((fahrenheit - 32) * 5000 / 9)


def life(food: str, kind: str, source: str, milli: int, form: str = "", variety: str = "") -> Life:
    question = Question(names=(food,), form=form, kind=kind, source=source, variety=variety)
    answer = Rates(LIVES, question).at(milli)
    assert isinstance(answer, Life)
    assert answer.row.source_id == source
    assert answer.source.published
    return answer


# (food, variety, source, degrees F as printed, low days as printed or None, high days or None)
AT = [
    # Handbook 66, USDA, vegetable holding table of 1954: 38-40 F, 24-26 weeks; 32 F the others
    ("potatoes", "", "ah66_1954", 39, 168, 182),
    ("beets", "topped", "ah66_1954", 32, 49, 56),
    ("carrots", "topped", "ah66_1954", 32, 112, 140),
    ("cabbage", "", "ah66_1954", 32, 84, 112),
    ("parsnips", "topped", "ah66_1954", 32, 168, 182),
    ("winter squash", "", "ah66_1954", 52, 168, 182),
    # Handbook 66 of 1968: apples at 30-40 F, 3-8 months
    ("apples", "", "ah66_1968", 35, 91, 244),
    # Handbook 66, revision of 2002, at 0 C: cabbage 3-6 months, carrots 7-9 months
    ("cabbage", "", "ah66_2002_t2", 32, 91, 183),
    ("carrots", "topped", "ah66_2002_t2", 32, 213, 274),
    # Storing Winter Storage Vegetables, Iowa State: 40 F, dark, 5-8 months
    ("potatoes", "", "isu_winter", 40, 152, 244),
    # Produce Facts: Onions, UC Davis: pungent at 0 C, 6-9 months; mild half a month to one
    ("onions", "pungent", "ucd_onion", 32, 183, 274),
    ("onions", "mild", "ucd_onion", 32, 15, 30),
    # Fresh Vegetable Storage, Wisconsin: onions 32 F 5-8 months; garlic 50-60 F 6-8 months
    ("onions", "", "uw_harrison", 32, 152, 244),
    ("garlic", "", "uw_harrison", 55, 183, 244),
    ("beets", "", "uw_harrison", 32, 30, 91),
    ("parsnips", "", "uw_harrison", 32, 61, 183),
    # Produce Facts: Garlic, UC Davis: 20-30 C 1-2 months
    ("garlic", "", "ucd_garlic", 77, 30, 61),
    # Optimal Storage Conditions, UMass: 32 F: beets 4-6, cabbage 4-6, carrots 5-9, parsnips 2-6,
    # garlic 6-7 months
    ("beets", "", "umass_storage", 32, 122, 183),
    ("cabbage", "", "umass_storage", 32, 122, 183),
    ("carrots", "", "umass_storage", 32, 152, 274),
    ("parsnips", "", "umass_storage", 32, 61, 183),
    ("garlic", "", "umass_storage", 32, 183, 213),
    # Storing Fall Garden Produce, Iowa State: squash by type at 50-55 F
    ("acorn squash", "", "isu_squash", 52, 35, 56),
    ("butternut squash", "", "isu_squash", 52, 61, 91),
    ("hubbard squash", "", "isu_squash", 52, 152, 183),
    # Home Vegetable Storage Requirements, Iowa State: 55-60 F; UC Davis: 12.5-15 C, 6-10 months
    ("sweet potatoes", "", "isu_2017", 57, 122, 183),
    ("sweet potatoes", "", "ucd_sweetpotato", 57, 183, 304),
    # AIB 410, USDA 1977, page 96: pears at 30-31 F: bartlett up to 3 months, anjou up to 6
    ("pears", "bartlett", "aib410_pome", 30.5, None, 91),
    ("pears", "anjou", "aib410_pome", 30.5, None, 183),
    # What are the best storage conditions for apples?, Iowa State: 30-32 F, 3-6 months
    ("apples", "jonathan", "isu_apple", 31, 91, 183),
]  # fmt: skip


@pytest.mark.parametrize(("food", "variety", "source", "fahrenheit", "low", "high"), AT)
def test_at_its_printed_temperature_a_crop_keeps_as_printed(
    food: str, variety: str, source: str, fahrenheit: float, low: int | None, high: int
) -> None:
    question = Question(names=(food,), kind="cellar", source=source, variety=variety)
    rates = Rates(LIVES, question)
    store = Curve(cycle_of((celsius(fahrenheit),) * 12), {}, {})
    exposure = Exposure(store, rates)
    answer = life(food, "cellar", source, celsius(fahrenheit), variety=variety)
    assert exposure.when("high", 0, WHOLE) == high * DAY
    if low is not None:
        assert exposure.when("low", 0, WHOLE) == low * DAY
    assert answer.derived == (low is None)
    assert not [clause for clause in answer.said if clause.startswith(("warmer", "colder"))]


# (food, form, kind, source, [(degrees F, days up to which)])
SERIES = [
    # Food storage pages, Utah State: apples and apricots in cans, 48, 24, 12 months
    ("apples", "home-canned", "usu_storage", [(40, 1461), (70, 731), (90, 365)]),
    ("apricots", "home-canned", "usu_storage", [(40, 1461), (70, 731), (90, 365)]),
    # the same: dried apricots, 24, 3 and 1 months
    ("apricots", "dried", "usu_storage", [(40, 731), (70, 91), (90, 30)]),
    # So Easy to Preserve, Georgia: dried fruit 1 year at 60 F, 6 months at 80 F
    ("apples", "dried", "uga_drying", [(60, 365), (80, 183)]),
    # On Storing Milk, 1979: dry milk up to two years at 40 F and one at 70 F
    ("dry milk", "", "byu_ensign_milk", [(40, 730), (70, 365)]),
]  # fmt: skip


@pytest.mark.parametrize(("food", "form", "source", "points"), SERIES)
def test_a_series_is_met_at_its_points_and_read_off_between_them(
    food: str, form: str, source: str, points: list[tuple[float, int]]
) -> None:
    for fahrenheit, high in points:
        found = life(food, "room", source, celsius(fahrenheit), form)
        assert found.high_days is not None
        assert abs(found.high_days - high) <= max(1, high // 150)
    for (cold, longer), (warm, shorter) in itertools.pairwise(points):
        middle = life(food, "room", source, celsius((cold + warm) / 2), form).high_days
        # halfway the geometric mean: the logarithm of life on a straight line
        assert middle == pytest.approx((longer * shorter) ** 0.5, rel=0.01)


def test_beyond_a_series_nothing_is_reckoned_but_by_a_printed_q10() -> None:
    milk = life("dry milk", "room", "byu_ensign_milk", celsius(95))
    assert milk.high_days == 365
    assert milk.said[-1].startswith("warmer than")
    # How long should dried fruits be stored?, Missouri 2009: three to four times for 18 F, 15-32 C
    fruit = life("apples", "room", "uga_drying", celsius(86), "dried")
    assert fruit.high_days == pytest.approx(183 / 3 ** ((30 - 26.7) / 10), abs=1)
    # Utah State's own points end at 90 F
    assert life("apricots", "room", "usu_storage", celsius(104), "dried").high_days == 30


def test_handbook_66s_bands_of_q10() -> None:
    # Handbook 66, draft revision of 2002: 2.5-4.0, 2.0-2.5, 1.5-2.0, 1.0-1.5 for 0-10 ... 30-40 C
    produce = [band for band in TABLES.q10 if band.foods == "fresh-produce"]
    assert [(float(band.low), float(band.high)) for band in produce] == [
        (2.5, 4.0), (2.0, 2.5), (1.5, 2.0), (1.0, 1.5),
    ]  # fmt: skip
    # its worked example (3, 2.5, 2, 1.5): relative rates 1, 3, 7.5, 15, 22.5 lie within them
    for milli, rate in ((0, 1), (10_000, 3), (20_000, 7.5), (30_000, 15), (40_000, 22.5)):
        least, most = q10_factors(produce, 0, milli)
        assert least <= rate <= most
    # and so do its keeping times: 100, 33, 13, 7 and 4
    for milli, time in ((10_000, 33), (20_000, 13), (30_000, 7), (40_000, 4)):
        least, most = q10_factors(produce, 0, milli)
        assert 100 / most - 1 <= time <= 100 / least + 1


def test_apples_spoil_two_to_three_times_as_fast_at_50_f_as_at_32() -> None:
    # What are the best storage conditions for apples?, Iowa State University Extension
    apples = [band for band in TABLES.q10 if band.foods == "apple"]
    assert q10_factors(apples, 0, 10_000) == (2.0, 3.0)


@pytest.mark.parametrize(
    ("crop", "source", "fahrenheit", "days"),
    [
        # Storing Winter Storage Vegetables, Iowa State: potatoes at 50-60 F for 2 weeks
        ("potato", "isu_winter", (50, 60), (14, 14)),
        # Potato postharvest handling, Utah State: 50-60 F, 2-3 weeks
        ("potato", "usu_potato", (50, 60), (14, 21)),
        # Fresh Vegetable Storage, Wisconsin: onions, garlic, squash at 80 F for 2 weeks
        ("onion", "uw_harrison", (80, 80), (14, 14)),
        ("garlic", "uw_harrison", (80, 80), (14, 14)),
        ("winter-squash", "uw_harrison", (80, 80), (14, 14)),
        # Cold storage of root crops, Saskatchewan: garlic 3-4 weeks
        ("garlic", "usask_cold", None, (21, 28)),
        # Circular 699, USDA 1944: sweet potatoes at 80-85 F for 10-14 days
        ("sweet-potato", "usda_c699", (80, 85), (10, 14)),
        # Storing Fall Garden Produce, Iowa State: sweet potatoes at 80-85 F for a week
        ("sweet-potato", "isu_squash", (80, 85), (7, 7)),
    ],
)
def test_how_a_crop_is_cured(
    crop: str, source: str, fahrenheit: tuple[int, int] | None, days: tuple[int, int]
) -> None:
    found = next(row for row in TABLES.curing[crop] if row.source_id == source and row.days_low)
    assert (found.days_low or 0, found.days_high or 0) == days
    if fahrenheit is None:
        assert found.low_milli is None
    else:
        assert found.low_milli == pytest.approx(celsius(fahrenheit[0]), abs=51)
        assert found.high_milli == pytest.approx(celsius(fahrenheit[1]), abs=51)
    assert TABLES.sources[source].published


def test_who_gives_off_ethylene_and_who_suffers() -> None:
    def of(role: str, source: str) -> set[str]:
        return {
            food for food, rows in TABLES.neighbours.items()
            if any((row.role, row.source_id) == (role, source) for row in rows)
        }  # fmt: skip

    # Your Produce May Be Getting Gassed, Penn State
    assert {"apple", "pear", "apricot", "peach", "nectarine"} <= of("producer", "psu_ethylene")
    assert {"carrot", "parsnip", "broccoli", "cabbage", "kale", "spinach", "cucumber",
            "winter-squash"} <= of("sensitive", "psu_ethylene")  # fmt: skip
    # Iowa State: fruit nearby makes potatoes sprout, ripening fruit shortens the life of squash
    assert of("sensitive", "isu_winter") == {"potato"}
    assert of("sensitive", "isu_squash") == {"winter-squash"}
    # UMass: carrots turn bitter; Storing vegetables, Vermont: apples beside potatoes and carrots
    assert {"carrot", "cabbage"} <= of("sensitive", "umass_storage")
    assert of("sensitive", "uvm_vegstore") == {"potato", "carrot"}
    # smells: Vermont, K-State, Minnesota, UC Davis
    assert {"potato", "cabbage", "turnip", "kale"} <= of("odor", "uvm_vegstore")
    assert of("odor", "ksu_rootcellar") == {"turnip", "cabbage"}
    assert of("odor", "umn_rootveg") == {"rutabaga", "turnip", "cabbage"}


@pytest.mark.parametrize(
    ("food", "harm", "source", "celsius_printed"),
    [
        # Handbook 66, 1968, highest freezing points of fruit; UMass: brassicas; AIB 410: pears
        ("apple", "freezing", "ah66_1968", -1.5),
        ("cabbage", "freezing", "umass_storage", -1.1),
        ("pear", "freezing", "aib410_pome", -1.7),
        # Avoid Sweetpotato Chilling Injury, Mississippi State: below 55 F; Michigan State: 50 F
        ("sweet-potato", "chilling", "msstate_sweet", 12.8),
        ("sweet-potato", "chilling", "msu_sweetpotato", 10.0),
        # VegEdge, Cornell 2012: onions freeze at 31 F
        ("onion", "freezing", "cornell_onion", -0.6),
        # Storing Winter Storage Vegetables, Iowa State: potatoes sprout above 50 F
        ("potato", "sprouting", "isu_winter", 10.0),
        # Produce Facts, UC Davis: onions and garlic sprout from 5 C
        ("onion", "sprouting", "ucd_onion", 5.0),
        ("garlic", "sprouting", "ucd_garlic", 5.0),
    ],
)
def test_the_cold_that_hurts_and_the_warmth_that_sprouts(
    food: str, harm: str, source: str, celsius_printed: float
) -> None:
    found = [
        row.milli for row in TABLES.limits[food] if (row.harm, row.source_id) == (harm, source)
    ]
    assert found == [round(celsius_printed * 1000)]
    assert TABLES.sources[source].published
