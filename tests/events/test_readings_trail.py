"""Where a lot went: every record, what it came to, and the balance that closes it."""

import json
from typing import Any
from zoneinfo import ZoneInfo

from events.book import Book
from events.kinds import GRAIN, DeviceSet, Held, Received, SetAside
from events.lots.state import BALANCE
from events.readings import trail, trail_words
from events.readings.lineage import reached
from events.readings.lots import codes_of
from events.readings.vessels import vessels
from events.record import Entry
from tests.build import About, Household, Other, amount, between, day, makes, ms

LONDON = ZoneInfo("Europe/London")


def told(home: Household, lot: str) -> dict[str, Any]:
    plain: dict[str, Any] = json.loads(json.dumps(trail.to_json(trail.trail(home.book, lot))))
    return plain


def lines(home: Household, lot: str, book: Book | None = None) -> list[str]:
    book = book or home.book
    return trail_words.sentences(book, trail.trail(book, lot), LONDON)


def beans() -> tuple[Household, str]:
    home = Household()
    lot = home.bring_in(12, "green beans", "back-room", unit="jar", t=day(2), by="gardener")
    home.move(3, lot, "back-room", "kitchen", t=day(3), by="cook")
    home.eat(2, lot, "kitchen", t=day(4), by="teen")
    home.spoil(1, lot, "back-room", cause="seal failed", t=day(5), by="cook")
    home.count(7, lot, "back-room", t=day(6), by="gardener")
    return home, lot


def test_the_balance_has_every_term_and_closes() -> None:
    home, lot = beans()
    balance = told(home, lot)["balance"]
    assert balance == {
        "in": "12", "found": "0", "re_estimated": "0", "consumed": "2", "spoiled": "1",
        "given": "0", "planted": "0", "drawn": "0", "shrunk": "0", "missing": "1", "on_hand": "8",
    }  # fmt: skip
    assert list(balance) == [*BALANCE, "on_hand"]


def test_the_entries_are_oldest_first_with_what_was_there_before_and_after() -> None:
    home, lot = beans()
    entries = told(home, lot)["entries"]
    keys = ("kind", "by", "store", "before", "after", "counts")
    assert [tuple(entry[key] for key in keys) for entry in entries] == [
        ("received", "gardener", "back-room", "0", "12", True),
        ("moved", "cook", "back-room", "12", "12", True),
        ("consumed", "teen", "kitchen", "12", "10", True),
        ("spoiled", "cook", "back-room", "10", "9", True),
        ("counted", "gardener", "back-room", "9", "8", True),
    ]
    assert entries[2]["at"] == "2026-08-04T08:00:00Z"
    assert entries[2]["heard"] == "2026-08-04T08:00:00Z"
    assert entries[2]["device"] == "hall"
    assert entries[2]["amount"] == {"value": "2", "unit": "jar"}
    assert entries[1]["came_to"] == [
        {"term": "moved", "amount": {"value": "3", "unit": "jar"}, "store": "back-room",
         "to": "kitchen"}
    ]  # fmt: skip
    assert [one["term"] for one in entries[4]["came_to"]] == ["seen", "missing"]


def test_what_was_taken_back_is_listed_in_its_place_and_does_not_count() -> None:
    home, lot = beans()
    toss = home.records[3].name
    void = home.void(toss, by="gardener")
    entries = told(home, lot)["entries"]
    assert [entry["counts"] for entry in entries] == [True, True, True, False, True]
    assert entries[3]["voided_by"] == [void]
    assert (entries[3]["before"], entries[3]["after"]) == (None, None)
    assert (entries[4]["before"], entries[4]["after"]) == ("10", "8")
    assert lines(home, lot)[3].endswith("; does not count, taken back by the gardener")
    home.void(void)
    assert all(entry["counts"] for entry in told(home, lot)["entries"])


def test_a_line_says_who_what_where_on_what_and_heard_when() -> None:
    home = Household()
    home.say(DeviceSet(device="phone-2", facts={"name": "cook's phone"}))
    lot = home.bring_in(4, "green beans", "back-room", unit="jar", t=day(2))
    take = home.eat(2, lot, "back-room", on="2026-08-18T18:04+01:00", written=day(18) + 545,
                    device="phone-2", by="cook")  # fmt: skip
    book = Book()
    book.add(
        Entry(position=e.position, received=ms(day(21) + 12), sent_by="phone-2", record=e.record)
        if e.record.name == take
        else e
        for e in home.entries()
    )
    assert lines(home, lot, book)[1] == (
        "Tue 18 Aug 2026 18:04 the cook took 2 jars, 4 -> 2, back-room; "
        "said on cook's phone, heard Fri 21 Aug 09:12"
    )


def test_a_date_stays_the_date_that_was_said_whatever_the_zone() -> None:
    for offset in (-480, 0, 780):
        home = Household()
        lot = home.bring_in(4, "pears", on="2026-07-14", offset=offset)
        for zone in ("America/Los_Angeles", "Europe/London", "Pacific/Auckland"):
            found = trail.trail(home.book, lot)
            (line,) = trail_words.sentences(home.book, found, ZoneInfo(zone))
            assert line.startswith("Tue 14 Jul 2026 somebody brought in 4 lb")


def test_rough_dates_are_told_as_rough() -> None:
    home = Household()
    lot = home.bring_in(4, "pears", on="2026-06~")
    home.eat(1, lot, on="2026-07-01/2026-07-20", by="A.")
    first, second = lines(home, lot)
    assert first.startswith("about Jun 2026 somebody brought in")
    assert second.startswith("1 to 20 Jul 2026 A. took 1 lb")


def test_a_redated_record_is_told_at_its_new_time() -> None:
    home = Household()
    lot = home.bring_in(4, "pears", t=day(2))
    eaten = home.eat(1, lot, t=day(9))
    home.redate(eaten, "2026-08-05")
    assert told(home, lot)["entries"][1]["at"] == "2026-08-05"
    assert lines(home, lot)[1].startswith("Wed 5 Aug 2026 somebody took")


def test_what_it_came_to_beside_what_it_said_is_told() -> None:
    home = Household()
    lot = home.bring_in(15, "apples", "attic", t=day(2))
    home.count(6, lot, "porch", t=day(3))
    home.count(8, lot, "attic", t=day(4))
    home.eat(1, lot, "porch", t=day(5))
    home.count(6, lot, "porch", t=day(6))
    home.eat(20, lot, "attic", t=day(7))
    _, carried, missed, _, turned, found = lines(home, lot)
    assert "(6 lb had come from attic, unsaid)" in carried
    assert "(1 lb missing)" in missed
    assert "(1 lb turned up)" in turned
    assert "(6 lb had come from porch, unsaid)" in found
    assert "(6 lb more than was known)" in found


def test_every_kind_about_a_lot_has_its_line() -> None:
    home = Household()
    lot = home.bring_in(40, "potatoes", "cellar", form="fresh", t=day(1))
    hold = home.hold(lot, "cellar", 2, reason="curing", by="cook")
    home.release(hold, lot)
    aside = home.set_aside(lot, "cellar", 5)
    home.free(aside, lot)
    home.give(3, lot, "cellar", to="a neighbour")
    home.plant(2, lot, "cellar")
    home.weigh(34, lot, "cellar")
    home.look(lot, "cellar", seen=30)
    home.learn(lot, {"variety": "Desiree", "label": ""})
    home.incident("cellar", between(0, day(1) + 2), what="frost")
    home.move(4, lot, "cellar", "kitchen")
    home.eat(Other("2 bowls", "bowl"), lot, "kitchen")
    home.repack([home.draw(1, lot, "kitchen")], [makes(1, "potatoes", "chest", unit="bag")])
    home.count(About(25, 20, 30), lot, "cellar")
    home.go_through("cellar")
    said = lines(home, lot)
    starts = [line.split(" somebody ")[-1].split(" the cook ")[-1].split(",")[0] for line in said]
    assert sorted(starts) == sorted([
        "brought in 40 lb", "held 2 lb", "released the lot", "set aside 5 lb", "freed the lot",
        "gave away 3 lb", "planted 2 lb", "counted 34 lb", "looked", "set down variety: Desiree",
        "reported frost in cellar (1 Aug 2026", "carried 4 lb to kitchen", "took 2 bowls", "used 1 lb",
        "counted about 25 (20-30) lb", "went through cellar",
    ])  # fmt: skip
    assert any("(1 lb shrunk)" in line for line in said)
    assert any("(to a neighbour)" in line for line in said)
    assert any("in doubt: where now?" in line for line in said)


def test_two_draws_of_one_making_are_one_entry() -> None:
    home = Household()
    lot = home.bring_in(10, "plums", "porch", t=day(1))
    home.move(4, lot, "porch", "kitchen")
    home.put_up([home.draw(3, lot, "porch"), home.draw(2, lot, "kitchen")], [makes(4, "jam")])
    entry = told(home, lot)["entries"][-1]
    assert (entry["kind"], entry["before"], entry["after"]) == ("put_up", "10", "5")
    assert entry["amount"] == {"value": "5", "unit": "lb"}
    assert [one["term"] for one in entry["came_to"]] == ["drawn", "drawn"]


def test_lineage_goes_both_ways_and_every_parent_counts_as_a_whole() -> None:
    home = Household()
    plums = home.bring_in(10, "plums", "porch")
    sugar = home.bring_in(5, "sugar", "shelf")
    (jam,) = home.put_up([home.draw(4, plums, "porch"), home.draw(1, sugar, "shelf")],
                         [makes(6, "jam", "shelf")])  # fmt: skip
    (cake,) = home.put_up([home.draw(1, jam, "shelf")], [makes(1, "cake", "chest", unit="bag")])
    codes = codes_of(home.book)
    found = told(home, jam)
    assert [link["food"] for link in found["parents"]] == ["plums", "sugar"]
    assert [link["lot"] for link in found["children"]] == [codes[cake]]
    far = told(home, plums)["could_be_in"]
    assert [link["name"] for link in far["into"]] == [jam, cake]
    assert far["from"] == []
    back = told(home, cake)["could_be_in"]
    assert sorted(link["name"] for link in back["from"]) == sorted([jam, plums, sugar])
    assert back["from"][0]["on_hand"] == {"value": "5", "unit": "jar"}


def test_lineage_in_rings_and_by_two_ways_ends_and_names_each_once() -> None:
    made = {"a": ["b", "c"], "b": ["d"], "c": ["d"], "d": ["a", "e"], "e": []}
    assert reached("a", made.__getitem__) == ["b", "c", "d", "e"]
    assert reached("e", made.__getitem__) == []


def test_a_lot_that_nobody_brought_in_has_a_trail_of_what_waits() -> None:
    home = Household()
    home.eat(2, "barn:9:0", "kitchen", by="teen")
    found = told(home, "barn:9:0")
    assert [entry["kind"] for entry in found["entries"]] == ["consumed"]
    assert found["entries"][0]["came_to"] == []
    assert found["balance"]["on_hand"] == "0"


def test_doubles_are_one_trail_under_both_names() -> None:
    home = Household()
    kept = home.bring_in(8, "beans", "vault", unit="jar")
    double = home.bring_in(8, "beans", "vault", unit="jar")
    home.eat(2, double, "vault")
    home.void(double.removesuffix(":0"), same_as=kept.removesuffix(":0"))
    found = told(home, double)
    assert (found["name"], found["also"]) == (kept, [double])
    assert found["balance"]["on_hand"] == "6"
    assert [entry["counts"] for entry in found["entries"]] == [True, False, True]


def test_the_amounts_are_those_of_the_book() -> None:
    home, lot = beans()
    found = trail.trail(home.book, lot)
    coming = sum(found.balance[term] for term in ("in", "found", "re_estimated"))
    going = sum(found.balance[term] for term in BALANCE[3:]) + found.balance["on_hand"]
    assert coming == going == 12 * GRAIN


def test_a_redated_record_says_both_times() -> None:
    home = Household()
    lot = home.bring_in(4, "pears", t=day(2))
    eaten = home.eat(1, lot, t=day(9))
    home.redate(eaten, "2026-08-05")
    assert "said on hall as Sun 9 Aug 2026 09:00, heard" in lines(home, lot)[1]
    assert told(home, lot)["entries"][1]["at_first"] == "2026-08-09T08:00:00Z"
    assert " as " not in lines(home, lot)[0]
    assert told(home, lot)["entries"][0]["at_first"] is None


def test_what_was_written_beside_a_record_is_told() -> None:
    home = Household()
    lot = home.say(
        Received(food="flour", amount=amount(50, "lb"), store="shelf", origin="bought",
                 supplier="the mill", printed="12/2026", printed_kind="best by", owner="the aunt",
                 label="white lid", papers=amount(51, "lb"))
    ) + ":0"  # fmt: skip
    home.say(Held(lot=lot, store="shelf", amount=amount(5, "lb"), reason="moths?",
                  until="2026-09-01", since="2026-08-01"))  # fmt: skip
    home.say(SetAside(lot=lot, store="shelf", amount=amount(3, "lb"), purpose="the fair"))
    home.look(lot, "shelf", seen=50, sound=48, finding="webs in one bag")
    undone = home.eat(12, lot, "shelf", note="for bread")
    home.void(undone, by="cook", note="meant 1, not 12")
    home.count(49, lot, "shelf", source="sheet 4, line 2")
    said = lines(home, lot)
    assert "(bought from the mill) (printed best by: 12/2026) (of the aunt)" in said[0]
    assert "(labelled white lid) (51 lb by its papers)" in said[0]
    assert "(moths?) (until 1 Sep 2026) (in doubt since 1 Aug 2026)" in said[1]
    assert "(the fair)" in said[2]
    assert "(webs in one bag) (48 lb sound)" in said[3]
    assert "“for bread”; said on" in said[4]
    assert said[4].endswith("; does not count, taken back by the cook: “meant 1, not 12”")
    assert said[5].endswith("; from sheet 4, line 2")
    entries = told(home, lot)["entries"]
    assert entries[4]["note"] == "for bread"
    assert entries[5]["source"] == "sheet 4, line 2"


def test_kin_and_balance_are_told_in_words() -> None:
    home = Household()
    plums = home.bring_in(About(10, 9, 11), "plums", "porch")
    (jam,) = home.put_up([home.draw(4, plums, "porch")], [makes(6, "jam", "shelf")])
    home.count(5, plums, "porch")
    codes = codes_of(home.book)
    fruit = trail.trail(home.book, plums)
    assert trail_words.kin(fruit) == [f"Went into: {codes[jam]} jam, 6 jars left"]
    assert trail_words.balance(fruit) == (
        "10 in - 1 as the estimate was put right = 4 made into other food + 5 on hand (lb)"
    )
    assert "(1 lb less than estimated)" in lines(home, plums)[-1]
    assert trail_words.kin(trail.trail(home.book, jam)) == [
        f"Made from: {codes[plums]} plums, 5 lb left"
    ]


def test_names_of_those_who_got_some_may_be_taken_out_and_no_sum_changes() -> None:
    home = Household()
    lot = home.bring_in(12, "jam", "shelf", unit="jar", t=day(1))
    home.give(2, lot, "shelf", to="the aunt")
    assert "(to the aunt)" in lines(home, lot)[1]
    (before,) = (row for row in vessels(home.book) if row.loans)
    assert [loan.who for loan in before.loans] == ["the aunt"]
    home.learn(lot, {"recipients": ""})
    assert "the aunt" not in " ".join(lines(home, lot))
    (after,) = (row for row in vessels(home.book) if row.loans)
    assert [(loan.who, loan.number) for loan in after.loans] == [("", 2)]
    assert told(home, lot)["balance"]["given"] == "2"
