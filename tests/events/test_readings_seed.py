"""Seed that is kept back: from when it may be planted in which bed, and where it lives longest."""

from datetime import UTC, date

import pytest

from events.kinds import SetAside, StoreSet
from events.readings.ground import ground
from events.readings.seed import Seed, seed
from events.tables import load
from events.tables.beds import beds
from tests.build import Household
from tests.tale import amount, day

TABLES = load()
TODAY = date(2026, 11, 22)


def house() -> Household:
    home = Household()
    for store, facts in (
        ("bed", {"kind": "ground", "soil_months": "mitchell-nebraska"}),
        ("outdoors", {"kind": "outbuilding", "climate": "2 C"}),
        ("cellar", {"kind": "cellar", "climate": "5 C"}),
        ("room", {"kind": "room", "climate": "20 C"}),
        ("chest", {"kind": "freezer"}),
        ("loft", {"kind": "outbuilding"}),
    ):
        home.say(StoreSet(store=store, facts=facts))
    return home


def kept_back(home: Household, food: str, store: str, purpose: str = "seed", form: str = "") -> str:
    lot = home.bring_in(20, food, store, form=form or None, t=day(100))
    home.say(SetAside(lot=lot, store=store, amount=amount(8, "lb"), purpose=purpose), t=day(101))
    return lot


def asked(home: Household, on: date = TODAY) -> dict[str, Seed]:
    found = ground(home.book, TABLES, on, UTC)
    courses = [(bed.store, bed.on) for bed in found if bed.on is not None]
    return {one.name: one for one in seed(home.book, TABLES, beds(), on, courses)}


def test_seed_potatoes_are_planted_when_the_bed_has_warmed() -> None:
    home = house()
    lot = kept_back(home, "potatoes", "cellar", "to plant out")
    one = asked(home)[lot]
    (when,) = one.planting
    # Colorado State: 45 F, 7.2 C; the normals at 20 cm pass it between mid March (2.0) and mid
    # April (9.2): by the line between them on 6 April
    assert (when.bed, when.celsius, when.publisher) == (
        "bed",
        7.2,
        "Colorado State University Extension",
    )
    assert when.first <= date(2027, 4, 9)
    assert when.last is not None
    assert when.last >= date(2027, 4, 3)
    assert one.longer == ()  # a tuber is no dry seed


def test_in_warm_ground_it_may_be_planted_now() -> None:
    home = house()
    lot = kept_back(home, "potatoes", "cellar")
    (when,) = asked(home, date(2027, 5, 1))[lot].planting
    assert (when.first, when.last) == (date(2027, 5, 1), date(2027, 5, 1))


def test_dry_seed_lives_longest_in_the_coolest_store_that_food_is_kept_in() -> None:
    home = house()
    lot = kept_back(home, "bean seed", "room")
    ((store, times),) = asked(home)[lot].longer
    # the universal terms (CH 0.0329, CQ 0.000478) from 20 C to 5 C; not outdoors, nor in the frost
    assert store == "cellar"
    assert times == pytest.approx(10 ** (0.0329 * 15 + 0.000478 * (400 - 25)), rel=1e-6)
    home.move(8, lot, "room", "cellar", mark=home.records[-1].name, t=day(102))
    assert asked(home)[lot].longer == ()


def test_what_is_kept_back_for_a_feast_is_no_seed() -> None:
    home = house()
    kept_back(home, "potatoes", "cellar", "for the feast")
    assert asked(home) == {}
