"""What is expected: ordered at the console, never stock, answered when it comes."""

from tests.console import Console

WHEAT = "wheat berries"


def order(lane: Console, *more: str) -> str:
    """Fifty kilograms of wheat are ordered; the record's name."""
    name = lane.json("expect", "50 kg", WHEAT, *more)["record"]
    assert isinstance(name, str)
    return name


def test_what_is_expected_is_listed_and_is_no_stock(lane: Console) -> None:
    said = lane.does("expect", "50 kg", WHEAT, "--from", "the mill", "--due", "20 Dec 2026")
    assert "50 kg wheat berries from the mill, due 20 Dec 2026: expected, no stock yet" in said
    assert lane.amounts() == {}
    assert "never brought in" not in lane.does("on-hand")
    (one,) = lane.json("expect", "list")
    assert (one["food"], one["due"], one["supplier"]) == (WHEAT, "2026-12-20", "the mill")
    assert one["to_come"] == {"value": "50", "unit": "kg"}
    assert "50 kg wheat berries from the mill" in lane.does("expect", "list")


def test_what_comes_answers_it(lane: Console) -> None:
    name = order(lane)
    lane.bring("50 kg", WHEAT, "--in", "barn", "--answers", name)
    assert lane.does("expect", "list") == "Nothing is expected."
    assert lane.amounts() == {(WHEAT, "barn"): "50 kg"}
    lane.does("undo")
    assert [one["record"] for one in lane.json("expect", "list")] == [name]


def test_of_what_comes_in_part_the_rest_is_still_expected(lane: Console) -> None:
    name = order(lane)
    code = lane.bring("20 kg", WHEAT, "--in", "barn", "--answers", name.partition(":")[2])
    (one,) = lane.json("expect", "list")
    assert one["to_come"] == {"value": "30", "unit": "kg"}
    assert one["came"] == [code]
    assert "30 kg wheat berries, still to come of 50 kg" in lane.does("expect", "list")
    lane.bring("31 kg", WHEAT, "--in", "barn", "--answers", name)
    assert lane.json("expect", "list") == []


def test_an_estimate_is_answered_by_its_low_and_another_unit_answers_all(lane: Console) -> None:
    half = lane.json("expect", "3-4 bags", "flour")["record"]
    lane.bring("3 bags", "flour", "--in", "barn", "--answers", half)
    other = lane.json("expect", "2 boxes", "pears")["record"]
    lane.bring("30 lb", "pears", "--in", "barn", "--answers", other)
    assert lane.json("expect", "list") == []


def test_what_is_due_first_is_listed_first_and_what_will_not_come_is_taken_back(
    lane: Console,
) -> None:
    late = order(lane, "--due", "1 Feb 2027")
    lane.now("2026-11-22T10:05:00+00:00")
    never = order(lane)
    soon = order(lane, "--due", "1 Dec 2026")
    assert [one["record"] for one in lane.json("expect", "list")] == [soon, late, never]
    assert "expect (" in lane.does("undo", never)
    assert [one["record"] for one in lane.json("expect", "list")] == [soon, late]


def test_a_day_before_the_order_nothing_was_expected(lane: Console) -> None:
    order(lane, "--on", "2026-11-20")
    assert lane.json("expect", "list", "--on", "2026-11-19") == []
    assert len(lane.json("expect", "list", "--on", "2026-11-20")) == 1


def test_wrong_use_is_one_sentence_and_writes_nothing(lane: Console) -> None:
    name = order(lane)
    lot = lane.bring("3 lb", "onions", "--in", "barn")
    assert "Say what is expected" in lane.refuses("expect")
    assert "Say what is expected" in lane.refuses("expect", "50 kg")
    assert "nothing at all" in lane.refuses("expect", "0 kg", WHEAT)
    assert "flurbs" in lane.refuses("expect", "3 flurbs", WHEAT)
    assert "--due" in lane.refuses("expect", "3 kg", WHEAT, "--due")
    assert "expect list takes" in lane.refuses("expect", "list", "--due", "2026-12-01")
    coming = ("bring-in", "50 kg", WHEAT, "--in", "barn", "--answers")
    assert "is no order" in lane.refuses(*coming, lot)
    assert "No record" in lane.refuses(*coming, "999")
    lane.does("undo", name)
    assert "was taken back" in lane.refuses(*coming, name)
