"""Every caution that a household should meet is there, with its source or saying that none was read.

The list is typed in here; what each says at a deed is seen on the console. Figures that nobody
read at their source are told as quoted, and by whom.
"""

import pytest

from events.kinds import Incident, Package, Received, StoreSet, Yield
from events.tables import load
from service.digests.caution import DEFER, Cautions
from tests.build import Household
from tests.console import Console
from tests.tale import amount, day

TABLES = load()

WHERE_IT_HURTS = {
    "low-acid": "putting up low-acid food, and tomatoes",
    "seal": "a failed or suspect seal",
    "size": "no tested process for this size of jar",
    "potatoes": "green or sprouted potatoes",
    "mould": "mould, by kind of food",
    "rancid": "rancid flour and oil",
    "thawed": "thawed freezers",
    "flood": "flood",
    "frozen jars": "jars that froze",
    "altitude": "altitude",
    "wild food": "wild food",
}

READ = {
    # key: who publishes it, as read in an original or a reprint
    "home-canned-low-acid": "USDA",  # complete guide to home canning, AIB 539, guide 1, spoiled food
    "home-canned-tomato": "USDA",  # the same: tomatoes go as low-acid once spoiled
    "home-canned-seal": "USDA",  # the same: lid not concave; a streak of dried food
    "home-canned-disposal": "USDA",  # the same: 30 minutes under water
    "mould-jar": "USDA",  # the same: neither tasted nor scraped off
    "home-canned-frozen": "USDA",  # AIB 539, guide 1, storing
    "home-canned-hot": "USDA",  # the same: above 95 F
    "mould-dry": "USDA",  # AIB 410
    "mould-dried": "University of Georgia Extension",
    "potato": "Michigan State University Extension",
    "rancid-oil": "West Virginia University Extension",
    "rancid-rice": "Utah State University Extension",
    "commercially-canned": "Utah State University Extension",
}

QUOTED = {
    "thawed": ("Clemson", "40 F", "2 hours"),
    "altitude": ("PNW 421", "11 lb to 2000 ft", "10 lb to 1000 ft"),
    "home-canned-flood": ("USDA FSIS", "thrown out"),
    "home-canned-cracked": ("Oregon State", "cracked"),
    "mould-cheese": ("USDA FSIS", "1 inch"),
    "mould-cooked": ("USDA FSIS", "below"),
    "no-quart": ("USDA tables", "none for quarts"),
    "no-process": ("the University of Georgia", "never taste"),
    "opened-low-acid": ("USDA", "few days"),
}

NONE_READ = {"mould", "mould-jam", "rancid", "rancid-flour", "flood", "wild", "only-boiled"}


def told(key: str) -> str:
    """A caution in full, as a deed says it."""
    cautions = Cautions(Household().book, TABLES)
    cautions.called.add(key)
    return cautions.said()[0].says


@pytest.mark.parametrize("about", WHERE_IT_HURTS)
def test_each_thing_that_can_hurt_has_its_caution_and_says_whence(about: str) -> None:
    of_it = [one for one in TABLES.cautions.values() if one.about == about]
    assert of_it, WHERE_IT_HURTS[about]
    for one in of_it:
        assert one.caution
        said = told(one.key)
        if one.source_id:
            source = TABLES.sources[one.source_id]
            assert source.published, one.key
            assert said.endswith(f"({source.publisher.partition(' (')[0]})")
        elif one.quoted:
            assert said.endswith(f"(quoted second-hand from {one.quoted})")
        else:
            assert said.endswith("(no source read)")


@pytest.mark.parametrize("key", READ)
def test_a_caution_that_was_read_names_who_publishes_it(key: str) -> None:
    assert told(key).endswith(f"({READ[key]})")


@pytest.mark.parametrize("key", QUOTED)
def test_what_was_not_read_at_its_source_is_said_to_be_quoted(key: str) -> None:
    whom, *figures = QUOTED[key]
    assert told(key).endswith(f"(quoted second-hand from {whom})")
    assert all(figure in told(key) for figure in figures)
    assert not TABLES.cautions[key].source_id


def test_where_nothing_was_read_it_says_so() -> None:
    blank = {one.key for one in TABLES.cautions.values() if not one.source_id and not one.quoted}
    assert blank == NONE_READ
    assert all("(no source read)" in told(key) for key in blank)


def test_no_caution_calls_a_food_safe_and_each_line_of_the_digest_fits() -> None:
    for key, one in TABLES.cautions.items():
        assert " safe" not in f" {one.caution} {one.brief}".replace("unsafe", ""), key
        cautions = Cautions(Household().book, TABLES)
        cautions.called.add(key)
        assert len(cautions.said()[0].brief) <= 70, key
    assert len(DEFER) <= 70


# -- at the deed -----------------------------------------------------------------------------------


def jars(lane: Console, food: str, amount: str = "7 pt") -> str:
    return lane.bring(amount, food, "--form", "home-canned", "--in", "kitchen")


def cautions(lane: Console, *argv: str) -> str:
    return " / ".join(lane.json(*argv)["cautions"])


@pytest.mark.parametrize(
    ("amount", "food", "form", "words"),
    [
        ("7 pt", "green beans", "home-canned", "A low-acid jar"),
        ("7 pt", "green beans", "home-canned", "count as unsafe without a known tested process"),
        ("7 pt", "tomatoes", "home-canned", "A tomato jar"),
        ("6 qt", "mushrooms", "home-canned", "none for quarts"),
        ("6 qt", "cream-style corn", "home-canned", "none for quarts"),
        ("3 lb", "venison", "frozen", "Wild food"),
        ("1 lb", "wild garlic", "fresh", "Wild food"),
    ],
)
def test_what_comes_in(lane: Console, amount: str, food: str, form: str, words: str) -> None:
    said = cautions(lane, "bring-in", amount, food, "--form", form, "--in", "kitchen")
    assert words in said
    assert said.endswith(DEFER)


@pytest.mark.parametrize(
    ("amount", "food", "form"),
    [
        ("6 qt", "plums", "home-canned"),
        ("3 lb", "beef", "frozen"),
        ("2 lb", "acorn squash", "fresh"),
    ],
)
def test_what_needs_none_has_none(lane: Console, amount: str, food: str, form: str) -> None:
    assert cautions(lane, "bring-in", amount, food, "--form", form, "--in", "kitchen") == ""


def test_pints_of_what_is_tested_in_pints_are_not_warned_of(lane: Console) -> None:
    said = cautions(
        lane, "bring-in", "6 pt", "mushrooms", "--form", "home-canned", "--in", "kitchen"
    )
    assert "A low-acid jar" in said
    assert "quarts" not in said


def test_a_seal_that_failed(lane: Console) -> None:
    lot = jars(lane, "green beans")
    said = cautions(lane, "toss", "1", lot, "--in", "kitchen", "--cause", "seal failed")
    assert "botulinum" in said
    assert "30 minutes under water" in said
    assert "not fed to animals" in said
    plums = jars(lane, "plums")
    said = cautions(lane, "toss", "1", plums, "--in", "kitchen", "--cause", "seal failed")
    assert "thrown out untasted" in said
    assert "botulinum" not in said


@pytest.mark.parametrize(
    "look",
    [("--wrong", "1"), ("--finding", "one lid is up"), ("--finding", "popped")],
)
def test_a_look_that_finds_a_bad_seal(lane: Console, look: tuple[str, str]) -> None:
    said = cautions(lane, "look", jars(lane, "green beans"), "--in", "kitchen", *look)
    assert "whose middle is not sunk in" in said
    assert "Never taste" in said


def test_a_look_that_finds_all_well_warns_of_nothing(lane: Console) -> None:
    lot = jars(lane, "green beans")
    assert cautions(lane, "look", lot, "--in", "kitchen", "--seen", "7", "--sound", "7") == ""
    carrots = lane.bring("9 lb", "carrots", "--in", "kitchen")
    assert cautions(lane, "look", carrots, "--in", "kitchen", "--finding", "carrots firm") == ""


def test_green_potatoes_and_rotting_ones(lane: Console) -> None:
    lot = lane.bring("50 lb", "potatoes", "--in", "kitchen")
    assert "green or full of sprouts" in cautions(
        lane, "look", lot, "--in", "kitchen", "--finding", "some green"
    )
    assert "Whatever decays" in cautions(lane, "hold", lot, "--reason", "rotting in the middle")


def test_altitude_where_it_is_learnt(lane: Console) -> None:
    lot = jars(lane, "green beans")
    assert "rise with altitude" in cautions(lane, "amend", lot, "altitude=3200 ft")
    assert cautions(lane, "amend", lot, "variety=runner") == ""


# -- put up, flooded -------------------------------------------------------------------------------


def test_low_acid_jars_that_are_put_up_carry_altitude_and_size() -> None:
    home = Household()
    peppers = home.bring_in(10, "peppers", "kitchen", t=day(1))
    quart = Package(vessel="jar", content="1", content_unit="quart")
    made = Yield(food="peppers", form="home-canned", amount=amount(6, "jar"), package=quart)
    (lot,) = home.put_up([home.draw(10, peppers, "kitchen")], [made], t=day(2))
    cautions = Cautions(home.book, TABLES)
    cautions.coming(home.lot(lot))
    assert {care.about for care in cautions.said()} == {"low-acid", "size", "altitude", "all"}


def test_flood_water_at_jars_and_at_flour() -> None:
    home = Household()
    home.say(StoreSet(store="cellar", facts={"kind": "cellar"}))
    home.bring_in(9, "plums", "cellar", unit="jar", form="home-canned", t=day(1))
    flour = Received(food="white flour", amount=amount(20, "lb"), store="cellar")
    home.say(flour, t=day(1) + 5)
    flood = Incident(store="cellar", what="flood to the second shelf", start="2026-08-03")
    cautions = Cautions(home.book, TABLES)
    for lot in home.book.lots.values():
        cautions.befell(lot, flood)
    said = [care.says for care in cautions.said()]
    assert any("flood water touched are thrown out" in line for line in said)
    assert any(line.startswith("What flood water touched: ask") for line in said)
