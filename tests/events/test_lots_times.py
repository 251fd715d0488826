"""Stories of when: late records, other dates, wild clocks, what explains a count, before or after."""

import pytest

from tests.build import Household, between, day, instant, ms


def plums(n: int = 10) -> tuple[Household, str]:
    house = Household()
    return house, house.bring_in(n, "plums", "cellar", unit="jar", t=0)


@pytest.mark.parametrize(
    ("said", "offset", "place"),
    [
        ("2026-08-14", 0, "2026-08-14T23:59:59.999Z"),
        ("2026-08-14", -480, "2026-08-15T07:59:59.999Z"),
        ("2026-08-14", 780, "2026-08-14T10:59:59.999Z"),
        ("2026-08", 0, "2026-08-31T23:59:59.999Z"),
        ("2026", 0, "2026-12-31T23:59:59.999Z"),
        ("2026-08-14~", 0, "2026-08-14T23:59:59.999Z"),
        ("2026-08-01/2026-08-20", 0, "2026-08-20T23:59:59.999Z"),
        ("2026-08-14T18:04-07:00", 0, "2026-08-15T01:04:59.999Z"),
        ("2026-08-14T18:04:31+02:00", 0, "2026-08-14T16:04:31.999Z"),
        ("2026-08-14/..", 0, "2027-01-01T00:00:00.000Z"),
    ],
)
def test_a_record_is_placed_at_the_latest_moment_its_date_allows(
    said: str, offset: int, place: str
) -> None:
    from datetime import datetime

    house, jars = plums()
    written = (
        datetime.fromisoformat("2027-01-01T00:00:00+00:00").timestamp() * 1000 - ms(0)
    ) / 60_000
    eaten = house.eat(1, jars, "cellar", on=said, offset=offset, written=written)
    expected = round(datetime.fromisoformat(place).timestamp() * 1000)
    assert house.book.place(eaten) == expected
    entry = house.book.entry(eaten)
    assert entry is not None
    assert entry.record.at == said


def test_a_record_is_never_placed_later_than_its_stamp() -> None:
    house, jars = plums()
    eaten = house.eat(1, jars, "cellar", on="2026-08-01/2026-08-20", written=day(5))
    assert house.book.place(eaten) == ms(day(5))
    ahead = house.eat(1, jars, "cellar", on="2099-01-01", written=day(6))
    assert house.book.place(ahead) == ms(day(6))


def test_what_came_in_comes_first_whatever_its_date() -> None:
    """The jars were written down a week after the first was eaten."""
    house = Household()
    jars = house.bring_in(6, "plums", "cellar", unit="jar", t=day(8))
    house.eat(1, jars, "cellar", t=day(2), written=day(9), device="cook")
    assert house.balance(jars) == {"in": 6, "consumed": 1, "on_hand": 5}
    assert house.kinds() == []


def test_of_one_moment_the_older_stamp_comes_first_then_the_device_then_its_counter() -> None:
    """A move and a count of the same second: which was first decides what is missing."""
    for first_stamp, second_stamp, missing in ((5, 6, 0), (6, 5, 3)):
        house, jars = plums()
        house.move(3, jars, "cellar", "hall", on=instant(4), written=first_stamp, device="a")
        house.count(7, jars, "cellar", on=instant(4), written=second_stamp, device="b")
        assert house.balance(jars).get("missing", 0) == missing
    for mover, counter, missing in (("a", "b", 0), ("b", "a", 3)):
        house, jars = plums()
        house.move(3, jars, "cellar", "hall", on=instant(4), written=5, device=mover)
        house.count(7, jars, "cellar", on=instant(4), written=5, device=counter)
        assert house.balance(jars).get("missing", 0) == missing


def test_redated_it_counts_where_it_really_happened() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(5))
    eaten = house.eat(2, jars, "cellar", t=day(6))
    assert house.balance(jars) == {"in": 10, "consumed": 2, "missing": 2, "on_hand": 6}
    house.redate(eaten, instant(day(3)), written=day(7))
    assert house.balance(jars) == {"in": 10, "consumed": 2, "on_hand": 8}


def test_of_several_redatings_the_newest_stamp_wins_and_a_voided_one_does_not() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(5))
    eaten = house.eat(2, jars, "cellar", t=day(6))
    newest = house.redate(eaten, instant(day(6)), written=day(9))
    house.redate(eaten, instant(day(3)), written=day(8), device="cook")
    assert house.stores(jars) == {"cellar": 6}
    house.void(newest)
    assert house.stores(jars) == {"cellar": 8}


def test_a_redating_gives_another_offset_to_a_date() -> None:
    house, jars = plums()
    eaten = house.eat(1, jars, "cellar", on="2026-08-14", written=day(20))
    house.redate(eaten, "2026-08-14", to_offset=-480)
    assert house.book.place(eaten) == ms(day(14)) + 24 * 3_600_000 - 1


def test_a_wild_clock_is_set_right_by_a_redated_stamp() -> None:
    """The teen's phone thinks it is 2099: its count must not win for seventy years."""
    house, jars = plums()
    ahead = 38_500_000.0
    wild = house.count(9, jars, "cellar", t=ahead, written=ahead, device="teen")
    house.clock = day(2)
    house.eat(2, jars, "cellar", t=day(3), written=day(3))
    assert house.stores(jars) == {"cellar": 9}
    house.redate(wild, instant(day(2)), under=day(2), written=day(2), device="service")
    assert house.book.place(wild) == ms(day(2))
    assert house.stores(jars) == {"cellar": 7}
    entry = house.book.entry(wild)
    assert entry is not None
    assert entry.record.stamp.ms == ms(ahead)


def test_a_redated_stamp_decides_among_facts_of_a_lot() -> None:
    house, jars = plums()
    wild = house.learn(jars, {"label": "wrong"}, written=38_500_000, device="teen")
    house.clock = day(2)
    house.learn(jars, {"label": "right"}, written=day(3))
    assert house.lot(jars).facts["label"] == "wrong"
    house.redate(wild, instant(day(2)), under=day(2), written=day(4), device="service")
    assert house.lot(jars).facts["label"] == "right"


def test_a_redating_is_itself_redated_and_in_a_ring_none_counts() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(5))
    eaten = house.eat(2, jars, "cellar", t=day(6))
    early = house.redate(eaten, instant(day(3)), written=day(8))
    house.redate(eaten, instant(day(6)), written=day(9), device="cook")
    assert house.stores(jars) == {"cellar": 6}
    house.redate(early, under=day(10), written=day(11), device="service")
    assert house.stores(jars) == {"cellar": 8}
    house = Household()
    jars = house.bring_in(10, "plums", "cellar", unit="jar", t=0)
    house.redate("b:1", instant(1), device="a", written=day(2))
    house.redate("a:1", instant(1), device="b", written=day(2))
    assert set(house.kinds()) == {"void-ring"}
    assert [house.book.place(name) for name in ("a:1", "b:1")] == [ms(day(2))] * 2


def test_a_redating_that_arrives_first_waits_for_its_record() -> None:
    house, jars = plums()
    house.redate("cook:1", instant(day(3)), written=day(4))
    assert house.kinds() == ["unknown-record"]
    house.count(8, jars, "cellar", t=day(5))
    house.eat(2, jars, "cellar", t=day(6), device="cook")
    assert house.balance(jars) == {"in": 10, "consumed": 2, "on_hand": 8}


def test_several_that_explain_a_count_come_before_it_by_stamp() -> None:
    house, jars = plums(18)
    count = house.count(11, jars, "cellar", t=day(2))
    house.move(4, jars, "cellar", "hall", t=day(4), explains=count)
    house.give(2, jars, "hall", t=day(3), written=day(5), explains=count, device="cook")
    assert house.stores(jars) == {"cellar": 11, "hall": 2}
    assert house.balance(jars) == {"in": 18, "given": 2, "missing": 3, "on_hand": 13}
    assert house.concerns("carried-unsaid") == []


def test_explaining_a_look_places_it_before_the_look() -> None:
    house, jars = plums(4)
    look = house.look(jars, "hall", seen=3, t=day(2))
    assert house.kinds() == ["carried-unsaid"]
    house.move(3, jars, "cellar", "hall", t=day(4), explains=look)
    assert house.stores(jars) == {"cellar": 1, "hall": 3}
    assert house.kinds() == []


@pytest.mark.parametrize("named", ["nobody:9", "another lot's", "a meal"])
def test_what_explains_no_count_of_the_lot_keeps_its_own_place(named: str) -> None:
    house, jars = plums()
    other = house.bring_in(3, "pears", "cellar", unit="jar")
    if named == "another lot's":
        named = house.count(3, other, "cellar", t=day(2))
    elif named == "a meal":
        named = house.eat(1, jars, "hall", t=day(2), written=day(2))
        house.void(named)
    house.count(8, jars, "cellar", t=day(3))
    house.eat(2, jars, "cellar", t=day(4), explains=named)
    assert house.balance(jars) == {"in": 10, "missing": 2, "consumed": 2, "on_hand": 6}
    assert house.concerns("explains-nothing")


def test_a_making_that_explains_the_count_of_one_of_what_it_drew() -> None:
    """Whichever is heard of last: the making, either lot, or the count."""
    house, jars = plums(18)
    pears = house.bring_in(6, "pears", "cellar")
    count = house.count(11, jars, "cellar", t=day(2), device="cook")
    house.put_up(
        [house.draw(7, jars, "cellar"), house.draw(2, pears, "cellar")],
        [], t=day(3), explains=count, device="gardener",
    )  # fmt: skip
    assert house.balance(jars) == {"in": 18, "drawn": 7, "on_hand": 11}
    assert house.balance(pears) == {"in": 6, "drawn": 2, "on_hand": 4}
    assert house.kinds() == []


def test_two_dates_of_one_day_overlap() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", on="2026-08-12", written=day(13))
    house.eat(2, jars, "cellar", on="2026-08-12", written=day(14))
    (asked,) = house.concerns("before-or-after-count")
    assert asked.n == 2 * 5_040_000
    assert house.stores(jars) == {"cellar": 6}


def test_a_count_of_another_store_is_not_asked_about_but_one_around_it_is() -> None:
    for store, n, asked in (("hall", 0, 0), ("cellar/low", 0, 1), ("", 10, 1), ("cellar", 10, 1)):
        house, jars = plums()
        house.count(n, jars, store, t=day(12))
        house.eat(2, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
        assert len(house.concerns("before-or-after-count")) == asked, store


def test_a_count_of_a_part_is_asked_about_where_it_would_have_seen_more() -> None:
    house, jars = plums()
    house.count(9, jars, "cellar", part=True, t=day(12))
    house.eat(4, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    assert house.stores(jars) == {"cellar": 6}
    assert len(house.concerns("before-or-after-count")) == 1


def test_a_count_of_another_lot_is_not_asked_about() -> None:
    house, jars = plums()
    pears = house.bring_in(3, "pears", "cellar", unit="jar", t=0)
    house.count(3, pears, "cellar", t=day(12))
    house.eat(2, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    assert house.kinds() == []


def test_before_or_after_is_asked_once_a_deed() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(12))
    first = house.eat(1, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    house.eat(1, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21) + 1, deed=first)
    assert len(house.concerns("before-or-after-count")) == 1


def test_redated_after_the_count_it_is_answered_too() -> None:
    house, jars = plums(14)
    house.count(10, jars, "cellar", t=day(12))
    eaten = house.eat(4, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    house.redate(eaten, "2026-08-15", written=day(22))
    assert house.concerns("before-or-after-count") == []
    assert house.balance(jars) == {"in": 14, "consumed": 4, "missing": 4, "on_hand": 6}


def test_a_count_of_uncertain_date_is_asked_about_what_lies_within_it() -> None:
    house, jars = plums(14)
    house.eat(4, jars, "cellar", t=day(12))
    house.count(10, jars, "cellar", on="2026-08-10/2026-08-20", written=day(21))
    assert house.stores(jars) == {"cellar": 10}
    assert len(house.concerns("before-or-after-count")) == 1
    house, jars = plums(14)
    house.eat(4, jars, "cellar", t=day(9))
    house.count(10, jars, "cellar", on="2026-08-10/2026-08-20", written=day(21))
    assert house.kinds() == []


def test_a_redating_answers_even_to_the_very_day_of_the_count() -> None:
    house, jars = plums(14)
    house.count(10, jars, "cellar", on="2026-08-12", written=day(13))
    eaten = house.eat(4, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    assert len(house.concerns("before-or-after-count")) == 1
    house.redate(eaten, "2026-08-12", written=day(22))
    assert house.concerns("before-or-after-count") == []


def test_what_explains_the_count_is_not_asked_about() -> None:
    house, jars = plums(14)
    count = house.count(10, jars, "cellar", t=day(12))
    house.eat(4, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21), explains=count)
    assert house.balance(jars) == {"in": 14, "consumed": 4, "on_hand": 10}
    assert house.kinds() == []


def test_the_next_whole_count_there_ends_the_question() -> None:
    house, jars = plums(14)
    house.count(10, jars, "cellar", t=day(12))
    house.eat(4, jars, "cellar", on="2026-08-01/2026-08-20", written=day(21))
    house.count(8, jars, "cellar", part=True, t=day(22))
    assert len(house.concerns("before-or-after-count")) == 1
    house.count(10, jars, "cellar", t=day(23))
    assert house.concerns("before-or-after-count") == []
    assert house.balance(jars) == {"in": 14, "consumed": 4, "on_hand": 10}


def test_a_settled_concern_comes_back_only_if_its_records_change() -> None:
    house, jars = plums()
    count = house.count(8, jars, "cellar", t=day(2))
    (differs,) = house.concerns()
    house.settle(differs)
    assert house.kinds() == []
    house.eat(1, jars, "cellar", t=day(3))
    assert house.kinds() == []
    house.void(count)
    house.count(7, jars, "cellar", t=day(4))
    assert house.kinds() == ["count-differs"]


def test_any_past_day_as_it_is_known_now_and_as_it_was_known_then() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(5))
    house.eat(2, jars, "cellar", t=day(3), written=day(9), device="cook")
    house.eat(1, jars, "cellar", t=day(8), written=day(8) + 1)

    def on_hand(book: object) -> int:
        from events.book import Book

        assert isinstance(book, Book)
        lot = book.lot(jars)
        assert lot is not None
        return lot.on_hand // 5_040_000

    assert on_hand(house.book) == 7
    assert on_hand(house.book.as_of(ms(day(4)))) == 8
    assert on_hand(house.book.known_at(ms(day(4)))) == 10
    assert on_hand(house.book.as_of(ms(day(1)) + 1)) == 10


def test_a_range_before_the_count_is_not_asked_about() -> None:
    house, jars = plums()
    house.count(8, jars, "cellar", t=day(12))
    house.eat(2, jars, "cellar", on=between(day(2), day(4)), written=day(21))
    assert house.balance(jars) == {"in": 10, "consumed": 2, "on_hand": 8}
    assert house.kinds() == []
