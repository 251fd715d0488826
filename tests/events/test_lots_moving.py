"""Stories of carrying: parts of a store, the wider store, and moves that fall short."""

from tests.build import About, Household, between


def test_what_is_known_in_a_part_goes_before_what_is_known_around_it() -> None:
    """Ten beets in the room, five of them said to be on its shelf; six taken off the shelf."""
    house = Household()
    beets = house.bring_in(10, "beets", "room")
    house.move(5, beets, "room", "room/shelf")
    house.eat(6, beets, "room/shelf")
    assert house.stores(beets) == {"room": 4}
    assert house.kinds() == []


def test_the_nearest_store_around_gives_first() -> None:
    """Known for the house, for the room, and for the shelf; the box on the shelf gives them so."""
    house = Household()
    beets = house.bring_in(9, "beets", "")
    house.move(3, beets, "", "room")
    house.move(3, beets, "", "room/shelf")
    house.eat(4, beets, "room/shelf/box")
    assert house.stores(beets) == {"": 3, "room": 2}
    house.eat(4, beets, "room/shelf/box")
    assert house.stores(beets) == {"": 1}
    assert house.kinds() == []


def test_food_known_for_the_house_alone_is_somewhere_in_it() -> None:
    """Nobody said where the oats went; taking them from the barn needs no carrying."""
    house = Household()
    oats = house.bring_in(20, "oats")
    house.eat(5, oats, "barn")
    assert house.stores(oats) == {"": 15}
    assert house.kinds() == []


def test_food_around_goes_before_food_elsewhere() -> None:
    house = Household()
    oats = house.bring_in(20, "oats", "barn")
    house.move(3, oats, "barn", "kitchen")
    house.eat(4, oats, "kitchen/tin")
    assert house.stores(oats) == {"barn": 16}
    (carried,) = house.concerns()
    assert carried.kind == "carried-unsaid"


def test_taking_from_the_wider_store_reaches_into_its_parts() -> None:
    house = Household()
    beets = house.bring_in(5, "beets", "cellar/bin")
    house.eat(2, beets, "cellar")
    assert house.stores(beets) == {"cellar/bin": 3}
    assert house.kinds() == []


def test_a_move_into_a_part_takes_what_is_not_in_that_part_yet() -> None:
    """Eight on the shelf, two in the room: two more go onto the shelf, not the eight again."""
    house = Household()
    beets = house.bring_in(8, "beets", "room/shelf")
    house.move(2, beets, "room/shelf", "room")
    house.move(2, beets, "room", "room/shelf")
    assert house.stores(beets) == {"room/shelf": 8}
    assert house.kinds() == []


def test_the_same_food_said_more_exactly_is_no_concern() -> None:
    house = Household()
    beets = house.bring_in(8, "beets", "room")
    house.count(8, beets, "room/shelf")
    assert house.stores(beets) == {"room/shelf": 8}
    assert house.kinds() == []


def test_a_move_within_a_store_does_not_restart_how_long_food_has_stood_there() -> None:
    """Early cherries go from shelf to drawer after the late ones: the kitchen still eats them first."""
    house = Household()
    jars = house.bring_in(10, "cherries", "cellar")
    house.move(5, jars, "cellar", "kitchen/shelf")
    house.move(5, jars, "cellar", "kitchen/drawer")
    house.move(5, jars, "kitchen/shelf", "kitchen/drawer")
    house.eat(5, jars, "kitchen")
    assert house.paths(jars) == {("cellar", "kitchen/drawer"): 5}


def test_in_the_drawer_itself_what_came_to_it_first_goes_first() -> None:
    house = Household()
    jars = house.bring_in(10, "cherries", "cellar")
    house.move(5, jars, "cellar", "kitchen/shelf")
    house.move(5, jars, "cellar", "kitchen/drawer")
    house.move(5, jars, "kitchen/shelf", "kitchen/drawer")
    house.eat(5, jars, "kitchen/drawer")
    assert house.paths(jars) == {("cellar", "kitchen/shelf", "kitchen/drawer"): 5}


def test_food_that_leaves_a_store_and_comes_back_starts_anew_there() -> None:
    house = Household()
    jars = house.bring_in(10, "cherries", "kitchen")
    house.move(5, jars, "kitchen", "hall")
    house.move(5, jars, "hall", "kitchen")
    house.eat(5, jars, "kitchen")
    assert house.paths(jars) == {("kitchen", "hall", "kitchen"): 5}


def test_a_move_carries_what_is_there_and_no_more() -> None:
    house = Household()
    crate = house.bring_in(5, "quinces", "shed")
    house.move(8, crate, "shed", "loft")
    assert house.stores(crate) == {"loft": 5}
    assert house.balance(crate) == {"in": 5, "on_hand": 5}
    (short,) = house.concerns()
    assert short.kind == "moved-short"
    assert {short.store, short.other_store} == {"shed", "loft"}
    assert short.n == 3 * 5_040_000


def test_a_short_move_takes_nothing_from_elsewhere_nor_from_what_is_missing() -> None:
    house = Household()
    crate = house.bring_in(9, "quinces", "shed")
    house.move(4, crate, "shed", "hall")
    house.count(3, crate, "shed")
    house.move(6, crate, "shed", "loft")
    assert house.stores(crate) == {"hall": 4, "loft": 3}
    assert house.balance(crate) == {"in": 9, "missing": 2, "on_hand": 7}


def test_a_short_move_is_asked_about_until_one_of_both_places_is_counted() -> None:
    for place in ("shed", "loft"):
        house = Household()
        crate = house.bring_in(5, "quinces", "shed")
        house.move(8, crate, "shed", "loft")
        house.count(5, crate, "attic")
        assert len(house.concerns("moved-short")) == 1
        house.count(0, crate, place)
        assert house.concerns("moved-short") == []


def test_a_move_takes_from_the_stores_around_the_part() -> None:
    house = Household()
    crate = house.bring_in(5, "quinces", "shed")
    house.move(4, crate, "shed/box", "loft")
    assert house.stores(crate) == {"shed": 1, "loft": 4}
    assert house.kinds() == []


def test_a_move_of_an_estimate_goes_up_to_its_high() -> None:
    house = Household()
    roots = house.bring_in(About(20, 15, 25), "carrots", "bed")
    house.move(24, roots, "bed", "cellar")
    assert house.stores(roots) == {"cellar": 24}
    assert house.spread(roots, "bed") == (0, 0, 1)
    assert house.balance(roots) == {"in": 20, "re_estimated": 4, "on_hand": 24}
    assert house.kinds() == []


def test_a_move_beyond_the_high_is_short() -> None:
    house = Household()
    roots = house.bring_in(About(20, 15, 25), "carrots", "bed")
    house.move(27, roots, "bed", "cellar")
    assert house.stores(roots) == {"cellar": 25}
    assert house.spread(roots, "bed") == (0, 0, 0)
    assert house.balance(roots) == {"in": 20, "re_estimated": 5, "on_hand": 25}
    (short,) = house.concerns("moved-short")
    assert short.n == 2 * 5_040_000


def test_a_late_move_from_before_stands_before() -> None:
    """The carrying was written down after the meal that ate what was carried."""
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", t=0)
    house.eat(2, jars, "kitchen", t=10)
    assert house.kinds() == ["carried-unsaid"]
    house.move(3, jars, "cellar", "kitchen", t=5, written=20, device="cook")
    assert house.stores(jars) == {"cellar": 3, "kitchen": 1}
    assert house.kinds() == []


def test_a_move_said_between_two_moments_is_placed_at_the_latest() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", t=0)
    house.eat(2, jars, "kitchen", t=10)
    house.move(3, jars, "cellar", "kitchen", on=between(5, 15), written=20)
    assert house.stores(jars) == {"cellar": 1, "kitchen": 3}


def test_the_rest_moves_all_that_is_known_there() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar")
    house.eat(1, jars, "cellar")
    house.move(6, jars, "cellar", "kitchen", rest=True)
    assert house.stores(jars) == {"kitchen": 5}
    assert house.kinds() == []


def test_the_rest_of_an_estimate_leaves_nought_at_most() -> None:
    house = Household()
    roots = house.bring_in(About(20, 15, 25), "carrots", "bed")
    house.move(20, roots, "bed", "cellar", rest=True)
    assert house.spread(roots, "bed") == (0, 0, 0)
    assert house.stores(roots) == {"cellar": 20}


def test_the_rest_where_none_is_known_is_that_amount() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar")
    house.eat(2, jars, "kitchen", rest=True)
    assert house.balance(jars) == {"in": 6, "consumed": 2, "on_hand": 4}
    house.move(3, jars, "attic", "hall", rest=True)
    assert house.stores(jars) == {"cellar": 4}
    assert "moved-short" in house.kinds()


def test_eating_the_rest_of_some_leaves_none() -> None:
    house = Household()
    herbs = house.bring_in(About(0, 0, None), "thyme", "beam", unit="bunch")
    assert house.spread(herbs, "beam") == (0, 0, None)
    house.eat(0, herbs, "beam", rest=True)
    assert house.spread(herbs, "beam") == (0, 0, 0)
    assert house.balance(herbs) == {}
