"""Whose air a store shares, what was stated, read and ran there, and how it would be if."""

from datetime import date

from events.kinds import MachineSet, Measured, Ran, StoreSet
from events.readings.climate import Climates, If, degrees_of
from tests.build import Household


def day(text: str) -> int:
    return (date.fromisoformat(text) - date(1970, 1, 1)).days


LATER = 400 * 1440.0
"""When it was all written down."""

YEAR = "0 1 4 8 12 16 18 18 14 9 4 1 C"


def house() -> Household:
    home = Household()
    for store, facts in (
        ("outdoors", {"kind": "outbuilding", "climate": YEAR}),
        ("barn", {"kind": "outbuilding", "climate": "outdoors 1/2"}),
        ("barn/chest", {"kind": "freezer"}),
        ("cellar", {"kind": "cellar", "climate": "46 F"}),
        ("back-room", {"kind": "room"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    return home


def climates(home: Household, supposed: If | None = None) -> Climates:
    return Climates(home.book.settings, home.book.climate, supposed)


def test_a_shelf_shares_its_rooms_air_and_a_freezer_in_the_barn_does_not() -> None:
    found = climates(house())
    assert found.air("cellar/top/left") == "cellar"
    assert found.air("barn/chest/basket") == "barn/chest"
    assert found.air("shed/shelf") == "shed"
    assert found.curve("cellar/top").on(day("2026-05-05")) == 7_778
    assert not found.curve("barn/chest").known
    assert not found.curve("").known


def test_a_shelf_that_is_said_to_be_a_room_like_its_room_shares_its_air() -> None:
    """What is read in the room holds for it, unless it has a climate of its own or is another kind."""
    home = house()
    for store, facts in (
        ("back-room/shelf", {"kind": "room"}),
        ("back-room/fridge", {"kind": "refrigerator"}),
        ("cellar/niche", {"kind": "cellar", "climate": "40 F"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    home.say(Measured(store="back-room", celsius_milli=16_000), on="2026-08-10", written=LATER)
    found = climates(home)
    assert found.air("back-room/shelf") == "back-room"
    assert found.curve("back-room/shelf").on(day("2026-08-12")) == 16_000
    assert found.air("back-room/fridge") == "back-room/fridge"
    assert found.air("cellar/niche") == "cellar/niche"


def test_the_barn_swings_half_as_far_as_the_outdoors() -> None:
    found = climates(house())
    january, mean = day("2026-01-16"), 8_750
    assert found.curve("outdoors").on(january) == 0
    assert found.curve("barn").on(january) == mean - mean // 2


def test_a_cold_night_outdoors_is_half_as_cold_in_the_barn() -> None:
    home = house()
    home.say(Measured(store="outdoors", celsius_milli=-15_000), on="2027-01-16", written=LATER)
    found = climates(home)
    january = day("2027-01-16")
    assert found.curve("outdoors").on(january) == -15_000
    assert found.curve("barn").on(january) == 8_750 + round((-15_000 - 8_750) / 2)
    assert found.curve("barn").on(january + 20) == found.curve("barn").on(january + 20 + 1461)


def test_damped_by_outdoors_that_nobody_stated_is_not_known() -> None:
    home = Household()
    home.say(StoreSet(store="barn", facts={"climate": "outdoors 1/2"}))
    home.say(StoreSet(store="loft", facts={"climate": "warm in summer"}))
    assert not climates(home).curve("barn").known
    assert not climates(home).curve("loft").known


def test_a_rooms_reading_is_about_its_shelves_and_a_shelfs_about_itself() -> None:
    home = house()
    home.say(Measured(store="cellar", celsius_milli=9_000), on="2026-09-01", written=LATER)
    home.say(Measured(store="cellar/top", celsius_milli=12_000), on="2026-09-01", written=LATER)
    home.say(
        Measured(store="barn", celsius_milli=3_000, humidity_permille=800),
        on="2026-09-01",
        written=LATER,
    )
    found = climates(home)
    september = day("2026-09-01")
    assert found.curve("cellar").on(september) == 9_000
    assert found.curve("cellar/low").on(september) == 9_000
    assert found.curve("cellar/top").on(september) == 10_500  # of the two the mean
    assert not found.curve("barn/chest").known
    assert found.humidity("barn/bin", 2**60) == 800
    assert found.humidity("cellar", 2**60) is None


def test_a_machine_warms_all_that_shares_its_air_while_it_runs() -> None:
    home = house()
    home.say(MachineSet(machine="dryer", facts={"store": "cellar/bench", "degrees": "9 F"}))
    home.say(Ran(machine="dryer", minutes=720), on="2026-09-02", written=LATER)
    found = climates(home)
    # the run ends with its day; half of it at five degrees Celsius more
    assert found.curve("cellar/top").on(day("2026-09-02")) == 7_778 + 2_500
    assert found.curve("cellar").on(day("2026-09-03")) == 7_778
    assert found.curve("barn").on(day("2026-09-02")) == climates(house()).curve("barn").on(
        day("2026-09-02")
    )


def test_a_run_whose_length_nobody_said_warms_nothing() -> None:
    home = house()
    home.say(MachineSet(machine="dryer", facts={"store": "cellar", "degrees": "9 F"}))
    home.say(Ran(machine="dryer"), on="2026-09-02", written=LATER)
    assert climates(home).curve("cellar").steady


def test_degrees_added_are_a_difference() -> None:
    assert degrees_of("9 F") == 5_000
    assert degrees_of("-4.5 C") == -4_500
    assert [degrees_of(said) for said in ("", "9", "warm F", "1/0 C", "900 F")] == [None] * 5


def test_if_a_machine_ran_all_of_august_only_augusts_to_come_are_warmer() -> None:
    today = day("2026-08-15")
    supposed = If(day=today, degrees=5_000, store="cellar", months=(8,))
    curve = climates(house(), supposed).curve("cellar/top")
    assert [curve.on(day(text)) for text in ("2026-08-14", "2026-08-15", "2026-09-01", "2027-08-02")] == [
        7_778, 12_778, 7_778, 12_778,
    ]  # fmt: skip


def test_if_winter_were_warmer_the_barn_shares_half_of_it_and_the_cellar_none() -> None:
    supposed = If(day=day("2026-08-15"), winter=3_000)
    plain, warmer = climates(house()), climates(house(), supposed)
    for store, more in (("outdoors", 3_000), ("barn", 1_500), ("cellar", 0), ("barn/chest", None)):
        for text in ("2026-12-01", "2027-02-28"):
            was, would = plain.curve(store).on(day(text)), warmer.curve(store).on(day(text))
            assert would == (None if was is None or more is None else was + more)
        for text in ("2026-02-01", "2026-11-30", "2027-03-01"):
            assert plain.curve(store).on(day(text)) == warmer.curve(store).on(day(text))


def test_what_a_days_temperature_rests_on_is_told() -> None:
    home = house()
    home.say(Measured(store="back-room", celsius_milli=14_000), on="2026-09-01", written=LATER)
    found = climates(home)
    september = day("2026-09-01")
    assert found.rests_on("back-room", september + 14) == "read"
    assert found.rests_on("back-room", september + 15) == "assumed"
    assert found.rests_on("back-room", september + 365) == "read before"
    assert found.rests_on("cellar", september) == "stated"


def test_a_freezer_goes_by_its_own_thermometer_where_nothing_was_stated() -> None:
    home = house()
    for on, milli in (("2026-08-05", -17_000), ("2026-08-20", -16_500), ("2026-09-02", 3_000),
                      ("2026-09-20", -16_800)):  # fmt: skip
        home.say(Measured(store="barn/chest", celsius_milli=milli), on=on, written=LATER)
    found = climates(home)
    later = day("2027-03-01")
    assert found.curve("barn/chest/basket").on(later) == -16_800
    assert found.rests_on("barn/chest", later) == "read before"
    assert not found.curve("barn/chest").stated
    assert found.curve("barn/chest").on(day("2026-09-02")) == 3_000
    home.say(StoreSet(store="barn/chest", facts={"climate": "0 F"}), t=LATER + 1)
    assert climates(home).curve("barn/chest").on(later) == -17_778


def test_a_room_that_was_read_last_winter_is_expected_to_be_like_that() -> None:
    home = house()
    home.say(Measured(store="back-room", celsius_milli=11_000), on="2026-01-20", written=LATER)
    found = climates(home)
    assert [found.curve("back-room").on(day(text)) for text in
            ("2026-01-10", "2026-06-01", "2027-01-20", "2029-01-20", "2030-01-20")] == [
        11_000, None, 11_000, 11_000, None,
    ]  # fmt: skip
    assert found.curve("back-room").seen == [day("2026-01-20")]
