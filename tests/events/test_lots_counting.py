"""Stories of counting: what is there, what is not, and what was written down too late."""

from tests.build import SOME, About, Household, between, day


def test_a_whole_count_of_less_is_missing_not_eaten() -> None:
    house = Household()
    jars = house.bring_in(42, "green beans", "room", unit="jar")
    house.eat(19, jars, "room")
    house.count(21, jars, "room")
    assert house.balance(jars) == {"in": 42, "consumed": 19, "missing": 2, "on_hand": 21}
    (differs,) = house.concerns("count-differs")
    assert differs.n == -2 * 5_040_000


def test_a_whole_count_of_more_is_found() -> None:
    house = Household()
    jars = house.bring_in(5, "green beans", "room", unit="jar")
    house.count(7, jars, "room")
    assert house.balance(jars) == {"in": 5, "found": 2, "on_hand": 7}
    (differs,) = house.concerns("count-differs")
    assert differs.n == 2 * 5_040_000


def test_a_count_that_agrees_says_nothing() -> None:
    house = Household()
    jars = house.bring_in(5, "green beans", "room", unit="jar")
    house.count(5, jars, "room")
    assert house.balance(jars) == {"in": 5, "on_hand": 5}
    assert house.kinds() == []


def test_a_count_of_a_part_never_takes_away() -> None:
    """The top two baskets only: none seen. The one bag is still somewhere in the chest."""
    house = Household()
    corn = house.bring_in(30, "corn", "chest", unit="bag")
    house.eat(29, corn, "chest")
    house.count(0, corn, "chest", part=True)
    assert house.stores(corn) == {"chest": 1}
    assert house.kinds() == []


def test_a_count_of_a_part_adds_what_it_sees_beyond_the_log() -> None:
    house = Household()
    corn = house.bring_in(3, "corn", "chest", unit="bag")
    house.count(5, corn, "chest", part=True)
    assert house.balance(corn) == {"in": 3, "found": 2, "on_hand": 5}


def test_a_count_of_a_part_at_or_below_the_log_adds_nothing() -> None:
    house = Household()
    corn = house.bring_in(3, "corn", "chest", unit="bag")
    house.count(3, corn, "chest", part=True)
    house.count(2, corn, "chest", part=True)
    assert house.balance(corn) == {"in": 3, "on_hand": 3}


def test_emptied_and_not_there_is_a_loss_of_its_own() -> None:
    """When the chest is emptied the last bag is written off as not found: not eaten, not missing."""
    house = Household()
    corn = house.bring_in(1, "corn", "chest", unit="bag")
    house.go_through("chest")
    assert house.doubted(corn) == {"chest": 1}
    house.spoil(1, corn, "chest", cause="not found")
    assert house.balance(corn) == {"in": 1, "spoiled": 1}


def test_what_a_wider_count_misses_goes_first_from_what_is_known_for_it_alone() -> None:
    house = Household()
    beets = house.bring_in(8, "beets", "cellar/bin")
    house.move(3, beets, "cellar/bin", "hall")
    house.move(3, beets, "hall", "cellar")
    house.count(6, beets, "cellar")
    assert house.stores(beets) == {"cellar": 1, "cellar/bin": 5}
    house.count(4, beets, "cellar")
    assert house.stores(beets) == {"cellar/bin": 4}


def test_what_a_wider_count_finds_stands_in_the_wider_store() -> None:
    house = Household()
    beets = house.bring_in(5, "beets", "cellar/bin")
    house.count(7, beets, "cellar")
    assert house.stores(beets) == {"cellar/bin": 5, "cellar": 2}


def test_a_count_of_the_house_covers_every_store() -> None:
    house = Household()
    beets = house.bring_in(5, "beets", "cellar")
    house.move(2, beets, "cellar", "kitchen")
    house.count(5, beets, "")
    assert house.stores(beets) == {"cellar": 3, "kitchen": 2}
    assert house.kinds() == []


def test_what_is_missing_turns_up_before_anything_is_carried() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar", unit="jar")
    house.count(7, jars, "cellar")
    house.count(2, jars, "porch")
    assert house.stores(jars) == {"cellar": 7, "porch": 2}
    assert house.balance(jars) == {"in": 10, "missing": 1, "on_hand": 9}
    (differs,) = house.concerns("count-differs")
    assert differs.n == -5_040_000
    house.count(3, jars, "porch")
    assert house.concerns("count-differs") == []


def test_what_went_missing_last_turns_up_first_with_its_marks_and_its_path() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "attic", unit="jar")
    house.move(5, jars, "attic", "cellar")
    mark = house.hold(jars, "cellar")
    house.count(3, jars, "attic")
    house.count(2, jars, "cellar")
    house.count(4, jars, "porch")
    assert house.under(mark, jars) == {"cellar": 2, "porch": 3}
    assert house.paths(jars) == {
        ("attic",): 3, ("attic", "cellar"): 2, ("attic", "cellar", "porch"): 3, ("attic", "porch"): 1,
    }  # fmt: skip
    assert house.balance(jars) == {"in": 10, "missing": 1, "on_hand": 9}


def test_a_take_of_more_than_is_known_is_carried_from_where_most_is_free() -> None:
    house = Household()
    jars = house.bring_in(13, "plums", "attic")
    house.move(8, jars, "attic", "barn")
    house.eat(2, jars, "kitchen")
    assert house.stores(jars) == {"attic": 5, "barn": 6}
    (carried,) = house.concerns()
    assert carried.kind == "carried-unsaid"


def test_of_equals_the_path_that_sorts_first_gives() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "barn")
    house.move(5, jars, "barn", "attic")
    house.eat(2, jars, "kitchen")
    assert house.stores(jars) == {"attic": 3, "barn": 5}


def test_free_food_is_carried_before_set_aside_before_held() -> None:
    house = Household()
    jars = house.bring_in(22, "plums", "attic")
    house.move(8, jars, "attic", "barn")
    house.move(9, jars, "attic", "cave")
    house.set_aside(jars, "barn", 8)
    house.hold(jars, "cave", 9)
    house.eat(7, jars, "kitchen")
    assert house.stores(jars) == {"barn": 6, "cave": 9}
    house.eat(7, jars, "kitchen")
    assert house.stores(jars) == {"cave": 8}
    assert "held-used" in house.kinds()


def test_what_is_carried_unsaid_brings_its_marks_and_its_path() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "attic")
    mark = house.hold(jars, "attic", 6)
    house.count(2, jars, "kitchen")
    assert house.under(mark, jars) == {"attic": 4, "kitchen": 2}
    assert house.paths(jars) == {("attic",): 4, ("attic", "kitchen"): 2}


def test_an_estimate_elsewhere_gives_up_to_its_high_before_anything_is_found() -> None:
    house = Household()
    roots = house.bring_in(About(10, 8, 12), "carrots", "bed")
    house.eat(11, roots, "kitchen")
    assert house.balance(roots) == {"in": 10, "re_estimated": 1, "consumed": 11}
    assert house.spread(roots, "bed") == (0, 0, 1)
    house.eat(3, roots, "kitchen")
    assert house.balance(roots) == {"in": 10, "re_estimated": 2, "found": 2, "consumed": 14}


def test_an_estimate_in_that_place_gives_before_what_is_missing_turns_up() -> None:
    house = Household()
    roots = house.bring_in(20, "carrots", "cellar")
    house.count(15, roots, "cellar")
    house.count(About(10, 8, 14), roots, "cellar")
    house.eat(13, roots, "cellar")
    totals = house.balance(roots)
    assert totals["consumed"] == 13
    assert totals["missing"] == 10
    assert totals["re_estimated"] == 3


def test_what_nobody_ever_brought_in_is_found() -> None:
    house = Household()
    jars = house.bring_in(2, "plums", "attic")
    house.eat(5, jars, "attic")
    assert house.balance(jars) == {"in": 2, "found": 3, "consumed": 5}
    (more,) = house.concerns()
    assert more.kind == "more-than-known"


def test_a_count_never_draws_on_a_store_that_its_own_deed_has_counted() -> None:
    house = Household()
    jars = house.bring_in(15, "plums", "attic")
    first = house.count(15, jars, "attic")
    house.count(6, jars, "porch", deed=first)
    assert house.stores(jars) == {"attic": 15, "porch": 6}
    assert house.balance(jars) == {"in": 15, "found": 6, "on_hand": 21}


def test_a_part_of_a_store_counted_in_the_same_deed_is_part_of_that_count() -> None:
    """Thirteen in the larder, five of them on the top shelf: both counts hold."""
    house = Household()
    jars = house.bring_in(13, "plums", "larder")
    first = house.count(13, jars, "larder")
    house.count(5, jars, "larder/top", deed=first)
    assert house.stores(jars) == {"larder": 8, "larder/top": 5}
    assert house.balance(jars) == {"in": 13, "on_hand": 13}


def test_a_count_of_some_ends_the_doubt_and_changes_no_sum() -> None:
    house = Household()
    jars = house.bring_in(7, "plums", "larder")
    house.go_through("larder")
    assert house.doubted(jars) == {"larder": 7}
    house.count(SOME, jars, "larder")
    assert house.doubted(jars) == {}
    assert house.stores(jars) == {"larder": 7}


def test_a_count_of_another_deed_is_carried() -> None:
    house = Household()
    jars = house.bring_in(15, "plums", "attic")
    house.count(15, jars, "attic")
    house.count(6, jars, "porch")
    assert house.stores(jars) == {"attic": 9, "porch": 6}


def test_a_late_record_from_before_a_count_restates_the_difference_not_the_balance() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar", t=0)
    house.count(8, jars, "cellar", t=10)
    house.eat(2, jars, "cellar", t=5, written=20, device="cook")
    assert house.stores(jars) == {"cellar": 8}
    assert house.balance(jars) == {"in": 10, "consumed": 2, "on_hand": 8}
    assert house.kinds() == []


def test_a_late_take_from_before_a_count_that_agreed_is_found() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar", t=0)
    house.count(10, jars, "cellar", t=10)
    house.eat(2, jars, "cellar", t=5, written=20, device="cook")
    assert house.stores(jars) == {"cellar": 10}
    assert house.balance(jars) == {"in": 10, "found": 2, "consumed": 2, "on_hand": 10}


def test_a_late_record_from_after_the_count_changes_the_balance() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar", t=0)
    house.count(8, jars, "cellar", t=10)
    house.eat(2, jars, "cellar", t=15, written=20, device="cook")
    assert house.stores(jars) == {"cellar": 6}
    assert house.balance(jars) == {"in": 10, "consumed": 2, "missing": 2, "on_hand": 6}


def test_loose_fresh_food_that_is_weighed_has_shrunk() -> None:
    """Dug, cured, taken from, culled, and weighed on New Year's Day."""
    house = Household()
    roots = house.bring_in(210, "potatoes", "cellar", form="fresh")
    house.weigh(204, roots, "cellar")
    house.eat(88, roots, "cellar")
    house.spoil(7, roots, "cellar", cause="rot")
    house.weigh(101, roots, "cellar")
    assert house.balance(roots) == {
        "in": 210, "shrunk": 14, "consumed": 88, "spoiled": 7, "on_hand": 101,
    }  # fmt: skip


def test_drying_food_that_is_weighed_has_shrunk() -> None:
    house = Household()
    herbs = house.bring_in(12, "sage", "beam", form="drying")
    house.weigh(4, herbs, "beam")
    assert house.balance(herbs) == {"in": 12, "shrunk": 8, "on_hand": 4}


def test_food_that_is_counted_has_not_shrunk() -> None:
    house = Household()
    roots = house.bring_in(12, "potatoes", "cellar", form="fresh")
    house.count(10, roots, "cellar")
    assert house.balance(roots) == {"in": 12, "missing": 2, "on_hand": 10}


def test_food_in_jars_and_dry_food_does_not_shrink() -> None:
    house = Household()
    jars = house.bring_in(12, "plums", "cellar", unit="jar")
    house.weigh(10, jars, "cellar")
    fruit = house.bring_in(12, "plums", "cellar", unit="jar", form="fresh")
    house.weigh(10, fruit, "cellar")
    flour = house.bring_in(12, "flour", "cellar", form="dried")
    house.weigh(10, flour, "cellar")
    for lot in (jars, fruit, flour):
        assert house.balance(lot) == {"in": 12, "missing": 2, "on_hand": 10}


def test_shrinking_turns_nothing_up_later() -> None:
    """What has dried away cannot be on the porch."""
    house = Household()
    roots = house.bring_in(10, "potatoes", "cellar", form="fresh")
    house.weigh(8, roots, "cellar")
    house.count(3, roots, "porch")
    assert house.balance(roots) == {"in": 10, "shrunk": 2, "on_hand": 8}
    assert house.stores(roots) == {"cellar": 5, "porch": 3}


def test_empty_boxes_are_found_out_by_a_count() -> None:
    """Sixteen boxes by looking; at the next take nine of them are empty."""
    house = Household()
    boxes = house.bring_in(16, "crackers", "shelf", unit="box")
    house.count(16, boxes, "shelf")
    house.count(7, boxes, "shelf")
    assert house.balance(boxes) == {"in": 16, "missing": 9, "on_hand": 7}


def test_a_voided_count_gives_back_what_it_missed() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar")
    count = house.count(4, jars, "cellar")
    house.eat(1, jars, "cellar")
    house.void(count)
    assert house.balance(jars) == {"in": 10, "consumed": 1, "on_hand": 9}
    assert house.kinds() == []


def test_a_part_counted_leaves_what_stands_beside_it() -> None:
    house = Household()
    jars = house.bring_in(10, "plums", "cellar")
    house.move(4, jars, "cellar", "cellar/low")
    house.count(3, jars, "cellar/low")
    assert house.stores(jars) == {"cellar": 6, "cellar/low": 3}
    assert house.balance(jars) == {"in": 10, "missing": 1, "on_hand": 9}


def test_looking_and_seeing_more_than_the_log_knows_finds_it() -> None:
    house = Household()
    jars = house.bring_in(3, "plums", "cellar")
    house.look(jars, "cellar", seen=5)
    assert house.balance(jars) == {"in": 3, "found": 2, "on_hand": 5}
    house.look(jars, "cellar", seen=1)
    assert house.balance(jars) == {"in": 3, "found": 2, "on_hand": 5}


def test_a_move_between_two_days_counted_on_a_third() -> None:
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", t=0)
    house.move(2, jars, "cellar", "kitchen", on=between(day(2), day(3)), written=day(4))
    house.count(4, jars, "cellar", t=day(5))
    assert house.stores(jars) == {"cellar": 4, "kitchen": 2}
    assert house.kinds() == []
