"""Jars and lids: what is empty, full, out on loan and used up, from what was said and done."""

import typing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from events import kinds
from events.book import Book
from events.kinds import GRAIN, Package, Stamp
from events.quantity import UNITS
from events.readings.vessel_names import package_name, vessel_name
from events.readings.vessels import Loan, Row, to_json, vessels
from events.record import Entry, Record
from tests.build import Household, makes, said_by
from tests.histories import entries, records
from tests.tale import SOME, amount, ms

Vessel = typing.Literal["bought", "broken", "counted", "lent", "back"]


def say(home: Household, change: Vessel, count: int, vessel: str = "quart jar", *,
        code: str | None = None, who: str | None = None, t: float | None = None) -> str:  # fmt: skip
    body = kinds.VesselsChanged(vessel=vessel, count=count, change=change, code=code, who=who)
    return home.say(body) if t is None else home.say(body, t=t)


def load(home: Household, jars: int | str, food: str = "beans", *, form: str = "home-canned",
         size: str = "qt", **batch: typing.Any) -> str:  # fmt: skip
    """A canner load; its lot."""
    package = Package(vessel="jar", content="1", content_unit=size)
    made = kinds.Yield(food=food, amount=amount(jars, "jar"), form=form, package=package)
    lot = f"{home.say(kinds.PutUp(yields=(made,), **batch))}:0"
    home.units[lot] = "jar"
    return lot


def row(home: Household, vessel: str = "qt jar") -> Row:
    found = [one for one in vessels(home.book) if one.vessel == vessel]
    assert len(found) == 1, [one.vessel for one in vessels(home.book)]
    return found[0]


def numbers(home: Household, vessel: str = "qt jar") -> tuple[int, int, int]:
    """(empty, full, out on loan)."""
    one = row(home, vessel)
    return one.empty, one.full, one.out


# -- what was said -----------------------------------------------------------------------------


def test_bought_broken_lent_and_back() -> None:
    home = Household()
    say(home, "bought", 24)
    say(home, "broken", 2)
    say(home, "lent", 7, who="the neighbour")
    say(home, "back", 5, "Quart Jars")
    assert numbers(home) == (20, 0, 2)
    assert [one.vessel for one in vessels(home.book)] == ["qt jar"]


def test_a_count_sets_at_its_place_however_late_the_rest_is_heard() -> None:
    home = Household()
    say(home, "bought", 24, t=10)
    say(home, "counted", 19, t=30)
    say(home, "broken", 1, t=40)
    say(home, "broken", 3, t=20)
    assert numbers(home) == (18, 0, 0)


def test_what_is_short_is_said_until_a_count() -> None:
    home = Household()
    say(home, "bought", 6)
    say(home, "lent", 9)
    say(home, "bought", 4)
    assert (row(home).empty, row(home).short, row(home).out) == (4, 3, 9)
    say(home, "counted", 4)
    assert (row(home).empty, row(home).short, row(home).out) == (4, 0, 9)


def test_more_back_than_lent_is_believed() -> None:
    home = Household()
    say(home, "bought", 12)
    say(home, "lent", 2)
    say(home, "back", 3)
    assert numbers(home) == (13, 0, 0)


def test_counted_by_size_in_july() -> None:
    home = Household()
    for count, vessel in ((64, "quart jars"), (9, "pint jars"), (30, "half-pint jars"),
                          (120, "regular lids"), (12, "wide lids")):  # fmt: skip
        say(home, "counted", count, vessel)
    say(home, "lent", 34, "hp")
    say(home, "lent", 6, "pints")
    say(home, "counted", 30, "half pint jars")
    say(home, "counted", 9, "pt jar")
    told = [(one.vessel, one.empty, one.out) for one in vessels(home.book)]
    assert told == [("qt jar", 64, 0), ("pt jar", 9, 6), ("half-pint jar", 30, 34),
                    ("regular lid", 120, 0), ("wide lid", 12, 0)]  # fmt: skip


# -- jars and their food -----------------------------------------------------------------------


def test_a_load_uses_jars_and_an_emptied_jar_comes_back() -> None:
    home = Household()
    say(home, "counted", 20)
    lot = load(home, 7)
    assert numbers(home) == (13, 7, 0)
    home.eat("1/2", lot)
    assert numbers(home) == (13, 7, 0)
    home.eat("1/2", lot)
    assert numbers(home) == (14, 6, 0)
    home.eat("5/2", lot)
    assert numbers(home) == (16, 4, 0)
    home.spoil(1, lot, cause="seal failed")
    home.spoil(1, lot, cause="broken")
    assert numbers(home) == (17, 2, 0)
    home.spoil(2, lot, cause="not found")
    assert numbers(home) == (17, 0, 0)


def test_a_jar_goes_where_its_last_part_went() -> None:
    home = Household()
    say(home, "counted", 4)
    lot = load(home, 1)
    home.eat("2/3", lot)
    home.give("1/3", lot, to="the keeper")
    assert numbers(home) == (3, 0, 1)


def test_presents_are_loans_and_jars_that_come_back_leave_the_lot_alone() -> None:
    home = Household()
    say(home, "counted", 12, "half-pint jar")
    jam = load(home, 12, "jam", form="jam", size="half-pint")
    home.give(2, jam, to="the keeper")
    home.give(2, jam, to="the shepherd")
    home.give(1, jam)
    home.eat(4, jam)
    one = row(home, "half-pint jar")
    assert (one.empty, one.full) == (4, 3)
    assert one.loans == (Loan("the keeper", 2), Loan("the shepherd", 2), Loan("", 1))
    was = home.balance(jam)
    say(home, "back", 2, "half-pint jar", who="The Keeper")
    say(home, "back", 1, "half-pint jar")
    assert row(home, "half-pint jar").loans == (Loan("the shepherd", 2),)
    assert home.balance(jam) == was
    say(home, "back", 5, "half-pint jar", who="the shepherd")
    assert (row(home, "half-pint jar").out, row(home, "half-pint jar").empty) == (0, 12)


def test_none_lent_is_no_loan() -> None:
    home = Household()
    say(home, "counted", 3)
    say(home, "lent", 0, who="the baker")
    assert row(home).loans == ()


def test_jars_back_from_nobody_named_close_the_oldest_loan() -> None:
    home = Household()
    say(home, "bought", 9)
    say(home, "lent", 2, who="the miller")
    say(home, "lent", 3, who="the baker")
    say(home, "back", 3)
    assert row(home).loans == (Loan("the baker", 2),)


def test_more_back_than_somebody_was_lent_closes_what_nobody_said_to_whom() -> None:
    home = Household()
    say(home, "bought", 9)
    say(home, "lent", 1, who="the baker")
    say(home, "lent", 2)
    say(home, "lent", 1, who="the miller")
    say(home, "back", 3, who="the miller")
    assert row(home).loans == (Loan("the baker", 1),)


def test_a_jar_put_into_a_jar_of_its_size_needs_no_other() -> None:
    home = Household()
    say(home, "counted", 4)
    lot = load(home, 4)
    home.repack([home.draw(2, lot)], [kinds.Yield(food="beans", amount=amount(2, "jar"),
                package=Package(vessel="jar", content="1", content_unit="quart"))])  # fmt: skip
    assert (numbers(home), row(home).short) == ((0, 4, 0), 0)


def test_jars_of_what_was_brought_in_full_come_to_hand_when_they_are_emptied() -> None:
    home = Household()
    say(home, "counted", 5)
    lot = home.bring_in(6, "plums", unit="jar")
    assert numbers(home) == (5, 6, 0)
    home.eat(2, lot)
    assert numbers(home) == (7, 4, 0)


def test_a_shops_jars_and_another_households_are_no_vessels_here() -> None:
    home = Household()
    bought = home.bring_in(6, "honey", unit="jar", origin="bought")
    theirs = home.bring_in(6, "plums", unit="jar", owner="the neighbour")
    home.eat(6, bought)
    home.eat(6, theirs)
    assert vessels(home.book) == []


def test_jars_missed_in_a_count_are_neither_empty_nor_lent_till_they_turn_up() -> None:
    home = Household()
    say(home, "counted", 10)
    lot = load(home, 8)
    home.count(5, lot)
    assert numbers(home) == (2, 5, 0)
    home.count(7, lot)
    assert numbers(home) == (2, 7, 0)


def test_taking_more_than_is_known_empties_as_many_jars() -> None:
    home = Household()
    say(home, "counted", 3)
    lot = load(home, 2)
    home.eat(3, lot)
    assert numbers(home) == (4, 0, 0)


def test_repacking_empties_some_jars_and_fills_others() -> None:
    home = Household()
    say(home, "counted", 4, "qt jar")
    say(home, "counted", 1, "pt jar")
    lot = load(home, 4)
    home.repack([home.draw(1, lot)], [kinds.Yield(food="beans", amount=amount(2, "jar"),
                package=Package(vessel="jar", content="1", content_unit="pint"))])  # fmt: skip
    assert numbers(home) == (1, 3, 0)
    assert numbers(home, "pt jar") == (0, 2, 0)
    assert row(home, "pt jar").short == 1


def test_a_load_taken_back_gives_its_jars_back() -> None:
    home = Household()
    say(home, "counted", 20)
    say(home, "counted", 20, "lids")
    lot = load(home, 7)
    void = home.void(said_by(lot))
    assert numbers(home) == (20, 0, 0)
    assert row(home, "lid").empty == 20
    home.void(void)
    assert numbers(home) == (13, 7, 0)
    assert row(home, "lid").empty == 13


def test_jars_that_nobody_ever_counted_are_not_short() -> None:
    home = Household()
    lot = load(home, 7)
    home.eat(2, lot)
    one = row(home)
    assert (one.empty, one.full, one.short, one.known) == (2, 5, 0, False)
    say(home, "counted", 30)
    assert (row(home).empty, row(home).known) == (30, True)


def test_a_jar_whose_size_nobody_said_is_a_row_of_its_own() -> None:
    home = Household()
    home.put_up([], [makes(3, "relish")])
    assert numbers(home, "jar") == (0, 3, 0)


def test_bags_are_counted_only_where_they_were_spoken_of_and_do_not_come_back() -> None:
    home = Household()
    pack = Package(vessel="bag", content="1", content_unit="qt")
    lots = home.put_up([], [kinds.Yield(food="peas", amount=amount(6, "bag"), package=pack)])
    assert vessels(home.book) == []
    say(home, "counted", 50, "quart bags", t=0)
    assert numbers(home, "qt bag") == (44, 6, 0)
    home.units[lots[0]] = "bag"
    home.eat(2, lots[0])
    home.give(1, lots[0])
    assert numbers(home, "qt bag") == (44, 3, 0)


def test_estimates_say_so() -> None:
    home = Household()
    say(home, "counted", 5)
    assert not row(home).about
    home.bring_in(SOME, "plums", unit="jar")
    assert row(home).about


# -- lids --------------------------------------------------------------------------------------


def test_a_load_uses_a_lid_a_jar_out_of_the_box_it_names() -> None:
    home = Household()
    say(home, "bought", 12, "regular lids", code="B7")
    say(home, "bought", 12, "wide lids", code="W2")
    lot = load(home, 7, lid_box="w2")
    home.eat(7, lot)
    assert [(one.vessel, one.empty, one.used) for one in vessels(home.book) if one.used] == [
        ("wide lid", 5, 7)
    ]
    load(home, 8, lid_box="W2")
    assert (row(home, "wide lid").empty, row(home, "wide lid").short) == (0, 3)


@pytest.mark.parametrize(
    ("box", "kind"),
    [("b7", "regular lid"), ("Box  B7", "regular lid"), ("wide lids", "wide lid"), ("B8", "lid")],
)
def test_a_box_of_lids_is_meant_by_its_code_or_by_what_is_in_it(box: str, kind: str) -> None:
    home = Household()
    say(home, "bought", 12, "regular lids", code="B7")
    say(home, "bought", 12, "wide lids")
    load(home, 7, lid_box=box)
    assert {one.vessel: one.used for one in vessels(home.book) if one.used} == {kind: 7}


@pytest.mark.parametrize("wide_first", [True, False])
def test_of_two_boxes_with_one_code_the_later_is_meant(*, wide_first: bool) -> None:
    home = Household()
    boxes = [("wide lids", 20), ("regular lids", 10)]
    for lids, t in boxes if wide_first else reversed(boxes):
        say(home, "bought", 12, lids, code="B7", t=t)
    load(home, 7, lid_box="B7")
    assert row(home, "wide lid").used == 7


def test_lids_of_no_said_kind_are_the_only_kind_there_is_or_a_row_of_their_own() -> None:
    home = Household()
    load(home, 7)
    assert [one.vessel for one in vessels(home.book)] == ["qt jar"]
    say(home, "counted", 20, "regular lids", t=0)
    assert (row(home, "regular lid").empty, row(home, "regular lid").used) == (13, 7)
    say(home, "counted", 20, "wide lids", t=0.5)
    assert row(home, "lid").used == 7
    assert row(home, "regular lid").empty == 20


def test_what_a_load_says_of_its_supplies_goes_before_what_is_usual() -> None:
    home = Household()
    say(home, "counted", 20, "wide lids")
    say(home, "counted", 9, "absorbers")
    load(home, 7, supplies={"wide lids": "8", "absorbers": "2 of them", "salt": "7 tsp"})
    assert (row(home, "wide lid").empty, row(home, "absorber").empty) == (12, 7)
    assert not any("salt" in one.vessel for one in vessels(home.book))


def test_dried_food_in_jars_uses_no_new_lids() -> None:
    home = Household()
    say(home, "counted", 20, "lids")
    load(home, 3, "mint", form="dried")
    assert (row(home, "lid").empty, row(home, "lid").used) == (20, 0)


# -- names -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("quart jars", "qt jar"), ("Qt  Jar", "qt jar"), ("quarts", "qt jar"), ("hp", "half-pint jar"),
        ("1/2 pint jars", "half-pint jar"), ("1 1/2 pint jars", "1 1/2 pt jar"),
        ("500 ml jars", "500 ml jar"), ("1000 ml jars", "l jar"), ("Regular Lids", "regular lid"),
        ("bands", "band"), ("crocks", "crock"), ("5-gallon buckets", "5 gal bucket"),
        ("5 gallon buckets", "5 gal bucket"), ("imp pint jars", "imp pt jar"), ("jars", "jar"),
    ],
)  # fmt: skip
def test_one_name_however_it_is_written(written: str, name: str) -> None:
    assert vessel_name(written) == name


@pytest.mark.parametrize(
    ("content", "unit", "name"),
    [
        ("1", "quart", "qt jar"), ("1/2", "pt", "half-pint jar"), ("2", "cup", "pt jar"),
        ("3/2", "pt", "1 1/2 pt jar"), ("1", "lb", "1 lb jar"), (None, None, "jar"),
        ("big", None, "big jar"),
    ],
)  # fmt: skip
def test_a_lots_package_has_the_same_names(
    content: str | None, unit: str | None, name: str
) -> None:
    assert package_name(Package(vessel="jar", content=content, content_unit=unit)) == name


@given(st.sampled_from(sorted(UNITS)), st.sampled_from(["jar", "crock", "bag", "lid"]))
def test_a_name_is_its_own_name(unit: str, vessel: str) -> None:
    once = vessel_name(f"{unit} {vessel}")
    assert vessel_name(once) == once


# -- any history -------------------------------------------------------------------------------


def book_of(log: list[Entry]) -> Book:
    book = Book()
    book.add(log)
    return book


@given(records(), st.randoms(use_true_random=False))
def test_order_and_repeats_change_no_number(told: list[Record], chance: typing.Any) -> None:
    log = entries(told)
    heard = log + chance.sample(log, chance.randrange(len(log) + 1))
    chance.shuffle(heard)
    assert vessels(book_of(heard)) == vessels(book_of(log))


@given(records())
def test_full_are_as_many_as_the_lots_fill_and_nothing_is_below_nought(told: list[Record]) -> None:
    book = book_of(entries(told))
    filled = 0
    for lot in book.lots.values():
        if lot.identity is not None and lot.identity.package is not None:
            filled += -(-sum(parcel.n for parcel in lot.parcels) // GRAIN)
    rows = vessels(book)
    assert sum(one.full for one in rows) == filled
    for one in rows:
        assert min(one.empty, one.full, one.out, one.used, one.short) >= 0
        assert all(loan.number > 0 for loan in one.loans)
    assert [one["vessel"] for one in to_json(rows)] == [one.vessel for one in rows]


@given(records(), st.integers(0, 99))
def test_a_count_at_the_end_is_what_is_there(told: list[Record], number: int) -> None:
    before = {one.vessel: one for one in vessels(book_of(entries(told)))}
    body = kinds.VesselsChanged(vessel="jars", count=number, change="counted")
    last = Record(household="hollow", device="last", seq=1, stamp=Stamp(ms(10**6), 0), at="2099",
                  offset=0, body=body)  # fmt: skip
    after = {one.vessel: one for one in vessels(book_of(entries([*told, last])))}["jar"]
    assert (after.empty, after.short, after.known) == (number, 0, True)
    had = before.get("jar")
    if had is not None:
        assert (after.full, after.loans, after.used) == (had.full, had.loans, had.used)


STEPS = st.lists(st.tuples(st.sampled_from(["eat", "give", "back", "spoil", "load"]),
                           st.integers(1, 6)), max_size=12)  # fmt: skip


@given(STEPS)
def test_no_jar_is_lost_or_made_while_food_goes_in_and_out(steps: list[tuple[str, int]]) -> None:
    home = Household()
    say(home, "counted", 200)
    lot = load(home, 40)
    out = 0
    for what, number in steps:
        match what:
            case "eat":
                home.eat(f"{number}/2", lot)
            case "spoil":
                home.spoil(f"{number}/3", lot, cause="mould")
            case "give":
                home.give(number, lot)
                out += number
            case "load":
                load(home, number)
            case _:
                say(home, "back", min(number, out))
                out -= min(number, out)
    book = Book()
    book.add(home.entries())
    [one] = vessels(book)
    assert (one.empty + one.full + one.out, one.short) == (200, 0)
