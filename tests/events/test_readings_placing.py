"""Where a lot would keep best, whom it would stand badly beside, and what a machine would cost."""

from hypothesis import given, settings
from hypothesis import strategies as st

from events.book import Book
from events.keeping.curve import DAY
from events.kinds import MachineSet, Measured, StoreSet
from events.readings.climate import If
from events.readings.lived import Keeping
from events.readings.neighbours import Neighbours
from events.readings.placing import Placement, placements, stores_for, stores_of
from events.readings.rotation import use_first
from events.readings.supposing import if_so, machine_year, not_judged
from events.record import Record
from events.tables import load
from tests.build import Household, ms
from tests.histories import entries, records
from tests.tale import day

TABLES = load()
NOW = ms(day(60))


def house() -> Household:
    home = Household()
    for store, facts in (
        ("outdoors", {"kind": "outdoors", "climate": "-6 -4 2 8 14 18 21 20 15 9 3 -3 C"}),
        ("root-cellar", {"kind": "cellar", "climate": "39 F", "damp": "damp", "room": "300 lb"}),
        ("shed", {"kind": "outbuilding", "climate": "outdoors 0.9"}),
        ("back-room", {"kind": "room", "climate": "52 F", "light": "window"}),
        ("pantry", {"kind": "pantry", "climate": "66 66 66 66 68 72 76 76 72 68 66 66 F"}),
        ("attic", {"kind": "room"}),
        ("bed", {"kind": "ground"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    return home


def placed(home: Household, lot: str, supposed: If | None = None) -> dict[str, Placement]:
    keeping = Keeping(home.book, TABLES, supposed)
    found = placements(keeping, home.lot(lot), NOW, stores_of(keeping))
    return {one.store: one for one in found}


def test_every_store_that_food_may_be_carried_to_longest_life_first() -> None:
    home = house()
    lot = home.bring_in(40, "potatoes", "pantry", t=day(59))
    keeping = Keeping(home.book, TABLES)
    found = placements(keeping, home.lot(lot), NOW, stores_of(keeping))
    assert {one.store for one in found} == {"root-cellar", "shed", "back-room", "pantry", "attic"}
    assert found[0].store == "root-cellar"
    assert [one.from_ms or 0 for one in found] == sorted(
        (one.from_ms or 0 for one in found), reverse=True
    )
    assert [one.store for one in found if one.here] == ["pantry"]
    rests = {one.store: one.rests for one in found}
    assert rests == {"root-cellar": "stated", "shed": "stated", "back-room": "stated",
                     "pantry": "stated", "attic": "assumed"}  # fmt: skip


def test_shelves_that_are_as_their_room_are_told_as_the_room() -> None:
    home = house()
    for shelf, facts in (("low", {}), ("window", {"light": "window"}), ("stove", {})):
        home.say(StoreSet(store=f"attic/{shelf}", facts={"kind": "room"} | facts))
    home.say(StoreSet(store="chest", facts={"kind": "freezer"}))
    home.say(Measured(store="attic", celsius_milli=15_000), t=day(57))
    home.say(Measured(store="attic/stove", celsius_milli=21_000), t=day(58))
    jars = home.bring_in(9, "green beans", "attic/low", unit="jar", form="home-canned", t=day(50))
    peas = home.bring_in(9, "peas", "chest", unit="bag", form="frozen", t=day(50))
    keeping = Keeping(home.book, TABLES)
    found = stores_for(keeping, home.lot(jars))
    assert [one for one in found if one.startswith("attic")] == [
        "attic", "attic/stove", "attic/window",
    ]  # fmt: skip
    assert "chest" not in found
    assert "chest" in stores_for(keeping, home.lot(peas))
    there = placements(keeping, home.lot(jars), NOW, found)
    assert [one.store for one in there if one.here] == ["attic"]


def test_the_life_there_is_as_if_it_were_carried_now() -> None:
    home, other = house(), house()
    lot = home.bring_in(40, "potatoes", "pantry", t=day(55))
    same = other.bring_in(40, "potatoes", "pantry", t=day(55))
    other.move(40, same, "pantry", "root-cellar", t=day(60))
    (use,) = use_first(other.book, TABLES)
    would = placed(home, lot)["root-cellar"]
    assert would.from_ms is not None
    assert abs(would.from_ms - (use.from_ms or 0)) < 60_000
    assert abs((would.to_ms or 0) - (use.to_ms or 0)) < 60_000


def test_apples_are_bad_neighbours_and_whose_word_that_is_is_said() -> None:
    home = house()
    home.bring_in(180, "potatoes", "root-cellar/bin")
    home.bring_in(60, "carrots", "root-cellar")
    home.bring_in(9, "apples", "root-cellar", form="dried")
    apples = home.bring_in(80, "apples", "shed")
    said = {clash.sentence for clash in placed(home, apples)["root-cellar"].clashes}
    # Iowa State: keep fruit away from potatoes; Penn State: carrots turn bitter; Vermont: the smell
    assert said == {
        (
            "apples beside potatoes: potatoes suffer from ethylene, fruit nearby promotes sprouting "
            "(Iowa State University Extension)"
        ),
        (
            "apples beside carrots: carrots suffer from ethylene, turns bitter "
            "(Penn State Agricultural Sciences)"
        ),
        "potatoes beside apples: gives apples a musty flavor (University of Vermont Extension)",
    }
    assert placed(home, apples)["shed"].clashes == ()


def test_dried_apples_and_jars_harm_nobody() -> None:
    home = house()
    home.bring_in(180, "potatoes", "root-cellar")
    dried = home.bring_in(9, "apples", "attic", form="dried")
    jars = home.bring_in(9, "apples", "attic", unit="jar", form="home-canned")
    assert placed(home, dried)["root-cellar"].clashes == ()
    assert placed(home, jars)["root-cellar"].clashes == ()


def test_light_damp_frost_and_room_are_said_in_words() -> None:
    home = house()
    potatoes = home.bring_in(40, "potatoes", "root-cellar", t=day(59))
    onions = home.bring_in(20, "onions", "back-room", t=day(59))
    beans = home.bring_in(5, "dried beans", "attic", t=day(59))
    apples = home.bring_in(5, "apples", "attic", t=day(59))
    assert "light there, and it is printed for the dark (Iowa State University Extension)" in (
        placed(home, potatoes)["back-room"].harms
    )
    assert "damp there, and it is printed for 50-60 %" in placed(home, onions)["root-cellar"].harms
    assert "damp there: dry food draws water (printed for a dry place)" in (
        placed(home, beans)["root-cellar"].harms
    )
    # the shed goes with nine tenths of the outdoors' swing, down to about -4.6 C in January
    frost = [said for said in placed(home, potatoes)["shed"].harms if "freeze" in said]
    assert frost == []  # by December they have kept there as long as is printed
    cold = placed(home, onions)["shed"].harms
    assert any("freezes at" in said for said in cold)
    assert placed(home, apples)["root-cellar"].room == "room for 260 more of 300 lb"


def test_a_thermometer_that_read_frost_is_said_in_words_and_moves_no_date_by_itself() -> None:
    home = house()
    squash = home.bring_in(9, "butternut squash", "attic", unit="squash", t=day(50))
    home.say(Measured(store="attic", celsius_milli=3_000), t=day(60))
    found = placed(home, squash)["attic"]
    assert any(
        said.startswith("down to 3 C (37 F): chilled below 10 C (50 F)") for said in found.harms
    )
    assert any("common knowledge, no source read" in said for said in found.harms)
    assert found.rests == "read"


def test_jars_where_it_freezes_are_to_be_looked_at() -> None:
    home = house()
    jars = home.bring_in(9, "green beans", "attic", unit="jar", form="home-canned", t=day(50))
    assert any(
        "jars may freeze; look at the seals" in said for said in placed(home, jars)["shed"].harms
    )


def test_dry_air_shrivels_roots() -> None:
    home = house()
    carrots = home.bring_in(9, "carrots", "root-cellar", t=day(50))
    home.say(Measured(store="root-cellar", humidity_permille=550), t=day(58))
    assert any("drier than the" in said for said in placed(home, carrots)["root-cellar"].harms)


def test_where_the_machine_should_stand_is_one_answer_over_twelve_months() -> None:
    home = house()
    home.say(MachineSet(machine="dryer", facts={"store": "back-room", "degrees": "8 F"}))
    home.bring_in(40, "potatoes", "root-cellar", t=day(59))
    home.bring_in(9, "green beans", "pantry", unit="jar", form="home-canned", t=day(50))
    home.bring_in(9, "onions", "attic", t=day(59))
    supposed = If(day=NOW // DAY, machine="dryer", degrees=4_444)
    year = machine_year(home.book, TABLES, supposed, NOW, 9)
    by_store = {one.store: one for one in year}
    assert by_store["attic"].judged == "no temperature known"
    assert by_store["back-room"].judged == "nothing stands there"
    cellar = by_store["root-cellar"]
    assert [month.month for month in cellar.months] == [9, 10, 11, 12, 1, 2, 3, 4, 5, 6, 7, 8]
    bad = {month.month for month in cellar.months if not month.bearable}
    # from the end of September on, until by the low end they have kept as long as is printed
    assert 10 in bad
    assert not bad & {4, 5, 6, 7, 8}
    # home-canned jars go by no printed Q10: nothing is reckoned for warmth within 95 F
    assert all(month.bearable for month in by_store["pantry"].months)
    assert year[0].store in {"back-room", "pantry"}
    assert year[-1].store == "attic"


def test_a_machine_is_not_put_into_a_freezer_and_what_was_read_is_known_too() -> None:
    home = house()
    home.say(StoreSet(store="chest", facts={"kind": "freezer", "climate": "0 F"}))
    home.bring_in(9, "peas", "chest", unit="bag", form="frozen", t=day(50))
    home.bring_in(9, "onions", "attic", t=day(59))
    for month in range(12):
        home.say(
            Measured(store="attic", celsius_milli=9_000), t=day(30 * month - 300), written=day(60)
        )
    year = machine_year(home.book, TABLES, If(day=NOW // DAY, degrees=4_444), NOW, 9)
    judged = {one.store: one.judged for one in year}
    assert "chest" not in judged
    assert judged["attic"] == "known"


def test_stores_of_which_too_little_was_said_are_named() -> None:
    home = house()
    home.bring_in(9, "onions", "attic", t=day(59))
    home.bring_in(9, "carrots", "shed", t=day(59))
    home.bring_in(9, "peas", "bed", t=day(59))
    keeping = Keeping(home.book, TABLES)
    winter, there = If(day=NOW // DAY, winter=2_000), If(day=NOW // DAY, store="attic", months=(8,))
    assert not_judged(keeping, winter) == ["attic"]
    assert not_judged(keeping, there) == ["attic"]
    home.say(StoreSet(store="attic", facts={"climate": "outdoors 1/2"}))
    assert not_judged(Keeping(home.book, TABLES), winter) == []


def test_what_a_winter_or_a_machine_would_cost_is_told_by_lot() -> None:
    home = house()
    carrots = home.bring_in(40, "carrots", "shed", on="2026-12-01", written=day(130))
    now = ms(day(124))
    (loss,) = if_so(home.book, TABLES, If(day=now // DAY, winter=4_000), now)
    assert loss.lot == carrots
    assert loss.days > 5
    assert if_so(home.book, TABLES, If(day=now // DAY, winter=-4_000), now) == []


@given(records(), st.integers(-8_000, 8_000), st.sets(st.integers(1, 12), max_size=4))
@settings(deadline=None, max_examples=40)
def test_no_history_and_no_supposing_raises(
    told: list[Record], degrees: int, months: set[int]
) -> None:
    book = Book()
    book.add(entries(told))
    supposed = If(
        day=NOW // DAY, degrees=degrees, store="porch", months=tuple(months), winter=degrees
    )
    for what in (None, supposed):
        keeping = Keeping(book, TABLES, what)
        beside = Neighbours(book, keeping.climates, keeping.lives)
        for lot in book.lots.values():
            if lot.identity is None or not lot.parcels:
                continue
            for one in placements(keeping, lot, NOW, stores_of(keeping)):
                assert one.from_ms is None or one.to_ms is None or one.from_ms <= one.to_ms
                assert list(one.clashes) == beside.clashes(lot, one.store)
    for loss in if_so(book, TABLES, supposed, NOW):
        assert loss.days > 0
