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


def test_pounds_of_what_is_kept_by_the_bushel_go_by_the_published_weight(lane: Console) -> None:
    # Complete Guide to Home Canning, AIB 539, USDA: a bushel of tomatoes is 53 lb
    tomatoes = lane.bring("2 bu", "tomatoes", "--in", "barn")
    said = lane.does("take", "26 1/2 lb", tomatoes, "--in", "barn")
    assert "1 1/2 bushels left in all" in said
    # Weights and Processed Yields, University of Georgia: of apples 42 to 48 lb; 21 lb are 7/16 to 1/2 of one
    apples = lane.bring("2 bu", "apples", "--in", "barn")
    moved = lane.does("carry", "21 lb", apples, "--from", "barn", "--to", "kitchen")
    assert "none left there" not in moved
    here = next(row for row in lane.json("on-hand") if row["food"] == "apples"
                and row["store"] == "kitchen")  # fmt: skip
    assert (here["amount"]["low"], here["amount"]["high"]) == ("0.4375", "0.5")
    lane.does("amend", apples, "label=russets")
    assert "1 bushel = 42-48 lb, as published" in (lane.log().decode())


def test_a_bushel_of_what_is_kept_by_weight_comes_off_it(lane: Console) -> None:
    lane.bring("106 lb", "tomatoes", "--in", "barn")
    assert "53 lb left in all" in lane.does("take", "1 bu", "tomatoes", "--in", "barn")
    lane.bring("60 lb", "quinces", "--in", "barn")
    assert "no known amount" in lane.does("take", "1 bu", "quinces", "--in", "barn")


def test_what_the_household_says_of_its_bushel_goes_before_what_is_published(lane: Console) -> None:
    lane.does("food", "add", "apples", "units=bushel = 40 lb")
    lane.bring("2 bu", "apples", "--in", "barn")
    assert "1 1/2 bushels left in all" in lane.does("take", "20 lb", "apples", "--in", "barn")


def test_what_cannot_be_reckoned_is_said_to_have_changed_no_sum(lane: Console) -> None:
    quinces = lane.bring("2 bu", "quinces", "--in", "barn")
    said = lane.does("carry", "20 lb", quinces, "--from", "barn", "--to", "kitchen")
    assert "20 lb carried from barn to kitchen, not taken off its 2 bushels." in said
    assert "none left there" not in said
    assert "20 lb in barn: no known amount in the lot's own unit" in said
