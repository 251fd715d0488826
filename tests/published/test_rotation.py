"""What the order of use goes by, food by food, with every publication that prints another figure.

The figures are typed in from the publications named beside them. Where they disagree, the shortest
decides and the others are told; a household may choose among them. They are about quality.
"""

import pytest

from events.keeping.life import Life
from events.kinds import FoodSet, Received, StoreSet
from events.readings.reasons import reasons
from events.readings.rotation import use_first
from events.tables import load
from tests.build import Household
from tests.tale import amount, day

TABLES = load()

# (food, form, kind of store, the source that decides, {source: life as printed})
CLOSED = [
    # Squash by type. Yard and Garden: Storing Fall Garden Produce, Iowa State University Extension
    ("acorn squash", "", "room", "isu_squash", {"isu_squash": "5-8 weeks"}),
    ("butternut squash", "", "room", "isu_squash", {"isu_squash": "2-3 months"}),
    ("hubbard squash", "", "room", "isu_squash", {"isu_squash": "5-6 months"}),
    # No row for delicata: winter squash in general. Garden keepers, University of Vermont;
    # Fresh Vegetable Storage, University of Wisconsin; Handbook 66, USDA 1954
    ("delicata squash", "", "room", "uvm_keepers",
     {"uvm_keepers": "2-6 months", "uw_harrison": "3-6 months", "ah66_1954": "24-26 weeks"}),
    # In a cellar: Storing vegetables, University of Vermont; AIB 410, USDA 1977
    ("butternut squash", "", "cellar", "uvm_vegstore",
     {"uvm_vegstore": "up to 5 months", "aib410": "3-6 months"}),
    ("pumpkin", "", "room", "uw_harrison",
     {"uw_harrison": "2-3 months", "uvm_keepers": "2-3 months", "ah66_1954": "12-26 weeks"}),
    # Roots. Storing Food in the Cupboard, MP557, University of Missouri; Storing Winter Storage
    # Vegetables, Iowa State (sprouting may begin)
    ("potatoes", "", "kitchen", "mu_mp557_6",
     {"mu_mp557_6": "2-4 weeks", "isu_winter": "2-3 months"}),
    ("beets", "", "cellar", "uvm_vegstore",
     {"uvm_vegstore": "up to 4 months", "aib410": "3-6 months"}),
    # Properly store your fall produce, Michigan State; Storing Root Vegetables, Minnesota
    ("beets", "", "refrigerator", "msu_fall", {"msu_fall": "7-10 days", "umn_rootveg": "5 months"}),
    ("carrots", "", "refrigerator", "umn_rootveg", {"umn_rootveg": "8 months"}),
    ("turnips", "", "refrigerator", "umn_rootveg", {"umn_rootveg": "4 months"}),
    ("parsnips", "", "outbuilding", "aib410", {"aib410": "3-6 months"}),
    # MP557; Wisconsin; Home Vegetable Storage Requirements, Iowa State; UC Davis Postharvest
    ("sweet potatoes", "", "kitchen", "mu_mp557_6",
     {"mu_mp557_6": "1-2 weeks", "uw_harrison": "4-6 months", "isu_2017": "4-6 months",
      "ucd_sweetpotato": "6-10 months", "ucd_prop": "4-7 months"}),
    # Alliums. MP557; Michigan State; Produce Facts: Onions, UC Davis (words, no figure)
    ("onions", "", "kitchen", "mu_mp557_6",
     {"mu_mp557_6": "2 weeks", "msu_fall": "1-8 months", "ucd_onion": "not recommended for long"}),
    ("onions", "", "cellar", "uvm_vegstore",
     {"uvm_vegstore": "up to 7 months", "aib410": "6-10 months"}),
    # Produce Facts: Garlic, UC Davis, at 20-30 C; Wisconsin, at 50-60 F; Handbook 66's garlic notes
    ("garlic", "", "kitchen", "ucd_garlic",
     {"ucd_garlic": "1-2 months", "uw_harrison": "6-8 months"}),
    ("garlic", "", "outbuilding", "ah66_garlic", {"ah66_garlic": "3-4 months"}),
    # Apples. Michigan State; Handbook 66, USDA 1968, at 30-40 F
    ("apples", "", "refrigerator", "msu_fall",
     {"msu_fall": "up to 1 month", "ah66_1968": "3-8 months"}),
    # Frozen, by kind. Freezer shelf life, National Center for Home Food Preservation, 2005;
    # Successful Storage of Garden Produce, Wisconsin 2013; food storage pages, Utah State
    ("strawberries", "frozen", "freezer", "nchfp_freezer",
     {"nchfp_freezer": "8-12 months", "uw_harvest": "8-12 months"}),
    ("apples", "frozen", "freezer", "nchfp_freezer",
     {"nchfp_freezer": "8-12 months", "usu_storage": "up to 18 months"}),
    ("green beans", "frozen", "freezer", "nchfp_freezer",
     {"nchfp_freezer": "8-12 months", "uw_harvest": "8-12 months"}),
    ("chicken", "frozen", "freezer", "nchfp_freezer", {"nchfp_freezer": "6-9 months"}),
    ("fish", "frozen", "freezer", "nchfp_freezer", {"nchfp_freezer": "3-6 months"}),
    ("ground beef", "frozen", "freezer", "nchfp_freezer", {"nchfp_freezer": "3-4 months"}),
    ("bacon", "frozen", "freezer", "nchfp_freezer", {"nchfp_freezer": "1-2 months"}),
    # Cold Storage Chart, NSF; Dairy products storage, UF/IFAS
    ("cheese", "frozen", "freezer", "nsf_dairy", {"nsf_dairy": "6 months", "ufl_dairy": "6-8 months"}),
    # Staples. Cupboard charts of Michigan State (at 70 F), Missouri and Kansas State
    ("white flour", "", "room", "msu_cupboard",
     {"msu_cupboard": "6-8 months", "mu_mp557_2": "6-8 months", "ksu_cupboard": "6-8 months"}),
    ("cornmeal", "", "room", "ksu_cupboard",
     {"ksu_cupboard": "4-6 months", "mu_mp557_2": "12 months", "msu_cupboard": "18 months"}),
    ("pasta", "", "room", "msu_cupboard", {"msu_cupboard": "2 years"}),
    ("honey", "", "room", "msu_cupboard",
     {"msu_cupboard": "12 months", "mu_mp557_2": "12 months", "ksu_cupboard": "12 months"}),
    ("brown rice", "", "room", "usu_storage", {"usu_storage": "up to 6 months"}),
    # Dried Beans, Utah State 2013; MP557
    ("dried beans", "", "room", "usu_beans",
     {"usu_beans": "12 months", "mu_mp557_6": "12 months"}),
    # Home-canned. UC; Utah State; UF/IFAS; Wisconsin
    ("green beans", "home-canned", "room", "ucanr_canning",
     {"ucanr_canning": "up to 12 months", "usu_news": "1-2 years",
      "ufl_canfaq": "1 year or more", "uw_harvest": "1-2 years"}),
    # Commercially canned. EC 257, Utah State; Recommended Food Storage Times, Franklin County 2007
    ("green beans", "commercially-canned", "room", "usu_ec257",
     {"usu_ec257": "12 months", "franklin_co": "2-5 years"}),
]  # fmt: skip

# Opened packages: (food, kind of store, the source that decides, life as printed, low, high days)
OPENED = [
    # Storing Food in the Cupboard, MP557, University of Missouri Extension, pages 5 and 6
    ("peanut butter", "kitchen", "mu_mp557_6", "2-3 months", 61, 91),
    ("mustard", "kitchen", "mu_mp557_5", "6-8 months", 183, 244),
    # Dairy products storage, UF/IFAS Extension Nassau County: hard cheese once opened
    ("cheese", "refrigerator", "ufl_dairy", "2-3 weeks", 14, 21),
]


def house(kind: str) -> Household:
    home = Household()
    home.say(StoreSet(store="here", facts={"kind": kind}))
    return home


def told(home: Household) -> tuple[Life, str]:
    """The life that the first to use goes by, and all that is said of why."""
    use = use_first(home.book, TABLES)[0]
    assert isinstance(use.life, Life), use.life
    return use.life, "\n".join(reasons(use, TABLES))


@pytest.mark.parametrize(("food", "form", "kind", "decides", "printed"), CLOSED)
def test_the_shortest_decides_and_who_differs_is_told(
    food: str, form: str, kind: str, decides: str, printed: dict[str, str]
) -> None:
    home = house(kind)
    origin = "bought" if form == "commercially-canned" else None
    home.say(Received(food=food, amount=amount(5, "lb"), store="here", form=form or None,
                      origin=origin))  # type: ignore[arg-type]  # fmt: skip
    life, why = told(home)
    assert life.row.source_id == decides
    assert life.row.life_as_printed == printed[decides]
    lines = why.splitlines()
    for source, figure in printed.items():
        assert any(figure in line and f"[{source}]" in line for line in lines), (source, why)


@pytest.mark.parametrize(("food", "kind", "source", "printed", "low", "high"), OPENED)
def test_an_opened_package_goes_by_its_opened_life(
    food: str, kind: str, source: str, printed: str, low: int, high: int
) -> None:
    home = house(kind)
    lot = home.bring_in(1, food, "here", unit="jar", t=day(2))
    home.open(1, lot, "here", t=day(5))
    life, _ = told(home)
    assert (life.row.source_id, life.row.life_as_printed) == (source, printed)
    assert (life.low_days, life.high_days) == (low, high)


@pytest.mark.parametrize(
    ("food", "kind", "source", "low", "high"),
    [
        # Fresh Vegetable Storage, University of Wisconsin: garlic at 50-60 F, 6-8 months
        ("garlic", "kitchen", "uw_harrison", 183, 244),
        # Properly store your fall produce, Michigan State: onions at 35-55 F, 1-8 months
        ("onions", "kitchen", "msu_fall", 30, 244),
        # Handbook 66, USDA 1968: apples at 30-40 F, 3-8 months
        ("apples", "refrigerator", "ah66_1968", 91, 244),
    ],
)
def test_where_they_disagree_the_household_may_choose(
    food: str, kind: str, source: str, low: int, high: int
) -> None:
    home = house(kind)
    home.bring_in(5, food, "here")
    shortest, _ = told(home)
    home.say(FoodSet(food=food, facts={"source": source}))
    chosen, why = told(home)
    assert (chosen.row.source_id, chosen.low_days, chosen.high_days) == (source, low, high)
    assert shortest.low_days < chosen.low_days
    assert f"[{shortest.source.source_id}]" in why
