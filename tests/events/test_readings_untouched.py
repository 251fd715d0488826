"""Food that nobody uses: a count sees it and does not use it, a count that misses some does."""

from events.kinds import FoodSet, StoreSet
from events.readings.untouched import YEAR, untouched
from tests.build import Household, amount, day, ms


def relish() -> tuple[Household, str]:
    """Fifteen pints of relish on the shelf, and as many a year later."""
    home = Household()
    lot = home.bring_in(15, "zucchini relish", "back-room", unit="jar", t=day(2))
    home.count(15, lot, "back-room", t=day(200))
    home.count(15, lot, "back-room", t=day(366))
    return home, lot


def foods(home: Household, moment: int) -> list[str]:
    return [one.food for one in untouched(home.book, moment)]


def test_what_two_yearly_counts_find_alike_is_told() -> None:
    home, lot = relish()
    (one,) = untouched(home.book, ms(day(368)))
    assert (one.food, one.amount.n, one.lots, one.stores) == (
        "zucchini relish", amount(15, "jar").n, (lot,), ("back-room",),
    )  # fmt: skip
    assert (one.since, one.since_on, one.seen_on) == (ms(day(2)), "2026-08-02", "2027-08-01")


def test_it_is_a_year_to_the_day() -> None:
    home, _ = relish()
    assert foods(home, ms(day(2)) + YEAR - 1) == []
    assert foods(home, ms(day(2)) + YEAR) == ["zucchini relish"]


def test_whoever_eats_gives_opens_or_cooks_with_some_uses_it() -> None:
    for use in ("eat", "give", "open", "draw"):
        home = Household()
        lot = home.bring_in(15, "zucchini relish", "back-room", unit="jar", t=day(2))
        match use:
            case "eat":
                home.eat(1, lot, "back-room", t=day(300))
            case "give":
                home.give(1, lot, "back-room", t=day(300))
            case "open":
                home.open(1, lot, "back-room", t=day(300))
            case _:
                home.put_up([home.draw(1, lot, "back-room")], [], t=day(300))
        assert foods(home, ms(day(400))) == [], use
        assert foods(home, ms(day(302)) + YEAR) == ["zucchini relish"], use


def test_whoever_only_carries_it_uses_none() -> None:
    home, lot = relish()
    home.move(15, lot, "back-room", "barn", t=day(366))
    (one,) = untouched(home.book, ms(day(368)))
    assert (one.since_on, one.stores) == ("2026-08-02", ("barn",))


def test_a_count_that_misses_some_says_that_somebody_ate_it() -> None:
    home, lot = relish()
    home.count(12, lot, "back-room", t=day(367))
    assert foods(home, ms(day(370))) == []


def test_what_was_thrown_out_was_not_used() -> None:
    home, lot = relish()
    home.spoil(1, lot, "back-room", cause="broken", t=day(300))
    assert foods(home, ms(day(370))) == ["zucchini relish"]


def test_a_food_is_used_whichever_lot_was_eaten_and_under_whichever_name() -> None:
    home, _ = relish()
    home.say(FoodSet(food="zucchini relish", facts={"other_names": "courgette relish"}))
    newer = home.bring_in(2, "courgette relish", "kitchen", unit="jar", t=day(250))
    assert foods(home, ms(day(370))) == ["zucchini relish"]  # what came in this year stands by it
    assert untouched(home.book, ms(day(370)))[0].amount.n == amount(17, "jar").n
    home.eat(2, newer, "kitchen", t=day(260))
    assert foods(home, ms(day(370))) == []


def test_what_came_in_within_the_year_is_no_news() -> None:
    home = Household()
    home.bring_in(15, "zucchini relish", "back-room", unit="jar", t=day(200))
    assert foods(home, ms(day(370))) == []


def test_what_is_kept_back_held_growing_or_somebody_elses_is_left_out() -> None:
    home = Household()
    home.say(StoreSet(store="bed", facts={"kind": "ground"}))
    held = home.bring_in(5, "venison", "barn", t=day(1))
    aside = home.bring_in(5, "seed potatoes", "barn", t=day(1))
    home.bring_in(5, "parsnips", "bed", t=day(1))
    theirs = home.bring_in(5, "honey", "barn", t=day(1))
    home.hold(held, t=day(2))
    mark = home.set_aside(aside, t=day(2))
    home.learn(theirs, {"owner": "next door"}, t=day(2))
    assert foods(home, ms(day(400))) == []
    home.free(mark, aside, t=day(3))
    assert foods(home, ms(day(400))) == ["seed potatoes"]
