"""Kept lives that the reckoning uses, typed in from the publications named beside them.

Only figures read at their publisher's or in a reprint stand here. What was read second-hand has a
suite of its own, which asserts nothing as published.
"""

import pytest

from events.tables import Keeping, load

TABLES = load()

# (food, variety, form, source_id, temperature as printed, life as printed, low days, high days)
LIVES = [
    # Canning (Master Food Preservers), UC Agriculture and Natural Resources:
    # home-preserved jars at 50-70 F, use within 12 months
    ("any", "", "home-canned-low-acid", "ucanr_canning", "50-70 F", "up to 12 months", None, 365),
    ("any", "", "home-canned-high-acid", "ucanr_canning", "50-70 F", "up to 12 months", None, 365),
    # Tips for Safely Preserving the Harvest, Utah State University Extension, shelf life:
    # one year, and use before two
    ("any", "", "home-canned-low-acid", "usu_news", "", "1-2 years", 365, 730),
    # Food FAQs, UF/IFAS Extension Alachua County: a year or more in a cool dry place
    ("any", "", "home-canned-low-acid", "ufl_canfaq", "cool dry place", "1 year or more", 365, None),
    # Freezer shelf life table, National Center for Home Food Preservation, 2005, months at 0 F
    ("fruit", "", "frozen", "nchfp_freezer", "0 F", "8-12 months", 244, 365),
    ("vegetable", "", "frozen", "nchfp_freezer", "0 F", "8-12 months", 244, 365),
    ("poultry", "", "frozen", "nchfp_freezer", "0 F", "6-9 months", 183, 274),
    ("fish", "", "frozen", "nchfp_freezer", "0 F", "3-6 months", 91, 183),
    ("ground-meat", "", "frozen", "nchfp_freezer", "0 F", "3-4 months", 91, 122),
    ("cured-meat", "", "frozen", "nchfp_freezer", "0 F", "1-2 months", 30, 61),
    # Storing Food in the Cupboard, MP557, University of Missouri Extension, pages 2 and 6
    ("potato", "", "fresh", "mu_mp557_6", "cupboard", "2-4 weeks", 14, 28),
    ("sweet-potato", "", "fresh", "mu_mp557_6", "cupboard", "1-2 weeks", 7, 14),
    ("onion", "", "fresh", "mu_mp557_6", "cupboard", "2 weeks", 14, 14),
    ("dry-bean", "", "dry-staple", "mu_mp557_6", "cupboard", "12 months", 365, 365),
    ("peanut-butter", "", "dry-staple", "mu_mp557_6", "cupboard", "2-3 months", 61, 91),
    ("white-flour", "", "dry-staple", "mu_mp557_2", "cupboard", "6-8 months", 183, 244),
    ("oatmeal", "hot cereal, dry", "dry-staple", "mu_mp557_2", "cupboard", "6 months", 183, 183),
    ("honey", "", "dry-staple", "mu_mp557_2", "cupboard", "12 months", 365, 365),
    ("jam", "", "jam", "mu_mp557_2", "cupboard", "12 months", 365, 365),
    # Storing Fall Garden Produce, Yard and Garden, Iowa State University Extension, 2016
    ("winter-squash", "acorn", "fresh", "isu_squash", "50-55 F", "5-8 weeks", 35, 56),
    ("winter-squash", "butternut", "fresh", "isu_squash", "50-55 F", "2-3 months", 61, 91),
    ("winter-squash", "hubbard", "fresh", "isu_squash", "50-55 F", "5-6 months", 152, 183),
    # Canning, Freezing, Storing Garden Produce, AIB 410, USDA, 1977: general home storage
    ("carrot", "", "fresh", "aib410", "", "all winter", None, None),
    ("root-crop", "", "fresh", "aib410", "", "3-6 months", 91, 183),
    ("onion", "", "fresh", "aib410", "", "6-10 months", 183, 304),
    # Storing vegetables, University of Vermont Extension: proper storage
    ("potato", "", "fresh", "uvm_vegstore", "proper storage", "up to 6 months", None, 183),
    # Produce Facts: Garlic, UC Davis Postharvest, temperature section
    ("garlic", "", "fresh", "ucd_garlic", "20-30 C", "1-2 months", 30, 61),
    # Garlic paragraph of Agriculture Handbook 66, USDA, as a horticulture newsletter quotes it
    ("garlic", "", "fresh", "ah66_garlic", "common storage", "3-4 months", 91, 122),
    # Storing Root Vegetables, University of Minnesota Extension, in a regional newspaper
    ("carrot", "", "fresh", "umn_rootveg", "32-40 F", "8 months", 244, 244),
    # Properly store your fall produce, Michigan State University Extension
    ("apple", "", "fresh", "msu_fall", "32-40 F", "up to 1 month", None, 30),
    # Food storage pages: apples to canned goods, Utah State University Extension
    ("apricot", "", "dried", "usu_storage", "70 F", "up to 3 months", None, 91),
    ("barley", "", "dry-staple", "usu_storage", "below 60 F", "2 years", 730, 730),
    # Food Storage in the Home, EC 257, Utah State University Extension: pantry tables
    ("vegetable", "", "commercially-canned", "usu_ec257", "cool area", "12 months", 365, 365),
    ("fruit", "", "dried", "usu_ec257", "", "6 months", 183, 183),
]  # fmt: skip


def _rows(food: str, variety: str, form: str, source: str, printed: str) -> list[Keeping]:
    return [
        row
        for row in TABLES.keeping
        if (row.food, row.variety, row.form, row.source_id, row.temp_as_printed)
        == (food, variety, form, source, printed)
    ]


@pytest.mark.parametrize(
    ("food", "variety", "form", "source", "printed", "life", "low", "high"), LIVES
)
def test_a_life_is_as_its_source_prints_it(
    food: str,
    variety: str,
    form: str,
    source: str,
    printed: str,
    life: str,
    low: int | None,
    high: int | None,
) -> None:
    ends = [
        (row.life_as_printed, row.life_low_days, row.life_high_days)
        for row in _rows(food, variety, form, source, printed)
    ]
    assert (life, low, high) in ends
    assert TABLES.sources[source].published


def test_temperatures_in_celsius_are_those_printed_in_fahrenheit() -> None:
    checked = 0
    for row in TABLES.keeping:
        printed = row.temp_as_printed.removesuffix(" F")
        if row.temp_as_printed == printed or not printed.replace("-", "").isdigit():
            continue
        low, _, high = printed.partition("-")
        for degrees, milli in ((low, row.temp_low_milli), (high or low, row.temp_high_milli)):
            assert milli is not None, row
            assert abs(milli - (int(degrees) - 32) * 5000 / 9) <= 51, row
        checked += 1
    assert checked > 100


def test_days_are_those_of_the_words_printed() -> None:
    days = {"day": 1.0, "week": 7.0, "month": 30.44, "year": 365.0}
    checked = 0
    for row in TABLES.keeping:
        words = row.life_as_printed.removeprefix("up to ").split()
        size = days.get(words[1].removesuffix("s")) if len(words) == 2 else None
        if size is None or row.life_high_days is None:
            continue
        high = float(words[0].partition("-")[2] or words[0])
        assert abs(row.life_high_days - high * size) <= max(1.0, high * size / 150), row
        checked += 1
    assert checked > 250
