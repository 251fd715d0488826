"""What to use first by the stores that food has lived in, at the temperatures that they had."""

from datetime import UTC, datetime
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from events.book import Book
from events.kinds import LotSet, MachineSet, Measured, Ran, Received, StoreSet
from events.readings.climate import If
from events.readings.reasons import reasons, short
from events.readings.rotation import DAY, Use, use_first
from events.readings.used import Shares, used
from events.record import Record
from events.tables import load
from tests.build import Household, ms
from tests.histories import entries, records
from tests.tale import amount, day, grains

TABLES = load()
LATER = 130 * 1440.0
"""When it was written down, where that was later."""


def house() -> Household:
    home = Household()
    for store, facts in (
        ("kitchen", {"kind": "kitchen"}),
        ("back-room", {"kind": "room"}),
        ("cellar", {"kind": "cellar"}),
        ("root-cellar", {"kind": "cellar", "climate": "40 F"}),
        ("porch", {"climate": "50 F"}),
        ("pantry", {"kind": "pantry", "climate": "70 F"}),
        ("bed", {"kind": "ground"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    return home


def order(home: Household, supposed: If | None = None) -> list[Use]:
    return use_first(home.book, TABLES, supposed)


def days(use: Use) -> tuple[Fraction | int | None, Fraction | int | None]:
    """From and to, in days of the story, to the second."""
    return tuple(  # type: ignore[return-value]
        None if moment is None else Fraction((moment - ms(0)) // 1000, 86_400)
        for moment in (use.from_ms, use.to_ms)
    )


def test_what_a_warm_kitchen_used_up_is_gone_in_the_cellar_too() -> None:
    home = house()
    lot = home.bring_in(40, "potatoes", "kitchen", t=0)
    home.move(40, lot, "kitchen", "cellar", t=day(8))
    (use,) = order(home)
    # a week of 14 to 28 days in the kitchen (Missouri): half to a quarter of it; then 109 to 183
    # days (Vermont: up to six months) for what is left
    low, high = days(use)
    assert low == pytest.approx(7 + 109 * (1 - Fraction(7, 14)), abs=1e-4)
    assert high == pytest.approx(7 + 183 * (1 - Fraction(7, 28)), abs=1e-4)
    share = used(use, ms(day(8)) + DAY)
    assert share is not None
    assert (share.least, share.most) == (
        25,
        50,
    )  # and less than one per cent in a day of the cellar
    assert "25-50 % used before it stood here" in short(use)
    assert any(line.startswith("7 days in kitchen before (assumed 10 to 21 C): 25-50 %")
               for line in reasons(use, TABLES))  # fmt: skip


def test_what_was_used_up_before_it_was_carried_is_over() -> None:
    home = house()
    lot = home.bring_in(40, "potatoes", "kitchen", t=0)
    home.move(40, lot, "kitchen", "cellar", t=day(25))
    (use,) = order(home)
    assert days(use)[0] == 14
    assert days(use)[1] == pytest.approx(24 + 183 * (1 - Fraction(24, 28)), abs=1e-4)


def test_there_and_back_between_shelves_of_one_room_changes_nothing() -> None:
    home, other = house(), house()
    lot = home.bring_in(9, "green beans", "back-room/top", unit="jar", form="home-canned", t=0)
    home.move(9, lot, "back-room/top", "back-room/low", t=day(9))
    home.move(9, lot, "back-room/low", "back-room/top", t=day(21))
    other.bring_in(9, "green beans", "back-room/top", unit="jar", form="home-canned", t=0)
    assert days(order(home)[0]) == days(order(other)[0]) == (182, 365)


def test_a_store_with_a_stated_climate_goes_by_it_and_says_so() -> None:
    home = house()
    home.bring_in(9, "butternut squash", "porch", unit="squash", t=0)
    home.bring_in(9, "butternut squash", "pantry", unit="squash", t=0)
    warm, right = order(home)
    # Storing Fall Garden Produce, Iowa State: 61 to 91 days at 50-55 F
    assert days(right) == (61, 91)
    assert warm.store == "pantry"
    # Handbook 66: 2.0 to 2.5 times as fast for ten degrees from 10 to 20 C, then 1.5 to 2.0; 21.1 C
    by = 2.5 ** ((20 - 12.8) / 10) * 2.0 ** ((21.1 - 20) / 10)
    assert days(warm)[0] == round(61 / by)
    assert "by the Q10 of USDA-ARS" in short(warm)
    assert "About 10 C (50 F) where it stands, as stated." in reasons(right, TABLES)
    assert not any("Assumed" in line for line in reasons(right, TABLES))


def test_a_thermometer_corrects_what_the_kind_of_store_is_taken_to_be() -> None:
    home = house()
    home.bring_in(9, "butternut squash", "back-room", unit="squash", t=0)
    before = days(order(home)[0])
    for on in (2, 12, 22):
        home.say(Measured(store="back-room", celsius_milli=26_000), t=day(on))
    after = days(order(home)[0])
    assert before == (61, 91)
    assert after[0] < before[0]  # type: ignore[operator]
    assert any("as read there" in line for line in reasons(order(home)[0], TABLES))


def test_air_drier_than_is_printed_is_said_and_costs_no_days() -> None:
    home = house()
    home.say(Measured(store="root-cellar", humidity_permille=400), t=0)
    home.bring_in(9, "carrots", "root-cellar", t=day(10))
    (before,) = order(home)
    assert not any("drier" in line for line in reasons(before, TABLES))  # read before it came
    home.say(Measured(store="root-cellar", humidity_permille=550), t=day(20))
    (use,) = order(home)
    assert (use.from_ms, use.to_ms) == (before.from_ms, before.to_ms)
    # Fresh Vegetable Storage, Wisconsin: carrots at 95-100 %
    assert any(line.startswith("Read 55 % there: drier than the 95-100 %") and "shrivels" in line
               for line in reasons(use, TABLES))  # fmt: skip


def test_a_dryer_that_ran_costs_the_potatoes_beside_it_days() -> None:
    home = house()
    home.say(MachineSet(machine="dryer", facts={"store": "root-cellar", "degrees": "9 F"}))
    home.bring_in(40, "potatoes", "root-cellar", t=0)
    before = days(order(home)[0])[0]
    for on in range(3, 13):
        home.say(Ran(machine="dryer", minutes=1440), on=f"2026-08-{on:02}", written=LATER)
    after = days(order(home)[0])[0]
    assert before is not None
    assert after is not None
    # ten days at 9.4 C (18 days, Michigan State) for ten at 4.4 C (40 F)
    assert after < before - 20


def test_in_the_ground_no_life_is_used_and_keeping_starts_when_it_is_dug() -> None:
    home = house()
    lot = home.bring_in(30, "carrots", "bed", t=0)
    home.move(10, lot, "bed", "root-cellar", t=day(20))
    dug, left = order(home)
    assert (dug.group, left.group) == ("dated", "in the ground")
    assert dug.since == dug.since_latest == ms(day(20))
    other = house()
    other.bring_in(10, "carrots", "root-cellar", t=day(20))
    assert days(dug) == days(order(other)[0])


def test_what_turned_up_is_reckoned_by_where_its_lot_stood_warmest() -> None:
    home = house()
    lot = home.bring_in(10, "potatoes", "kitchen", t=0)
    home.move(4, lot, "kitchen", "cellar", t=day(2))
    deed = home.count(6, lot, "kitchen", t=day(8))
    home.count(8, lot, "cellar", t=day(8), deed=deed)
    cellar = next(use for use in order(home) if use.store == "cellar")
    assert cellar.n == grains(8)
    # four lived in the kitchen for a day; of the four that turned up nobody knows: a week there
    assert days(cellar)[0] == pytest.approx(7 + 109 * (1 - Fraction(7, 14)), abs=1e-4)
    assert days(cellar)[1] == pytest.approx(1 + 183 * (1 - Fraction(1, 28)), abs=1e-4)


def test_curing_that_ended_later_starts_the_keeping_of_a_lot_that_is_there() -> None:
    home = house()
    lot = home.bring_in(30, "garlic", "kitchen", unit="head", t=0)
    assert days(order(home)[0]) == (30, 61)
    home.say(LotSet(lot=lot, facts={"keeping_from": "2026-08-15"}))
    (use,) = order(home)
    begins = ms(day(15)) - 8 * 3_600_000
    assert (use.since, use.since_latest) == (begins, begins + DAY - 1)
    assert use.from_ms == begins + 30 * DAY


def test_what_is_curing_is_held_and_its_keeping_has_not_begun() -> None:
    home = house()
    garlic = Received(food="garlic", amount=amount(57, "head"), store="kitchen",
                      keeping_from="2026-08-15")  # fmt: skip
    lot = f"{home.say(garlic, on='2026-07-18')}:0"
    hold = home.hold(lot)
    assert order(home) == []
    home.release(hold, lot)
    (use,) = order(home)
    assert used(use, ms(day(10))) == Shares(0, 0, 0)


def test_small_before_large_and_damaged_before_sound_where_records_say_so() -> None:
    home = house()
    large = home.bring_in(80, "potatoes", "cellar", variety="large", on="2026-08-03", written=LATER)
    small = home.bring_in(40, "potatoes", "cellar", variety="small", on="2026-08-03", written=LATER)
    plain = home.bring_in(60, "potatoes", "cellar", on="2026-08-03", written=LATER)
    late = home.bring_in(10, "potatoes", "cellar", on="2026-08-09", written=LATER)
    assert [use.lot for use in order(home)] == [small, plain, large, late]
    home.say(LotSet(lot=late, facts={"condition": "nicked by the fork"}))
    assert [use.lot for use in order(home)] == [late, small, plain, large]


def test_acorn_before_butternut_before_hubbard_whenever_they_came() -> None:
    home = house()
    for food, on in (("hubbard squash", "2026-09-15"), ("butternut squash", "2026-09-20"),
                     ("acorn squash", "2026-10-10")):  # fmt: skip
        home.bring_in(5, food, "porch", unit="squash", on=on, written=LATER)
    found = order(home)
    assert [use.food.split()[0] for use in found] == ["acorn", "butternut", "hubbard"]
    # 8 and 13 weeks at the most: 5 December and 20 December
    assert [day_of(use.to_ms) for use in found[:2]] == ["2026-12-05", "2026-12-20"]


def day_of(moment: int | None) -> str:
    return datetime.fromtimestamp((moment or 0) / 1000, UTC).date().isoformat()


def test_what_is_open_keeps_by_the_opened_life_from_when_it_was_opened() -> None:
    home = house()
    lot = home.bring_in(3, "peanut butter", "kitchen", unit="jar", t=0)
    home.open(1, lot, "kitchen", t=day(5))
    home.move(1, lot, "kitchen", "pantry", opened=True, t=day(6))
    open_one = order(home)[0]
    assert open_one.group == "open"
    assert days(open_one)[0] == 4 + 61


def winter() -> Household:
    home = Household()
    for store, climate in (("outdoors", "-4 -2 3 9 14 18 20 20 15 9 3 -2 C"),
                           ("barn", "outdoors 2/3"), ("loft", "outdoors 0.9")):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": "outbuilding", "climate": climate}))
    for food, store in (("carrots", "barn"), ("onions", "loft"), ("apples", "barn"), ("beets", "barn"),
                        ("potatoes", "barn"), ("butternut squash", "loft")):  # fmt: skip
        home.bring_in(20, food, store, on="2026-12-01", written=LATER)
    return home


def test_a_warmer_winter_brings_every_date_nearer_and_none_away() -> None:
    home = winter()
    today = ms(LATER) // DAY
    plain = {(use.food, use.store): days(use) for use in order(home)}
    moved = 0
    for more in (500, 1_700, 4_000):
        would = {
            (use.food, use.store): days(use) for use in order(home, If(day=today, winter=more))
        }
        assert would.keys() == plain.keys()
        for key, (low, high) in would.items():
            assert low is not None
            assert plain[key][0] is not None
            assert low <= plain[key][0]  # type: ignore[operator]
            assert (high or 10**6) <= (plain[key][1] or 10**6)
            moved += low < plain[key][0]  # type: ignore[operator]
        plain = would
    assert moved >= 3


FRESH = ("potatoes", "carrots", "onions", "garlic", "apples", "pears", "beets", "cabbage",
         "butternut squash", "sweet potatoes", "parsnips", "turnips")  # fmt: skip


@given(
    st.lists(st.integers(-15_000, 25_000), min_size=12, max_size=12), st.integers(1, 10),
    st.sets(st.sampled_from(FRESH), min_size=1, max_size=4), st.integers(1, 12_000),
    st.lists(st.tuples(st.integers(1, 200), st.integers(-12_000, 20_000)), max_size=4),
)  # fmt: skip
@settings(deadline=None)
def test_whatever_the_winter_a_warmer_one_keeps_nothing_longer(
    months: list[int], tenths: int, foods: set[str], more: int, read: list[tuple[int, int]]
) -> None:
    home = Household()
    stated = " ".join(f"{milli / 1000:.3f}" for milli in months)
    home.say(StoreSet(store="outdoors", facts={"kind": "outbuilding", "climate": f"{stated} C"}))
    home.say(
        StoreSet(store="barn", facts={"kind": "outbuilding", "climate": f"outdoors {tenths}/10"})
    )
    for food in sorted(foods):
        home.bring_in(20, food, "barn", on="2026-11-20", written=LATER)
    for on, milli in sorted(read):
        home.say(Measured(store="barn", celsius_milli=milli), t=LATER + on * 1440)
    today = ms(LATER) // DAY
    plain = {use.food: use for use in order(home)}
    for use in order(home, If(day=today, winter=more)):
        was = plain[use.food]
        assert (use.from_ms is None) == (was.from_ms is None)
        assert use.from_ms is None or was.from_ms is None or use.from_ms <= was.from_ms
        assert was.to_ms is None or (use.to_ms is not None and use.to_ms <= was.to_ms)


@given(records())
@settings(deadline=None)
def test_nothing_raises_for_any_history(told: list[Record]) -> None:
    book = Book()
    book.add(entries(told))
    for supposed in (None, If(day=20_000, degrees=4_000, store="porch", months=(8,), winter=2_000)):
        for use in use_first(book, TABLES, supposed):
            assert short(use)
            assert reasons(use, TABLES)
            assert use.from_ms is None or use.to_ms is None or use.from_ms <= use.to_ms
            share = used(use, 1_800_000_000_000)
            assert share is None or share.least is None or share.least <= share.most


@given(st.lists(st.integers(-200, 300), min_size=1, max_size=6), st.integers(0, 200))
@settings(deadline=None, max_examples=50)
def test_any_thermometer_gives_dates_in_order(tenths: list[int], apart: int) -> None:
    home = Household()
    home.say(StoreSet(store="loft", facts={"kind": "room"}))
    home.bring_in(9, "onions", "loft", t=0)
    for number, tenth in enumerate(tenths):
        home.say(Measured(store="loft", celsius_milli=100 * tenth), t=day(2) + number * apart * 60)
    book = Book()
    book.add(home.log())
    (use,) = use_first(book, TABLES)
    assert use.from_ms is not None
    assert use.since < use.from_ms <= (use.to_ms or use.from_ms)
