"""What a deed writes where a person left out what goes without saying, and how it says so."""

from tests.console import Console


def test_loose_produce_by_weight_is_fresh_and_a_weighing_finds_it_shrunk(lane: Console) -> None:
    lane.does("store", "add", "cellar", "--kind", "cellar")
    said = lane.does("bring-in", "210 lb", "potatoes", "--in", "cellar")
    assert "210 lb brought into cellar, fresh as no form was said" in said
    weighed = lane.does("count", "204 lb", "potatoes", "--in", "cellar", "--weighed")
    assert "204 lb left in all" in weighed
    assert "missing" not in weighed
    assert lane.does("concerns") == "Everything adds up."
    trail = lane.does("trail", "potatoes")
    assert "6 lb shrunk" in trail
    assert "missing" not in trail


def test_what_is_packed_counted_or_no_produce_is_left_as_it_was_said(lane: Console) -> None:
    lane.does("store", "add", "chest", "--kind", "freezer")
    for argv in (("3 sacks", "potatoes", "--in", "kitchen"), ("57 heads", "garlic", "--in", "kitchen"),
                 ("10 lb", "wheat berries", "--in", "kitchen"), ("4 lb", "raspberries", "--in", "chest"),
                 ("6 lb", "mutton", "--in", "kitchen")):  # fmt: skip
        assert "as no form was said" not in lane.does("bring-in", *argv)
    assert {row["form"] for row in lane.json("on-hand")} == {None}
    assert "as no form was said" not in lane.does(
        "bring-in", "5 lb", "apples", "--in", "kitchen", "--form", "dried"
    )
