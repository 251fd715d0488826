"""What is read where the form, the age or the name of a food was not said in full."""

import pytest
from msgspec.structs import replace

from events.keeping.life import Life, Lives, NoLife
from events.kinds import FoodSet, LotSet, Package, Received, StoreSet
from events.readings.lived import Keeping
from events.readings.lots import made
from events.readings.made_how import Known
from events.readings.placing import placements
from events.readings.rotation import Use, use_first
from events.readings.used import used
from events.tables import load
from tests.build import Household
from tests.tale import amount, day, makes, ms

TABLES = load()


def house() -> Household:
    home = Household()
    for store, kind in (("back-room", "room"), ("bed", "ground"), ("cellar", "cellar"),
                        ("chest", "freezer")):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def packed(food: str, vessel: str, **more: object) -> Use:
    """Ten of them in the back room, of no form that was said."""
    home = house()
    home.say(Received(food=food, amount=amount(10, vessel), store="back-room",
                      package=Package(vessel=vessel), **more), on="2026-03-01")  # type: ignore[arg-type]  # fmt: skip
    [found] = use_first(home.book, TABLES)
    return found


# Food Storage (EC 257), Utah State University Extension: commercially canned vegetables, fruit,
# meat and fish, 12 months in a cool area. It is the shortest that is printed for them.
@pytest.mark.parametrize("vessel", ["tin", "can"])
@pytest.mark.parametrize("food", ["tomatoes", "peaches", "green beans", "tuna"])
def test_tins_are_commercially_canned_where_no_form_was_said(food: str, vessel: str) -> None:
    for more in ({"origin": "bought"}, {}, {"origin": "gift", "printed": "36511"}):
        life = packed(food, vessel, **more).life
        assert isinstance(life, Life), (food, more, life)
        assert (life.row.form, life.source.source_id) == ("commercially-canned", "usu_ec257")
        assert life.row.life_as_printed == "12 months"


# Canned Foods, USDA, and Clemson Cooperative Extension: low-acid commercially canned food 2-5 years
def test_beans_in_a_tin_are_not_dry_beans_and_what_is_called_dry_is() -> None:
    tinned, dry = packed("kidney beans", "tin").life, packed("dry beans", "tin").life
    assert isinstance(tinned, Life)
    assert (tinned.row.form, tinned.row.life_as_printed) == (
        "commercially-canned-low-acid", "2-5 years",
    )  # fmt: skip
    assert isinstance(dry, Life)
    assert dry.row.form == "dry-staple"


def test_produce_in_tins_or_jars_that_came_from_no_shop_has_no_form_and_no_date() -> None:
    for origin, vessel in (("harvest", "tin"), ("exchange", "can"), ("gift", "can"),
                           ("harvest", "jar"), (None, "jar"), ("gift", "bottle")):  # fmt: skip
        use = packed("tomatoes", vessel, origin=origin)
        assert use.life == NoLife(reason="its form is not recorded"), (origin, vessel)
        assert (use.group, use.from_ms) == ("by age", None)


def test_a_bought_jar_of_produce_is_not_fresh_and_staples_in_tins_stay_staples() -> None:
    bought = packed("peaches", "jar", origin="bought").life
    assert isinstance(bought, Life)
    assert bought.row.form == "commercially-canned"
    for food, form in (("honey", "dry-staple"), ("sunflower oil", "oil"), ("jam", "jam")):
        life = packed(food, "jar", origin="bought").life
        assert isinstance(life, Life), food
        assert life.row.form == form


def test_what_is_said_goes_before_what_the_vessel_says() -> None:
    home = house()
    home.say(Received(food="tomatoes", amount=amount(3, "can"), store="back-room", form="canned",
                      package=Package(vessel="can"), origin="harvest"))  # fmt: skip
    home.say(Received(food="peas", amount=amount(3, "tin"), store="back-room", form="canned",
                      package=Package(vessel="tin")))  # fmt: skip
    forms = {use.food: life.row.form for use in use_first(home.book, TABLES)
             if isinstance(life := use.life, Life)}  # fmt: skip
    assert forms["tomatoes"].startswith("home-canned")
    assert forms["peas"].startswith("commercially-canned")


def test_a_tin_is_never_a_jar_of_unknown_process() -> None:
    home = house()
    lot = home.say(Received(food="green beans", amount=amount(3, "tin"), store="back-room",
                            form="canned", package=Package(vessel="tin"), origin="found"))  # fmt: skip
    assert not Known(home.book, Lives(TABLES)).unknown(home.lot(f"{lot}:0"))


def test_a_can_that_was_found_may_be_somebodys_jar_and_stays_unknown() -> None:
    home = house()
    body = Received(food="green beans", amount=amount(3, "can"), store="back-room",
                    form="canned", package=Package(vessel="can"), origin="found")  # fmt: skip
    lot = home.say(body)
    shop = home.say(replace(body, printed="best by 2027-05"))
    known = Known(home.book, Lives(TABLES))
    assert known.unknown(home.lot(f"{lot}:0"))
    assert not known.unknown(home.lot(f"{shop}:0"))


# Yard and Garden: Storing Fall Garden Produce, Iowa State University Extension, at 50-55 F
SQUASH = {"acorn": "5-8 weeks", "butternut": "2-3 months", "hubbard": "5-6 months"}


@pytest.mark.parametrize("form", [None, "fresh"])
def test_squash_goes_by_its_variety_however_that_is_said(form: str | None) -> None:
    home = house()
    for variety, on in (("Blue Hubbard", "2026-09-15"), ("Butternut", "2026-09-20"),
                        ("acorn", "2026-10-10")):  # fmt: skip
        home.bring_in(6, "squash", "back-room", unit="squash", variety=variety, form=form, on=on)
    found = use_first(home.book, TABLES)
    # acorn from 14 Nov, butternut from 20 Nov, hubbard from 14 Feb
    assert [use.variety for use in found] == ["acorn", "Butternut", "Blue Hubbard"]
    for use in found:
        assert isinstance(use.life, Life), use.variety
        assert use.life.row.life_as_printed == SQUASH[use.variety.casefold().split()[-1]]
        assert use.life.source.source_id == "isu_squash"


def test_a_variety_with_the_food_is_a_name_that_the_tables_may_know() -> None:
    home = house()
    home.bring_in(6, "beans", "chest", variety="green", form="frozen")
    home.bring_in(6, "rice", "back-room", variety="brown")
    home.bring_in(6, "squash", "back-room", variety="kabocha")
    home.bring_in(6, "beans", "back-room", variety="Black Valentine")
    lives = {use.variety: use.life for use in use_first(home.book, TABLES)}
    green, brown = lives["green"], lives["brown"]
    assert isinstance(green, Life)
    assert green.row.food == "vegetable"
    assert isinstance(brown, Life)
    assert brown.row.food == "brown-rice"
    assert lives["kabocha"] == NoLife(reason="no published life")
    assert isinstance(lives["Black Valentine"], NoLife)


def test_squash_that_the_household_calls_by_another_name_too_goes_by_that_name() -> None:
    home = house()
    home.say(FoodSet(food="squash", facts={"other_names": "acorn squash"}))
    home.bring_in(6, "squash", "back-room")
    [use] = use_first(home.book, TABLES)
    assert isinstance(use.life, Life)
    assert use.life.row.variety == "acorn"


# Freezer shelf life table, National Center for Home Food Preservation, 2005: vegetables 8-12 months
@pytest.mark.parametrize("food", ["corn", "sweetcorn", "cream-style corn", "sweet corn", "squash"])
def test_frozen_corn_by_any_of_its_names_is_a_frozen_vegetable(food: str) -> None:
    home = house()
    home.bring_in(6, food, "chest", form="frozen")
    [use] = use_first(home.book, TABLES)
    assert isinstance(use.life, Life)
    assert (use.life.row.life_as_printed, use.life.source.source_id) == (
        "8-12 months", "nchfp_freezer",
    )  # fmt: skip


def test_corn_without_a_form_may_be_dry_and_has_no_date() -> None:
    home = house()
    home.bring_in(6, "corn", "back-room")
    assert use_first(home.book, TABLES)[0].life == NoLife(reason="its form is not recorded")


# Storing vegetables, University of Vermont Extension: onions up to 7 months in proper storage
def test_what_is_called_curing_is_fresh_produce_and_meat_that_cures_is_not() -> None:
    home = house()
    home.bring_in(30, "onions", "cellar", form="curing")
    home.bring_in(8, "ham", "cellar", form="curing")
    onions, ham = (next(use.life for use in use_first(home.book, TABLES) if use.food == food)
                   for food in ("onions", "ham"))  # fmt: skip
    assert isinstance(onions, Life)
    assert onions.row.life_as_printed == "up to 7 months"
    assert ham == NoLife(reason="its form is not recorded")


def found_jars(home: Household, food: str, **more: object) -> str:
    body = Received(food=food, amount=amount(5, "jar"), store="back-room", form="home-canned",
                    package=Package(vessel="jar", content="1", content_unit="pt"),
                    origin="found", **more)  # type: ignore[arg-type]  # fmt: skip
    lot = f"{home.say(body, on='2026-11-01')}:0"
    home.units[lot] = "jar"
    return lot


def test_jars_that_were_found_are_not_as_old_as_the_day_they_were_found_on() -> None:
    home = house()
    lot = found_jars(home, "plum jam")
    [use] = use_first(home.book, TABLES)
    assert (use.group, use.from_ms, use.likely_ms, use.to_ms) == ("by age", None, None, None)
    assert use.life == NoLife(reason="found, its age is not known")
    assert used(use, ms(day(120))) is None
    keeping = Keeping(home.book, TABLES)
    [kept] = placements(keeping, home.lot(lot), ms(day(120)), ["back-room"])
    assert (kept.from_ms, kept.to_ms) == (None, None)
    assert made(home.book, home.lot(lot)) is None


@pytest.mark.parametrize(
    "more", [{"made_at": "2025"}, {"keeping_from": "2025-08"}, {"printed": "packed 2025-08-01"},
             {"printed": "best by 2027-08-01", "printed_kind": "best by"}],
)  # fmt: skip
def test_found_jars_with_a_date_on_them_go_by_it(more: dict[str, object]) -> None:
    home = house()
    found_jars(home, "plum jam", **more)
    [use] = use_first(home.book, TABLES)
    assert use.group == "dated"
    assert use.from_ms is not None


def test_their_age_may_be_learnt_and_what_is_opened_counts_from_then() -> None:
    home = house()
    lot = found_jars(home, "plum jam")
    home.say(LotSet(lot=lot, facts={"made_at": "2025-08"}))
    assert use_first(home.book, TABLES)[0].group == "dated"
    plums = found_jars(home, "peaches")
    home.open(1, plums, "back-room", t=day(94))
    opened = next(use for use in use_first(home.book, TABLES) if use.opened is not None)
    assert opened.since == ms(day(94))
    assert opened.life != NoLife(reason="found, its age is not known")


def test_what_is_packed_anew_from_what_was_found_is_of_no_known_age_either() -> None:
    home = house()
    sack = home.bring_in(20, "white flour", "back-room", origin="found", on="2026-08-02")
    (bags,) = home.repack([home.draw(20, sack, "back-room")],
                          [makes(10, "white flour", "back-room", unit="bag")], t=day(5))  # fmt: skip
    [use] = [use for use in use_first(home.book, TABLES) if use.lot == bags]
    assert use.life == NoLife(reason="found, its age is not known")


def test_roots_found_in_a_bed_keep_from_the_day_they_were_dug() -> None:
    home = house()
    beets = home.bring_in(40, "beets", "bed", origin="found", on="2026-08-02")
    home.move(10, beets, "bed", "cellar", t=day(20))
    dug = next(use for use in use_first(home.book, TABLES) if use.store == "cellar")
    assert (dug.group, dug.since) == ("dated", ms(day(20)))
