"""The worked examples of the page that says how a lot is replayed, typed in as they stand.

Minutes stand for t1, t2 …; what comes in does so at t0. Amounts by store, the balance and the
concerns are the page's own; what the page leaves unsaid is left unsaid here.
"""

from fractions import Fraction

from tests.build import About, Household, between, day, makes, said_by

HALF = Fraction(1, 2)


def test_e1_narrowing() -> None:
    house = Household()
    beans = house.bring_in(13, "beans", "larder/top", t=0)
    house.move(8, beans, "larder/top", "larder", t=1)
    assert house.stores(beans) == {"larder/top": 5, "larder": 8}
    house.move(3, beans, "larder", "larder/top", t=2)
    assert house.stores(beans) == {"larder/top": 8, "larder": 5}
    house.eat(9, beans, "larder/top", t=3)
    assert house.stores(beans) == {"larder": 4}
    house.count(4, beans, "larder/low", t=4)
    assert house.stores(beans) == {"larder/low": 4}
    assert house.balance(beans) == {"in": 13, "consumed": 9, "on_hand": 4}
    assert house.kinds() == []


def test_e2_halves() -> None:
    house = Household()
    jars = house.bring_in(6, "cherries", "cellar", unit="jar", t=0)
    house.move(3, jars, "cellar", "kitchen", t=1)
    house.eat(HALF, jars, "kitchen", t=2)
    house.move(HALF, jars, "kitchen", "cellar", t=3)
    assert house.closed(jars) == {"cellar": 3, "kitchen": 2}
    assert house.opened(jars) == {"cellar": HALF}
    house.spoil(HALF, jars, "cellar", t=4)
    assert house.stores(jars) == {"cellar": 3, "kitchen": 2}
    assert house.opened(jars) == {}
    assert house.balance(jars) == {"in": 6, "consumed": HALF, "spoiled": HALF, "on_hand": 5}


def test_e3_explaining() -> None:
    house = Household()
    jars = house.bring_in(18, "chutney", "hall", unit="jar", t=0)
    count = house.count(11, jars, "hall", t=1)
    assert house.balance(jars) == {"in": 18, "missing": 7, "on_hand": 11}
    house.give(5, jars, "hall", t=2, explains=count)
    assert house.stores(jars) == {"hall": 11}
    assert house.balance(jars) == {"in": 18, "given": 5, "missing": 2, "on_hand": 11}
    house.void(count, t=3)
    assert house.kinds() == ["explains-nothing"]
    assert house.stores(jars) == {"hall": 13}
    assert house.balance(jars) == {"in": 18, "given": 5, "on_hand": 13}


def test_e4_more_than_known_carried_then_turned_up() -> None:
    house = Household()
    squash = house.bring_in(15, "squash", "attic", unit="piece", t=0)
    house.count(6, squash, "porch", t=1)
    assert house.stores(squash) == {"attic": 9, "porch": 6}
    house.count(8, squash, "attic", t=2)
    assert house.balance(squash) == {"in": 15, "missing": 1, "on_hand": 14}
    house.eat(1, squash, "porch", t=3)
    house.count(6, squash, "porch", t=4)
    assert house.stores(squash) == {"attic": 8, "porch": 6}
    assert house.balance(squash) == {"in": 15, "consumed": 1, "on_hand": 14}
    assert "carried-unsaid" in house.kinds()


def test_e4_more_than_known_moved_twice() -> None:
    house = Household()
    crate = house.bring_in(9, "quinces", "shed", unit="piece", t=0)
    house.move(9, crate, "shed", "loft", t=1, by="gardener")
    house.move(9, crate, "shed", "hall", t=2, by="cook", device="cook")
    assert house.stores(crate) == {"loft": 9}
    (twice,) = house.concerns("moved-short")
    assert {twice.store, twice.other_store} == {"loft", "hall"}
    house.count(0, crate, "loft", t=3)
    assert house.balance(crate) == {"in": 9, "missing": 9}
    house.count(9, crate, "hall", t=4)
    assert house.stores(crate) == {"hall": 9}
    assert house.balance(crate) == {"in": 9, "on_hand": 9}


def test_e5_before_or_after() -> None:
    house = Household()
    jars = house.bring_in(14, "passata", "pantry", unit="jar", t=0)
    house.count(10, jars, "pantry", t=day(12))
    eaten = house.eat(4, jars, "pantry", on="2026-08-01/2026-08-20", written=day(21))
    assert house.stores(jars) == {"pantry": 6}
    assert house.balance(jars) == {"in": 14, "consumed": 4, "missing": 4, "on_hand": 6}
    (asked,) = house.concerns("before-or-after-count")
    assert asked.lot == jars
    house.redate(eaten, "2026-08-05", written=day(22))
    assert house.balance(jars) == {"in": 14, "consumed": 4, "on_hand": 10}
    assert house.kinds() == []


def test_e6_estimates() -> None:
    house = Household()
    nuts = house.bring_in(About(26, 22, 30), "walnuts", "sack", form="drying", t=0)
    assert house.spread(nuts, "sack") == (22, 26, 30)
    house.count(About(24, 21, 28), nuts, "sack", t=1)
    assert house.spread(nuts, "sack") == (21, 24, 28)
    assert house.balance(nuts) == {"in": 26, "re_estimated": -2, "on_hand": 24}
    house.move(12, nuts, "sack", "bin", t=2)
    assert house.spread(nuts, "sack") == (9, 12, 16)
    house.move(15, nuts, "sack", "bin", t=3)
    assert house.spread(nuts, "sack") == (0, 0, 1)
    assert house.stores(nuts) == {"bin": 27}
    assert house.balance(nuts) == {"in": 26, "re_estimated": 1, "on_hand": 27}
    assert "moved-short" not in house.kinds()
    house.count(0, nuts, "sack", t=4)
    assert house.spread(nuts, "sack") == (0, 0, 0)
    house.weigh(26, nuts, "bin", t=5)
    assert house.balance(nuts) == {"in": 26, "re_estimated": 1, "shrunk": 1, "on_hand": 26}


def test_e7_marks_whole_lot_and_amount() -> None:
    house = Household()
    apples = house.bring_in(10, "apples", "rack", unit="piece", t=0)
    whole = house.hold(apples, t=1)
    two = house.hold(apples, "rack", 2, t=2)
    assert house.held(apples) == {"rack": 10}
    house.release(whole, apples, t=3)
    assert house.held(apples) == {"rack": 2}
    (relish,) = house.put_up([house.draw(9, apples, "rack")], [makes(6, "relish", "larder")], t=4)
    assert house.under(two, apples) == {"rack": 1}
    assert house.under(two, relish) == {"larder": 6}
    assert house.kinds() == ["held-used"]
    house.spoil(1, apples, "rack", t=5)
    assert house.stores(apples) == {}
    house.release(two, apples, t=6)
    assert house.held(relish) == {}
    assert house.balance(apples) == {"in": 10, "drawn": 9, "spoiled": 1}
    assert house.balance(relish) == {"in": 6, "on_hand": 6}


def test_e7_marks_on_more_than_is_known_there() -> None:
    house = Household()
    tins = house.bring_in(11, "sardines", "vault", unit="tin", t=0)
    house.move(1, tins, "vault", "galley", t=1)
    mark = house.hold(tins, "galley", 3, t=2)
    assert house.stores(tins) == {"vault": 8, "galley": 3}
    assert house.under(mark, tins) == {"galley": 3}
    house.eat(1, tins, "galley", t=3)
    assert "held-used" in house.kinds()
    house.eat(2, tins, "vault", t=4)
    house.spoil(2, tins, "galley", t=5)
    assert house.stores(tins) == {"vault": 6}
    assert house.held(tins) == {}
    assert house.balance(tins) == {"in": 11, "consumed": 3, "spoiled": 2, "on_hand": 6}


def test_e8_seed() -> None:
    house = Household()
    bulbs = house.bring_in(40, "garlic", "loft", unit="head", t=0)
    aside = house.set_aside(bulbs, "loft", 12, t=1)
    house.spoil(5, bulbs, "loft", t=2)
    assert house.unmarked(bulbs) == {"loft": 23}
    assert house.under(aside, bulbs) == {"loft": 12}
    house.plant(10, bulbs, "loft", t=3)
    assert house.unmarked(bulbs) == {"loft": 23}
    assert house.aside(bulbs) == {"loft": 2}
    assert house.kinds() == []
    house.count(1, bulbs, "loft", t=4)
    assert house.stores(bulbs) == house.aside(bulbs) == {"loft": 1}
    (short,) = house.concerns("reserve-short")
    assert short.n == 5_040_000
    assert house.balance(bulbs) == {
        "in": 40, "spoiled": 5, "planted": 10, "missing": 24, "on_hand": 1
    }  # fmt: skip


def test_e9_heat() -> None:
    house = Household()
    p = house.bring_in(6, "butter", "attic", t=0)
    q = house.bring_in(5, "cheese", "hut", t=0)
    r = house.bring_in(3, "lard", "attic", t=95)
    house.move(2, p, "attic", "kitchen", t=40)
    house.eat(1, p, "kitchen", t=50)
    house.move(5, q, "hut", "attic", on=between(20, 70), written=98)
    heat = house.incident("attic", between(30, 30), between(60, 60), what="heat", t=99)
    house.look(p, "attic", sound=3, mark=heat, t=120)
    assert house.stores(p) == {"attic": 4, "kitchen": 1}
    assert house.held(p) == {"attic": 1, "kitchen": 1}
    assert "used-before-hold" in house.kinds(p)
    assert "held-used" not in house.kinds(p)
    assert house.balance(p) == {"in": 6, "consumed": 1, "on_hand": 5}
    assert house.held(q) == house.stores(q) == {"attic": 5}
    assert house.balance(q) == {"in": 5, "on_hand": 5}
    assert house.held(r) == {}
    assert house.balance(r) == {"in": 3, "on_hand": 3}


def test_e10_each_voids_the_others() -> None:
    house = Household()
    one = house.bring_in(8, "kraut", "vault", unit="crock", t=0)
    other = house.bring_in(8, "kraut", "vault", unit="crock", t=0.5, device="cook")
    house.eat(1, one, "vault", t=1)
    house.eat(2, other, "vault", t=2, device="cook")
    house.void(said_by(other), same_as=said_by(one), t=3)
    assert house.stores(one) == {"vault": 5}
    house.void(said_by(one), same_as=said_by(other), t=4, device="cook")
    for name in (one, other):
        assert house.lot(name).name == one
        assert house.stores(name) == {"vault": 5}
        assert house.balance(name) == {"in": 8, "consumed": 3, "on_hand": 5}
    assert list(house.book.lots) == [one]


def test_e11_a_bring_in_taken_back() -> None:
    house = Household()
    jars = house.bring_in(20, "beets", "porch", unit="jar", t=0)
    house.give(3, jars, "porch", t=1)
    house.move(6, jars, "porch", "shed", t=2)
    back = house.void(said_by(jars), t=3)
    assert house.stores(jars) == {}
    assert "making-taken-back" in house.kinds()
    assert house.balance(jars) == {"found": 3, "given": 3}
    house.void(back, t=4)
    assert house.stores(jars) == {"porch": 11, "shed": 6}
    assert house.balance(jars) == {"in": 20, "given": 3, "on_hand": 17}
    assert house.kinds() == []


def test_e12_gone_through() -> None:
    house = Household()
    x = house.bring_in(5, "rice", "larder", t=0)
    y = house.bring_in(7, "lentils", "larder", t=0)
    through = house.go_through("larder", t=1)
    house.count(5, x, "larder", t=2, deed=through)
    z = house.bring_in(2, "salt", "larder", t=6)
    assert house.doubted(y) == {"larder": 7}
    house.eat(1, y, "kitchen", t=3)
    assert house.doubted(y) == {"larder": 6}
    house.look(y, "larder", seen=2, t=4)
    assert house.stores(y) == {"larder": 6}
    assert house.doubted(y) == {"larder": 4}
    house.spoil(4, y, "larder", cause="not found", t=5)
    assert house.stores(y) == {"larder": 2}
    assert house.doubted(y) == {}
    assert house.doubted(z) == house.doubted(x) == {}
    assert house.balance(x) == {"in": 5, "on_hand": 5}
    assert house.balance(y) == {"in": 7, "consumed": 1, "spoiled": 4, "on_hand": 2}
    assert house.balance(z) == {"in": 2, "on_hand": 2}
