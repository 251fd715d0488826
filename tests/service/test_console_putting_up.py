"""Loads put up and food packed anew, typed at the console: one deed each, told back lot by lot.

The evening and the morning after are an invented household's.
"""

import json
from typing import Any

import pytest

from tests.console import Console

BEANS = "green beans"
FRESH = ("30 lb", BEANS, "--in", "kitchen", "--form", "fresh")
PEARS = ("20 lb", "pears", "--in", "barn")
EVENING, MORNING = "2027-08-18T20:30:00+01:00", "2027-08-19T07:40:00+01:00"
LOAD = (
    "put-up", "7 qt", "4 pt", BEANS, "--of", f"{BEANS}=14 lb in kitchen", "--in", "back-room",
    "--method", "pressure canner", "--minutes", "25 min", "--pressure", "11 lb", "--altitude",
    "400 ft", "--lid-box", "box 3", "--machine", "big canner", "--supply", "salt=1 cup",
)  # fmt: skip


@pytest.fixture(autouse=True)
def evening(lane: Console) -> None:
    lane.now(EVENING)
    lane.does("bring-in", *FRESH)
    lane.does("bring-in", *PEARS)


def records(lane: Console, many: int) -> list[dict[str, Any]]:
    """The newest records."""
    return [json.loads(line)["record"] for line in lane.log().splitlines()[-many:]]


def test_a_load_is_one_record_of_what_went_in_and_jars_by_size(lane: Console) -> None:
    said = lane.does(*LOAD, "--at", "20:15")
    assert "7 jars (1 qt each) put up into back-room, 18 Aug 2027, 20:15" in said
    assert "4 jars (1 pt each) put up into back-room" in said
    assert "14 lb went in from kitchen, 16 lb left in all. Take back: girnel undo" in said
    assert "look at every seal: girnel look" in said
    body = records(lane, 1)[0]["body"]
    (draw,) = body["draws"]
    assert (body["kind"], draw["store"], draw["amount"]["said"]) == ("put_up", "kitchen", "14 lb")
    assert [one["package"]["content_unit"] for one in body["yields"]] == ["qt", "pt"]
    assert {one["form"] for one in body["yields"]} == {"home-canned"}
    told = {name: body[name] for name in ("method", "minutes", "pressure", "altitude", "lid_box")}
    assert told == {"method": "pressure canner", "minutes": 25, "pressure": "11 lb",
                    "altitude": "400 ft", "lid_box": "box 3"}  # fmt: skip
    assert (body["machine"], body["supplies"]) == ("big canner", {"salt": "1 cup"})
    assert lane.amounts() == {
        (BEANS, "kitchen"): "16 lb", (BEANS, "back-room"): "7 jar + 4 jar",
        ("pears", "barn"): "20 lb",
    }  # fmt: skip
    assert "put-up" in lane.does("undo")
    assert lane.amounts()[BEANS, "kitchen"] == "30 lb"


def test_several_things_go_in_and_another_food_comes_of_the_same_load(lane: Console) -> None:
    said = lane.json(
        "put-up", "9 pt", "chutney", "--also", "2 pt=pear butter", "--form", "jam",
        "--of", "pears=12 lb in barn", "--of", f"{BEANS}=rest in kitchen",
    )  # fmt: skip
    assert [one["food"] for one in said["lots"]] == ["chutney", "pear butter", "pears", BEANS]
    assert lane.amounts() == {("chutney", ""): "9 jar", ("pear butter", ""): "2 jar",
                              ("pears", "barn"): "8 lb"}  # fmt: skip


def test_again_says_the_last_load_once_more_with_a_new_date(lane: Console) -> None:
    lane.does(*LOAD)
    lane.now("2027-08-20T21:00:00+01:00")
    lane.does("put-up", BEANS, "--again")
    first, second = (record["body"] for record in records(lane, 2))
    assert second == first
    assert [record["at"][:10] for record in records(lane, 2)] == ["2027-08-18", "2027-08-20"]
    said = lane.refuses("put-up", BEANS, "--again")
    assert "there is not as much of it left there: say what went in" in said
    lane.does(
        "put-up", "3 qt", BEANS, "--again", "--of", "nothing", "--minutes", "30", "--in", "barn"
    )
    third = records(lane, 1)[0]["body"]
    assert "draws" not in third
    assert (third["minutes"], third["pressure"]) == (30, "11 lb")
    assert [(one["store"], one["amount"]["said"]) for one in third["yields"]] == [("barn", "3 qt")]
    lane.does("undo")
    lane.does("put-up", BEANS, "--again", "--of", "nothing", "--in", "kitchen")
    assert [one["store"] for one in records(lane, 1)[0]["body"]["yields"]] == ["kitchen", "kitchen"]
    lane.does("put-up", "5 pt", BEANS, "--again", "--of", "nothing")
    (one,) = records(lane, 1)[0]["body"]["yields"]
    assert (one["store"], one["form"], one["amount"]["unit"]) == ("kitchen", "home-canned", "jar")


def test_a_remedy_is_not_said_again(lane: Console) -> None:
    lot = lane.json(*LOAD)["lot"]
    mark = lane.json("look", lot, "--unsealed", "1")["records"][1]
    anew = ("put-up", "1 qt", BEANS, "--again", "--of", f"{lot}=1", "--remedy", mark)
    lane.does(*anew)
    lane.does("put-up", BEANS, "--again", "--of", "nothing")
    assert "remedy" not in records(lane, 1)[0]["body"]


# -- the morning after ---------------------------------------------------------------------------


def seven(lane: Console) -> tuple[str, str]:
    """Seven quarts out of the canner at 20:15, one open in the morning; the lot and the hold."""
    lot = lane.json("put-up", "7 qt", BEANS, "--method", "pressure canner", "--in", "back-room",
                    "--at", "20:15")["lot"]  # fmt: skip
    lane.now(MORNING)
    said = lane.does("look", lot, "--in", "back-room", "--seen", "7", "--unsealed", "1")
    assert "7 jars seen, 1 jar not sealed" in said
    assert "1 jar held (not sealed)" in said
    assert "until Thu 19 Aug 2027 20:15 put up anew" in said
    assert "quoted second-hand from USDA, and Nebraska for the 2 hours" in said
    look, held = records(lane, 2)
    assert (look["body"]["kind"], held["body"]["kind"]) == ("checked", "held")
    assert look["deed"] == held["deed"]
    assert held["body"]["until"] == "2027-08-19T20:15:00+01:00"
    return lot, f"{held['device']}:{held['seq']}"


def split(lane: Console) -> list[tuple[str, str, bool]]:
    rows = [row for row in lane.json("on-hand") if row["food"] == BEANS and "jar" in str(row)]
    return sorted((row["amount"]["value"], row["store"], row["held"]) for row in rows)


def test_of_seven_one_did_not_seal_and_six_go_to_the_shelf(lane: Console) -> None:
    seven(lane)
    assert split(lane) == [("1", "back-room", True), ("6", "back-room", False)]
    lane.does("undo")
    assert split(lane) == [("7", "back-room", False)]


def test_what_did_not_seal_is_put_up_anew_and_free(lane: Console) -> None:
    lot, mark = seven(lane)
    lane.does("put-up", "1 qt", BEANS, "--again", "--of", f"{lot}=1", "--remedy", mark)
    assert split(lane) == [("1", "back-room", False), ("6", "back-room", False)]
    assert lane.does("concerns") == "Everything adds up."


def test_or_it_is_frozen_or_tossed(lane: Console) -> None:
    lot, mark = seven(lane)
    lane.does("store", "add", "freezer", "--kind", "freezer")
    lane.does("repack", "2 bags", "--of", f"{lot}=1", "--form", "frozen", "--in", "freezer",
              "--remedy", mark)  # fmt: skip
    assert (BEANS, "freezer") in lane.amounts()
    assert not any(row["held"] for row in lane.json("on-hand"))
    lane.does("undo")
    lane.does("toss", "1", lot, "--in", "back-room", "--mark", mark, "--cause", "seal failed")
    assert split(lane) == [("6", "back-room", False)]


def test_after_a_day_there_is_no_putting_up_anew(lane: Console) -> None:
    lot = lane.json("put-up", "7 qt", BEANS, "--method", "pressure canner")["lot"]
    lane.now("2027-08-19T20:31:00+01:00")
    said = lane.does("look", lot, "--seen", "7", "--unsealed", "2")
    assert "put up anew" not in said
    assert "no processing anew" in said
    assert "until" not in records(lane, 1)[0]["body"]


def test_all_sealed_holds_nothing(lane: Console) -> None:
    lot = lane.json("put-up", "7 qt", BEANS, "--method", "pressure canner")["lot"]
    assert "7 jars seen, all sealed" in lane.does("look", lot, "--seen", "7", "--unsealed", "0")
    assert [record["body"]["kind"] for record in records(lane, 2)] == ["put_up", "checked"]


# -- no tested process for the size --------------------------------------------------------------


def test_a_size_without_a_tested_process_is_written_held_and_has_no_date(lane: Console) -> None:
    said = lane.does("put-up", "6 qt", "cream-style corn", "--method", "pressure canner",
                     "--minutes", "85", "--in", "back-room")  # fmt: skip
    assert "6 jars (1 qt each) put up into back-room" in said
    assert "held (no source read: a tested process for jars of this size)" in said
    assert "in the table here" not in said
    assert "freeze it the same day" in said
    assert "quoted second-hand from USDA tables" in said
    made, held = records(lane, 2)
    assert made["body"]["minutes"] == 85
    assert (held["body"]["kind"], held["deed"]) == ("held", made["deed"])
    assert [row["held"] for row in lane.json("on-hand", "--in", "back-room")] == [True]
    lane.now("2027-08-23T20:30:00+01:00")
    lines = lane.does("digest")
    assert "cream-style corn" in lines
    assert "cream-style corn" not in lines.partition("Go and look")[0]
    lane.does("undo")
    assert lane.amounts() == {(BEANS, "kitchen"): "30 lb", ("pears", "barn"): "20 lb"}


def test_pints_of_it_and_quarts_of_another_food_are_not_held(lane: Console) -> None:
    lane.does("put-up", "6 pt", "cream-style corn", "--method", "pressure canner")
    lane.does("put-up", "6 qt", BEANS, "--method", "pressure canner")
    lane.does("put-up", "6 qt", "mushrooms", "--method", "freezing")
    assert not any(row["held"] for row in lane.json("on-hand"))


# -- packed anew -----------------------------------------------------------------------------------


def test_the_same_food_in_other_packages(lane: Console) -> None:
    lane.bring("25 kg", "rolled oats", "--in", "barn")
    said = lane.does("repack", "24 bags", "--holds", "1 kg", "--of", "rolled oats=rest in barn",
                     "--in", "kitchen")  # fmt: skip
    assert "24 bags (1 kg each) packed anew into kitchen" in said
    assert "25 kg went in from barn, none left" in said
    assert records(lane, 1)[0]["body"]["kind"] == "repacked"
    assert lane.amounts("kitchen")["rolled oats", "kitchen"] == "24 bag"


def test_two_lots_of_one_food_are_joined_and_two_foods_are_not(lane: Console) -> None:
    one = lane.bring("3 jars", "honey", "--holds", "1 pt", "--variety", "heather")
    two = lane.bring("2 jars", "honey", "--holds", "1 pt", "--variety", "clover")
    both = ("--of", f"{one}=3", "--of", f"{two}=2")
    said = lane.json("repack", "1 bucket", *both)
    assert said["food"] == "honey"
    (made,) = records(lane, 1)[0]["body"]["yields"]
    assert "variety" not in made
    wrong = lane.refuses("repack", "1 bucket", "--of", f"{one}=1", "--of", "pears=1 lb in barn")
    assert "honey and pears are two foods" in wrong


# -- bad input -------------------------------------------------------------------------------------

CANNER = ("--method", "pressure canner")
WRONG: list[tuple[list[str], str]] = [
    (["put-up"], "Something is missing: FOOD"),
    (["put-up", BEANS], "What came of it?"),
    (["put-up", "7 qt", BEANS], "may be jars or a measure: say how it was put up"),
    (["put-up", "0 qt", BEANS, *CANNER], "nothing at all"),
    (["put-up", "7 flurbs", BEANS, *CANNER], "flurbs"),
    (["put-up", "7 qt", BEANS, *CANNER, "--minutes", "long"], '--minutes "long" is no whole number'),
    (["put-up", "7 qt", BEANS, *CANNER, "--trays", "0"], '--trays "0" is no whole number'),
    (["put-up", "7 qt", BEANS, *CANNER, "--supply", "salt"], "does not say how much"),
    (["put-up", "7 qt", BEANS, *CANNER, "--also", "3 pt"], "does not say what"),
    (["put-up", "7 qt", BEANS, *CANNER, "--of", BEANS], "does not say how much of what"),
    (["put-up", "7 qt", BEANS, *CANNER, "--of", "plums=2 lb"], "Neither a lot nor a food"),
    (["put-up", "7 qt", BEANS, *CANNER, "--of", "pears=2 lb in attic"], "No store here is called"),
    (["put-up", "7 qt", BEANS, *CANNER, "--of", "pears=0"], "nothing at all"),
    (["put-up", "7 qt", BEANS, *CANNER, "--in", "attic"], "No store here is called"),
    (["put-up", "7 qt", BEANS, *CANNER, "--on", "2028-01-01"], "has not come yet"),
    (["put-up", "7 qt", BEANS, *CANNER, "--remedy", "1"], "is no hold"),
    (["put-up", "7 qt", BEANS, "--again"], "No load of green beans was ever put up"),
    (["put-up", "7 qt", BEANS, *CANNER, "--by", "uncle"], "No member is called"),
    (["repack", "3 bags"], "Of what?"),
    (["repack", "3 bags", "--of", "nothing"], "Of what?"),
    (["repack", "--of", "pears=2 lb"], "Something is missing: AMOUNT"),
    (["look", "pears", "--unsealed", "1", "--wrong", "1"], "leave out --sound, --wrong and --for"),
    (["look", "pears", "--seen", "1 lb", "--unsealed", "2 lb"], "More was sound or wrong"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "says"), WRONG)
def test_bad_input_is_one_sentence_and_nothing_is_written(
    lane: Console, typed: list[str], says: str
) -> None:
    assert says in lane.refuses(*typed)


def test_a_remedy_has_to_be_for_what_goes_in(lane: Console) -> None:
    lane.does("hold", "pears", "--reason", "soft spots")
    mark = f"{records(lane, 1)[0]['device']}:{records(lane, 1)[0]['seq']}"
    said = lane.refuses("put-up", "3 pt", BEANS, *CANNER, "--of", f"{BEANS}=2 lb", "--remedy", mark)
    assert "none of what went in is under it" in said


def test_the_trail_says_how_it_was_put_up_and_what_shares_the_load(lane: Console) -> None:
    quarts, pints = (one["lot"] for one in lane.json(*LOAD)["lots"][:2])
    lane.now(MORNING)
    lane.does("look", quarts, "--in", "back-room", "--seen", "7", "--unsealed", "1")
    said = lane.does("trail", quarts)
    assert (
        "How: method: pressure canner; minutes: 25; pressure: 11 lb; altitude: 400 ft; machine: "
        "big canner; lid box: box 3; with 1 cup salt" in said
    )
    assert f"Of the same load: {pints} {BEANS}, 4 jars (1 pt each), 4 jars left" in said
    assert "Seals: looked at Thu 19 Aug 2027 07:40: 6 jars sealed, 1 jar not" in said
    assert lane.json("trail", pints)["batch"]["lots"][0]["lot"] == quarts
    assert "How:" not in lane.does("trail", lane.bring("5 jars", "honey", "--in", "barn"))


def test_what_did_not_seal_is_not_offered_for_freezing_once_its_hours_have_gone(
    lane: Console,
) -> None:
    early = lane.json(*LOAD)["lot"]
    assert "frozen: girnel repack" in lane.does("look", early, "--seen", "7", "--unsealed", "1")
    lane.now("2027-11-20T09:00:00+00:00")
    said = lane.does("look", early, "--seen", "6", "--unsealed", "1")
    assert "not to be kept: girnel toss" in said
    assert "repack" not in said
    assert "put up anew" not in said
    late = lane.bring("3 qt", BEANS, "--form", "home-canned", "--in", "barn", "--made", "2026")
    assert "repack" not in lane.does("look", late, "--seen", "3", "--unsealed", "1")
