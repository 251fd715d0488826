"""Deeds typed at the console: what each writes, and the one line that it is told back in."""

import json
from typing import Any

import pytest

from tests.console import Console

BEANS = "green beans"


def last(lane: Console) -> dict[str, Any]:
    """The newest record."""
    record = json.loads(lane.log().splitlines()[-1])["record"]
    assert isinstance(record, dict)
    return record


def body(lane: Console) -> dict[str, Any]:
    found = last(lane)["body"]
    assert isinstance(found, dict)
    return found


GRAIN = 5_040_000


# -- bringing in -------------------------------------------------------------------------------


def test_quarts_of_home_canned_food_are_quart_jars(lane: Console) -> None:
    lane.bring("12 qt", BEANS, "--form", "home-canned", "--in", "back-room", "--on", "2026-08-14")
    said = body(lane)
    assert said["amount"] == {
        "unit": "jar", "n": 12 * GRAIN, "said": "12 qt", "said_unit": "qt", "basis": "1 jar = 1 qt",
    }  # fmt: skip
    assert said["package"] == {"vessel": "jar", "content": "1", "content_unit": "qt"}
    assert (last(lane)["at"], last(lane)["typed"]) == ("2026-08-14", "2026-08-14")


@pytest.mark.parametrize(
    ("typed", "options", "unit", "n", "package"),
    [
        ("25 kg", [], "kg", 25, None),
        ("7", [], "piece", 7, None),
        ("84 pt", ["--form", "home-canned"], "jar", 84, ("jar", "1", "pt")),
        ("72 hp", ["--form", "jam"], "jar", 72, ("jar", "1", "half-pint")),
        ("12 qt", ["--form", "frozen"], "qt", 12, None),
        ("12 jars", ["--form", "home-canned", "--holds", "1 pt"], "jar", 12, ("jar", "1", "pt")),
        ("12 quart jars", [], "jar", 12, ("jar", "1", "qt")),
        ("13 bags", ["--form", "frozen"], "bag", 13, ("bag", None, None)),
        ("24", ["--package", "tin", "--holds", "400 g"], "tin", 24, ("tin", "400", "g")),
        ("24", ["--package", "tins"], "tin", 24, ("tin", None, None)),
        ("6 lb", ["--package", "bag", "--holds", "1 1/2 lb"], "bag", 4, ("bag", "3/2", "lb")),
        ("2 doz", [], "piece", 24, None),
        ("1 1/2 lb", [], "lb", 1.5, None),
        ("½ kg", [], "kg", 0.5, None),
    ],
)
def test_what_comes_in_is_counted_as_people_count_it(
    lane: Console, typed: str, options: list[str], unit: str, n: float,
    package: tuple[str, str | None, str | None] | None,
) -> None:  # fmt: skip
    lane.bring(typed, "plums", *options, "--in", "back-room")
    said = body(lane)
    assert (said["amount"]["unit"], said["amount"]["n"]) == (unit, n * GRAIN)
    assert said["amount"]["said"] == typed
    packed = said.get("package")
    assert (
        packed and (packed["vessel"], packed.get("content"), packed.get("content_unit"))
    ) == package


def test_eggs_are_counted_in_eggs_also_by_the_dozen(lane: Console) -> None:
    eggs = lane.bring("431", "eggs", "--in", "kitchen")
    lane.does("give", "6 doz", eggs, "--in", "kitchen", "--to", "a neighbour")
    lane.does("give", "4 1/2 dozen", eggs, "--in", "kitchen", "--price", "9.00")
    assert lane.amounts() == {("eggs", "kitchen"): f"{431 - 72 - 54} egg"}


def test_an_estimate_keeps_both_its_ends(lane: Console) -> None:
    lane.bring("3-4 lb", "pot roast", "--in", "kitchen")
    (row,) = lane.json("on-hand")
    assert row["amount"] == {"value": "3.5", "unit": "lb", "low": "3", "high": "4"}
    assert "none left" not in lane.does("bring-in", "some", "herbs", "--in", "kitchen")


def test_the_households_own_way_to_write_a_food_stays(lane: Console) -> None:
    lane.bring("3 lb", BEANS, "--in", "kitchen")
    lane.bring("2 lb", "Green  Bean", "--in", "kitchen")
    assert body(lane)["food"] == BEANS
    assert {food for food, _ in lane.amounts()} == {BEANS}


def test_everything_that_may_be_said_of_a_lot_is_kept(lane: Console) -> None:
    lane.bring(
        "48 lb", "potatoes", "--variety", "late", "--form", "fresh", "--in", "barn", "--origin", "exchange",
        "--papers", "50 lb", "--beside", "160 pieces", "--made", "Sept 2026", "--keeping-from", "1 Oct 2026",
        "--printed", "0195", "--printed-kind", "code", "--supplier", "the mill", "--price", "12.00",
        "--owner", "the neighbour", "--label", "sack 3", "--by", "cook", "--note", "a wet year",
        "--on", "2 Oct 2026",
    )  # fmt: skip
    said = body(lane)
    assert said | {"amount": 0, "papers": 0} == {
        "kind": "received", "food": "potatoes", "variety": "late", "form": "fresh", "store": "barn",
        "origin": "exchange", "made_at": "2026-09", "keeping_from": "2026-10-01", "printed": "0195",
        "printed_kind": "code", "supplier": "the mill", "price": "12.00", "owner": "the neighbour",
        "label": "sack 3", "amount": 0, "papers": 0,
    }  # fmt: skip
    assert (said["papers"]["n"], said["papers"]["unit"]) == (50 * GRAIN, "lb")
    assert (said["amount"]["beside_n"], said["amount"]["beside_unit"]) == (160 * GRAIN, "piece")
    assert (last(lane)["by"], last(lane)["note"]) == ("cook", "a wet year")
    assert (last(lane)["at"], last(lane)["typed"]) == ("2026-10-02", "2 Oct 2026")


# -- taking, carrying, opening -----------------------------------------------------------------


def test_a_quart_out_of_quart_jars_is_a_jar_and_says_why(lane: Console) -> None:
    lot = lane.bring("12 qt", BEANS, "--form", "home-canned", "--in", "kitchen")
    said = lane.does("take", "1 qt", lot, "--in", "kitchen")
    assert (
        said
        == f"{lot} green beans: 1 jar taken from kitchen, 11 jars left in all. Take back: girnel undo"
    )
    assert body(lane)["amount"] == {
        "unit": "jar", "n": GRAIN, "said": "1 qt", "said_unit": "qt", "basis": "1 jar = 1 qt",
    }  # fmt: skip


def test_a_measure_that_does_not_compare_takes_less_some(lane: Console) -> None:
    lot = lane.bring("20 lb", "potatoes", "--in", "barn")
    said = lane.does("take", "2 buckets", lot, "--in", "barn")
    assert "less some" not in said
    assert "Does not add up" in said
    assert body(lane)["amount"] == {"unit": "lb", "said": "2 buckets", "said_unit": "bucket"}
    assert "less some" in lane.does("on-hand")


def test_a_unit_of_the_household_is_reckoned_by_what_it_says(lane: Console) -> None:
    lot = lane.bring("20 lb", "turnips", "--in", "barn")
    lane.does("food", "add", "turnips", "--unit", "supper = 1 1/2 lb")
    lane.does("take", "2 suppers", lot, "--in", "barn")
    assert body(lane)["amount"]["n"] == 3 * GRAIN
    assert body(lane)["amount"]["basis"] == "1 supper = 1 1/2 lb"


def test_a_taker_who_names_a_food_gets_what_is_open_then_what_is_first_to_use(
    lane: Console,
) -> None:
    lane.now("2026-11-23T10:00:00+00:00")
    old = lane.bring(
        "3 qt", BEANS, "--form", "home-canned", "--in", "back-room", "--on", "2025-08-01"
    )
    new = lane.bring(
        "3 qt", BEANS, "--form", "home-canned", "--in", "kitchen", "--on", "2026-09-01"
    )
    lane.now("2026-11-24T10:00:00+00:00")
    lane.does("carry", "3", old, "--from", "back-room", "--to", "kitchen")
    lane.now("2026-11-25T10:00:00+00:00")
    assert lane.json("take", "1", BEANS, "--in", "kitchen")["lot"] == old
    assert body(lane)["picked"] is True
    lane.does("open", "1", new, "--in", "kitchen")
    assert lane.json("take", "1/2", BEANS, "--in", "kitchen")["lot"] == new


def test_what_is_nicked_goes_first_to_a_taker_too(lane: Console) -> None:
    lane.bring("40 lb", "potatoes", "--form", "fresh", "--in", "back-room", "--on", "2026-09-10")
    other = lane.bring(
        "40 lb", "potatoes", "--form", "fresh", "--in", "back-room", "--on", "2026-09-11"
    )
    lane.does("amend", other, "condition=nicked")
    assert lane.json("rotation")["order"][0]["lot"] == other
    assert lane.json("take", "1 lb", "potatoes", "--in", "back-room")["lot"] == other


def test_a_bringing_in_that_was_undone_is_not_taken_from(lane: Console) -> None:
    lane.bring("40 lb", "apples", "--in", "kitchen")
    lane.does("undo")
    assert "was ever brought in" in lane.refuses("take", "1 lb", "apples")


def test_nobody_is_refused_what_was_set_aside(lane: Console) -> None:
    lot = lane.bring("3 qt", "cherries", "--form", "home-canned", "--in", "kitchen")
    lane.does("set-aside", lot, "2", "--for", "midwinter")
    lane.does("take", "1", "cherries", "--in", "kitchen")
    told = lane.json("take", "1", "cherries", "--in", "kitchen")
    assert [concern["kind"] for concern in told["concerns"]] == ["reserve-short"]
    assert lane.amounts() == {("cherries", "kitchen"): "1 jar"}


def test_what_a_lot_lacks_comes_from_the_next_as_one_deed(lane: Console) -> None:
    lane.bring("2 qt", BEANS, "--form", "home-canned", "--in", "kitchen", "--on", "2026-08-01")
    lane.bring("5 qt", BEANS, "--form", "home-canned", "--in", "kitchen", "--on", "2026-09-01")
    told = lane.json("take", "3", BEANS, "--in", "kitchen")
    assert [part["there"]["value"] for part in told["lots"]] == ["0", "4"]
    assert len(told["records"]) == 2
    assert lane.amounts() == {(BEANS, "kitchen"): "4 jar"}
    lane.does("undo")
    assert lane.amounts() == {(BEANS, "kitchen"): "2 jar + 5 jar"}


def test_nobody_is_refused_for_taking_more_than_is_known(lane: Console) -> None:
    lot = lane.bring("2 qt", BEANS, "--form", "home-canned", "--in", "kitchen")
    told = lane.json("take", "3", lot, "--in", "kitchen")
    assert [concern["kind"] for concern in told["concerns"]] == ["more-than-known"]
    assert told["in_all"]["value"] == "0"


def test_where_the_kitchen_has_none_the_taker_still_takes(lane: Console) -> None:
    lane.bring("2 qt", BEANS, "--form", "home-canned", "--in", "back-room")
    told = lane.json("take", "1", BEANS, "--in", "kitchen")
    assert [concern["kind"] for concern in told["concerns"]] == ["picked-short"]
    assert lane.amounts() == {(BEANS, "back-room"): "2 jar"}


def test_three_thirds_and_the_rest_leave_none(lane: Console) -> None:
    lot = lane.bring("1", "honey", "--package", "bucket", "--holds", "45 lb", "--in", "kitchen")
    for _ in range(3):
        lane.does("take", "1/3", lot, "--in", "kitchen")
    assert lane.amounts() == {}
    other = lane.bring("60 lb", "honey", "--in", "barn")
    for _ in range(7):
        lane.does("take", "8.57 lb", other, "--in", "barn")
    assert lane.json("on-hand")[0]["amount"]["value"] == "0.01"
    assert "none left" in lane.does("take", "the rest", other, "--in", "barn")
    assert body(lane)["rest"] is True
    assert lane.amounts() == {}


def test_the_oldest_are_carried_first_where_that_is_asked(lane: Console) -> None:
    for n, year in ((30, 2023), (140, 2024), (130, 2025)):
        lane.bring(
            f"{n} pt",
            "peaches",
            "--form",
            "home-canned",
            "--in",
            "back-room",
            "--on",
            f"{year}-08-20",
        )
    lane.does("carry", "60", "peaches", "--from", "back-room", "--to", "kitchen", "--oldest")
    assert lane.amounts("kitchen") == {("peaches", "kitchen"): "30 jar + 30 jar"}
    assert lane.amounts("back-room") == {("peaches", "back-room"): "110 jar + 130 jar"}
    lane.does("undo")
    assert lane.amounts("kitchen") == {}


def test_stores_are_read_kindly_and_shelves_freely(lane: Console) -> None:
    lot = lane.bring("4", "salt", "--in", "Back Room/Top Shelf")
    assert body(lane)["store"] == "back-room/top-shelf"
    lane.does("carry", "1", lot, "--from", "back", "--to", "KITCHEN")
    assert (body(lane)["store"], body(lane)["to"]) == ("back-room", "kitchen")
    assert lane.amounts() == {
        ("salt", "back-room/top-shelf"): "3 piece",
        ("salt", "kitchen"): "1 piece",
    }


def test_digging_is_carrying_out_of_the_ground(lane: Console) -> None:
    lane.bring("about 30 lb", "parsnips", "--in", "bed-3")
    assert "5 lb carried from bed-3 to kitchen" in lane.does(
        "carry", "5 lb", "parsnips", "--from", "bed-3", "--to", "kitchen"
    )


def test_seed_stock_is_planted(lane: Console) -> None:
    lane.bring("57 heads", "garlic", "--in", "barn")
    lane.does("set-aside", "14", "garlic", "--in", "barn", "--for", "seed")
    assert "14 heads planted from barn, 43 heads left in all" in lane.does(
        "plant", "14", "garlic", "--in", "barn"
    )
    assert not lane.json("on-hand")[0]["set_aside"]


def test_a_moment_is_the_households_own(lane: Console) -> None:
    lot = lane.bring("4", "salt", "--in", "kitchen", "--on", "1 Aug 2026")
    lane.does("take", "1", lot, "--at", "2026-08-14 18:04")
    assert last(lane)["at"] == "2026-08-14T18:04+01:00"
    lane.does("take", "1", lot, "--at", "9:30")
    assert (last(lane)["at"], last(lane)["typed"]) == ("2026-11-22T09:30+00:00", "9:30")
    lane.does("take", "1", lot)
    assert "typed" not in last(lane)


@pytest.mark.parametrize(
    ("typed", "edtf"),
    [("summer 24", "2024-22"), ("8/2024", "2024-08"), ("about Aug 2026", "2026-08~")],
)
def test_a_rough_date_stays_as_rough_as_it_was_said(lane: Console, typed: str, edtf: str) -> None:
    lane.bring("4", "salt", "--in", "kitchen", "--on", typed)
    assert (last(lane)["at"], last(lane)["typed"]) == (edtf, typed)


def test_who_did_it_is_said_or_set_or_the_only_one(
    lane: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    lane.bring("4", "salt", "--in", "kitchen")
    assert "by" not in last(lane)
    lane.bring("4", "salt", "--in", "kitchen", "--by", "Gard")
    assert last(lane)["by"] == "gardener"
    monkeypatch.setenv("GIRNEL_BY", "cook")
    lane.bring("4", "salt", "--in", "kitchen")
    assert last(lane)["by"] == "cook"


def test_a_count_is_explained_later(lane: Console) -> None:
    lot = lane.bring("18", "squash", "--in", "barn")
    told = lane.json("count", "11", lot, "--in", "barn")
    lane.does("give", "5", lot, "--in", "barn", "--explains", told["record"])
    balance = lane.json("trail", lot)["balance"]
    assert (balance["given"], balance["missing"], balance["on_hand"]) == ("5", "2", "11")


# -- cautions ----------------------------------------------------------------------------------


def test_low_acid_jars_come_in_with_a_caution_and_its_source(lane: Console) -> None:
    said = lane.does("bring-in", "7 qt", BEANS, "--form", "home-canned", "--in", "kitchen")
    assert "Caution: " in said
    assert "botulinum" in said
    assert "USDA" in said
    assert "Caution" not in lane.does(
        "bring-in", "7 lb", BEANS, "--form", "fresh", "--in", "kitchen"
    )


@pytest.mark.parametrize("cause", ["seal failed", "mould"])
def test_throwing_out_a_bad_jar_warns_of_what_is_left(lane: Console, cause: str) -> None:
    lane.bring("7 qt", BEANS, "--form", "home-canned", "--in", "kitchen")
    assert "Caution: " in lane.does("toss", "1", BEANS, "--in", "kitchen", "--cause", cause)
    assert "Caution" not in lane.does("toss", "1", BEANS, "--in", "kitchen", "--cause", "broken")
