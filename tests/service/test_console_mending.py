"""Marks, counts, looks, setting up, and mending what was said, typed at the console."""

import json
from typing import Any

from tests.console import Console

BEANS = "green beans"


def bodies(lane: Console, last: int) -> list[dict[str, Any]]:
    """What the newest records say."""
    return [json.loads(line)["record"]["body"] for line in lane.log().splitlines()[-last:]]


def on_hand(lane: Console, *argv: str) -> list[tuple[str, str, bool, bool]]:
    """(store, how much, held, set aside) of every parcel."""
    return [
        (row["store"], row["amount"]["value"], row["held"], row["set_aside"])
        for row in lane.json("on-hand", *argv)
    ]


# -- marks -------------------------------------------------------------------------------------


def test_a_hold_lies_on_so_much_and_ends_without_its_name(lane: Console) -> None:
    lot = lane.bring("10 qt", BEANS, "--form", "home-canned", "--in", "back-room")
    lane.does(
        "hold", lot, "2", "--in", "back-room", "--reason", "suspect seal", "--since", "Aug 2026"
    )
    assert on_hand(lane) == [("back-room", "8", False, False), ("back-room", "2", True, False)]
    lane.does("release", lot)
    assert on_hand(lane) == [("back-room", "10", False, False)]


def test_of_two_holds_a_person_says_which(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn")
    first = lane.json("hold", lot, "--reason", "curing")["record"]
    lane.does("hold", lot, "3", "--in", "barn", "--reason", "soft spot")
    asked = lane.refuses("release", lot, code=1)
    assert "squash is held 2 times" in asked
    assert f"{first} (curing)" in asked
    lane.does("release", lot, "--mark", first)
    assert on_hand(lane) == [("barn", "7", False, False), ("barn", "3", True, False)]


def test_an_amount_and_a_lot_are_read_in_either_order(lane: Console) -> None:
    lane.bring("10", "squash", "--in", "barn")
    lane.does("set-aside", "3", "squash", "--in", "barn", "--for", "a feast")
    lane.does("hold", "squash", "2", "--in", "barn")
    assert on_hand(lane) == [
        ("barn", "5", False, False), ("barn", "3", False, True), ("barn", "2", True, False),
    ]  # fmt: skip
    lane.does("free", "squash")
    assert on_hand(lane) == [("barn", "8", False, False), ("barn", "2", True, False)]


def test_held_food_that_is_named_is_taken_and_said(lane: Console) -> None:
    lot = lane.bring("24 packages", "venison", "--in", "barn")
    mark = lane.json("hold", lot, "--reason", "waiting for a test")["record"]
    told = lane.json("take", "2", lot, "--in", "barn")
    assert [concern["kind"] for concern in told["concerns"]] == ["held-used"]
    lane.does("look", lot, "--in", "barn", "--seen", "22", "--sound", "22", "--for", mark)
    assert bodies(lane, 1)[0]["kind"] == "checked"


# -- counts and looks --------------------------------------------------------------------------


def test_a_part_counted_never_takes_away(lane: Console) -> None:
    lot = lane.bring("30", "squash", "--in", "barn")
    lane.does("count", "0", lot, "--in", "barn", "--part")
    assert on_hand(lane) == [("barn", "30", False, False)]
    lane.does("count", "29", lot, "--in", "barn")
    assert on_hand(lane) == [("barn", "29", False, False)]


def test_what_is_weighed_has_shrunk(lane: Console) -> None:
    lot = lane.bring("109 lb", "potatoes", "--form", "fresh", "--in", "barn")
    lane.does("count", "101 lb", lot, "--in", "barn", "--weighed", "--beside", "300 pieces")
    balance = lane.json("trail", lot)["balance"]
    assert (balance["shrunk"], balance["missing"], balance["on_hand"]) == ("8", "0", "101")
    assert bodies(lane, 1)[0]["amount"]["beside_n"] == 300 * 5_040_000


def test_a_store_gone_through_is_one_deed_and_doubts_what_it_does_not_name(lane: Console) -> None:
    lane.bring("5", "squash", "--in", "barn")
    lane.bring("7", "pumpkins", "--in", "barn")
    told = lane.json("count", "--store", "barn", "squash=4")
    assert [body["kind"] for body in bodies(lane, 2)] == ["store_counted", "counted"]
    assert len(told["records"]) == 2
    rows = {row["food"]: row for row in lane.json("on-hand")}
    assert rows["squash"]["amount"]["value"] == "4"
    assert rows["pumpkins"]["in_doubt"]
    assert "nought to 7" in lane.does("on-hand")
    lane.does("undo")
    assert not any(row["in_doubt"] for row in lane.json("on-hand"))


def test_an_empty_store_is_gone_through(lane: Console) -> None:
    lane.bring("7", "pumpkins", "--in", "barn")
    assert "All of barn gone through, nothing there." in lane.does("count", "--store", "barn")
    assert lane.json("on-hand")[0]["in_doubt"]


def test_a_look_ends_a_hold_for_what_was_sound(lane: Console) -> None:
    lot = lane.bring("3 qt", BEANS, "--form", "home-canned", "--in", "back-room")
    mark = lane.json("hold", lot, "--reason", "suspect seal")["record"]
    said = lane.does("look", lot, "--in", "back-room", "--seen", "3", "--sound", "2", "--wrong", "1",
                     "--finding", "one lid flexes", "--for", mark)  # fmt: skip
    assert "3 jars seen, 2 jars sound, 1 jar not sound, one lid flexes" in said
    assert on_hand(lane) == [("back-room", "2", False, False), ("back-room", "1", True, False)]


# -- undo --------------------------------------------------------------------------------------


def test_undo_takes_back_one_deed_after_another(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn")
    lane.does("take", "1", lot, "--in", "barn")
    lane.does("take", "2", lot, "--in", "barn")
    assert f"Taken back: take, {lot} squash" in lane.does("undo")
    assert on_hand(lane) == [("barn", "9", False, False)]
    lane.does("undo")
    assert on_hand(lane) == [("barn", "10", False, False)]
    assert f"Taken back: bring-in, {lot} squash" in lane.does("undo")
    assert on_hand(lane) == []


def test_what_was_taken_back_is_brought_back(lane: Console) -> None:
    lane.bring("10", "squash", "--in", "barn")
    lane.does("take", "1", "squash", "--in", "barn")
    void = lane.json("undo")["record"]
    assert "is taken back already. To bring it back: girnel undo " + void in lane.refuses(
        "undo", "9"
    )
    lane.does("undo", void)
    assert on_hand(lane) == [("barn", "9", False, False)]


def test_everything_can_be_taken_back_and_then_nothing_is_left(lane: Console) -> None:
    for _ in range(4):
        lane.does("undo")
    assert lane.json("store", "list") == []
    assert "Nothing that was logged on this device is left" in lane.refuses("undo")


def test_the_same_jars_logged_twice_are_one_lot(lane: Console) -> None:
    first = lane.bring(
        "9 pt",
        "salsa",
        "--form",
        "home-canned",
        "--in",
        "back-room",
        "--on",
        "6 Sep 2026",
        "--by",
        "cook",
    )
    second = lane.json("bring-in", "9 pt", "salsa", "--form", "home-canned", "--in", "back-room",
                       "--on", "6 Sep 2026", "--by", "gardener")  # fmt: skip
    assert [concern["kind"] for concern in second["concerns"]] == ["maybe-double"]
    lane.does("take", "1", second["lot"], "--in", "back-room")
    lane.does("undo", second["record"], "--same-as", first)
    assert on_hand(lane) == [("back-room", "8", False, False)]
    assert lane.json("concerns") == []


def test_a_load_put_up_and_told_in_plain_words_again_is_asked_about(lane: Console) -> None:
    lane.does("put-up", "9 pt", "salsa", "--of", "nothing", "--in", "back-room", "--on", "6 Sep",
              "--method", "boiling water", "--by", "gardener")  # fmt: skip
    said = lane.does("log", "the cook brought in 9 pints of salsa to the back room on 6 Sep")
    assert "9 jars (1 pt each) brought into back-room, 6 Sep 2026" in said
    assert "9 jars that two people wrote down alike" in said
    (concern,) = lane.json("concerns")
    assert concern["kind"] == "maybe-double"


def test_one_record_of_a_deed_can_be_taken_back_alone(lane: Console) -> None:
    lane.bring("5", "squash", "--in", "barn")
    lane.bring("7", "pumpkins", "--in", "barn")
    told = lane.json("count", "--store", "barn", "squash=4", "pumpkins=6")
    lane.does("undo", told["records"][1], "--only")
    assert lane.amounts()[("pumpkins", "barn")] == "6 pumpkin"
    assert len(lane.json("undo", told["deed"])["took_back"]) == 2


# -- amend and settle --------------------------------------------------------------------------


def test_facts_learnt_later_and_blanked(lane: Console) -> None:
    lot = lane.bring("7 qt", "pears", "--form", "home-canned", "--in", "back-room")
    lane.does("amend", lot, "food=quinces", "altitude=1200 ft", "made_at=Sept 2026")
    assert bodies(lane, 1)[0]["facts"] == {
        "food": "quinces",
        "altitude": "1200 ft",
        "made_at": "2026-09",
    }
    (row,) = lane.json("on-hand")
    assert (row["food"], row["made"]) == ("quinces", "2026-09")
    lane.does("amend", lot, "altitude=")
    assert bodies(lane, 1)[0]["facts"] == {"altitude": ""}


def test_a_concern_is_settled_by_its_number_or_its_short_name(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn")
    told = lane.json("count", "9", lot, "--in", "barn")
    (concern,) = lane.json("concerns")
    assert concern["number"] == 1
    assert concern["id"] == told["concerns"][0]["id"]
    assert concern["rests_on"] == [told["record"]]
    assert concern["id"] in lane.does("concerns")
    lane.does("settle", concern["id"], "--decision", "one went to a neighbour")
    assert "Everything adds up." in lane.does("concerns")
    assert bodies(lane, 1)[0]["decision"] == "one went to a neighbour"
    lane.does("undo")
    lane.does("settle", "1")
    assert lane.json("concerns") == []


# -- setting up --------------------------------------------------------------------------------


def test_stores_foods_and_members_are_listed(lane: Console) -> None:
    lane.does("store", "add", "Chest Freezer", "--kind", "freezer", "room=12 cubic feet")
    lane.does("store", "set", "chest", "closed_from=June")
    lane.does(
        "food",
        "add",
        "chicken thighs",
        "--also",
        "thighs",
        "--also",
        "thighs, chkn",
        "group=poultry",
    )
    lane.does("food", "set", "thighs", "--unit", "supper = 2 lb")
    lane.does("member", "add", "teen")
    stores = {row["store"]: row["facts"] for row in lane.json("store", "list")}
    assert stores["chest-freezer"] == {
        "kind": "freezer",
        "room": "12 cubic feet",
        "closed_from": "June",
    }
    (food,) = lane.json("food", "list")
    assert food == {"food": "chicken thighs", "facts": {
        "other_names": "thighs; thighs, chkn", "group": "poultry", "units": "supper = 2 lb"}}  # fmt: skip
    assert [row["member"] for row in lane.json("member", "list")] == ["cook", "gardener", "teen"]
    assert "chest-freezer" in lane.does("store", "list")


def test_one_answer_over_all_stores_by_confirmed_names(lane: Console) -> None:
    lane.bring("5", "chicken thighs", "--in", "kitchen")
    lane.bring("26", "thighs, chkn", "--in", "barn")
    lane.bring("some packages", "thighs", "--in", "back-room")
    lane.does("food", "add", "chicken thighs", "--also", "thighs", "--also", "thighs, chkn")
    answer = lane.json("have", "thighs")
    (found,) = answer["foods"]
    assert found["food"] == "chicken thighs"
    assert [place["store"] for place in found["places"]] == ["back-room", "barn", "kitchen"]
    assert "31 pieces" in lane.does("have", "thighs")
    assert "some packages" in lane.does("have", "thighs")


# -- looks at another day ----------------------------------------------------------------------


def test_a_day_is_shown_as_it_is_known_now(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn", "--on", "2026-10-01")
    lane.does("take", "1", lot, "--in", "barn", "--on", "2026-10-20")
    lane.does("take", "2", lot, "--in", "barn")
    assert on_hand(lane, "--on", "2026-09-30") == []
    assert on_hand(lane, "--on", "2026-10-10") == [("barn", "10", False, False)]
    assert on_hand(lane, "--on", "20 Oct 2026") == [("barn", "9", False, False)]
    assert on_hand(lane) == [("barn", "7", False, False)]
    assert len(lane.json("trail", lot, "--on", "2026-10-20")["entries"]) == 2


def test_what_happens_the_day_after_does_not_count_on_a_day(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn", "--on", "2026-10-01")
    lane.does("take", "3", lot, "--in", "barn", "--at", "2026-10-21 07:00")
    assert on_hand(lane, "--on", "2026-10-20") == [("barn", "10", False, False)]
    assert on_hand(lane, "--on", "2026-10-21") == [("barn", "7", False, False)]


def test_a_day_before_the_undo_of_a_later_deed_still_adds_up(lane: Console) -> None:
    lot = lane.bring("10", "squash", "--in", "barn", "--on", "2026-10-01")
    lane.does("count", "9", lot, "--in", "barn")
    lane.does("undo")
    assert lane.json("concerns", "--on", "2026-10-10") == []


def test_options_stand_before_between_or_after_the_words(lane: Console) -> None:
    lane.does("store", "add", "attic", "--kind", "room", "light=dark")
    lot = lane.bring("--in", "attic", "10", "squash")
    lane.does("hold", lot, "--in", "attic", "2", "--reason", "soft")
    lane.does("count", "9", "--in", "attic", lot)
    lane.does("take", "--in=attic", "--", "1", lot)
    lane.does("count", f"{lot}=8", "--store", "attic")
    assert sum(int(value) for _, value, _, _ in on_hand(lane)) == 8


def test_jars_that_nobody_knew_are_named_later_and_the_doubt_stays(lane: Console) -> None:
    jars = lane.bring("5 pt", "unidentified, dark red", "--form", "home-canned", "--origin", "found",
                      "--in", "back-room")  # fmt: skip
    lane.bring("4 pt", "plum jam", "--form", "jam", "--in", "back-room")
    assert jars in [one["lot"] for one in lane.json("rotation")["undecided"]]
    lane.does("amend", jars, "food=plum jam", "sure=by sight")
    rows = {row["lot"]: row["food"] for row in lane.json("on-hand")}
    assert rows[jars] == "plum jam"
    assert len(rows) == 2  # a name learnt later joins no two lots
    assert "food: plum jam, sure: by sight" in lane.does("trail", jars)
