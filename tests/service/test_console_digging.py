"""Dug from a bed at the console: a move out of the ground, and what is no bed is said."""

import json

from tests.console import Console

CARROTS = ("about 40 lb", "carrots", "--in", "bed-3", "--on", "2026-09-20")
BEETS = ("12 lb", "beetroot", "--in", "barn")


BRINGING = (CARROTS, BEETS)


def test_digging_is_a_move_out_of_the_one_bed_that_has_it(lane: Console) -> None:
    said = lane.does("dig", "10 lb", "carrots", "--to", "barn", "--on", "yesterday")
    assert "10 lb dug from bed-3 to barn" in said
    record = json.loads(lane.log().splitlines()[-1])["record"]
    assert record["body"]["kind"] == "moved"
    assert (record["body"]["store"], record["body"]["to"]) == ("bed-3", "barn")
    assert record["at"] == "2026-11-21"
    assert lane.amounts() == {
        ("beetroot", "barn"): "12 lb", ("carrots", "barn"): "10 lb", ("carrots", "bed-3"): "30 lb",
    }  # fmt: skip


def test_the_rest_of_a_bed_is_dug(lane: Console) -> None:
    lane.does("dig", "rest", "carrots", "--from", "bed-3", "--to", "barn")
    assert ("carrots", "bed-3") not in lane.amounts()


def test_what_cannot_be_dug_is_one_sentence_and_writes_nothing(lane: Console) -> None:
    def no(*argv: str) -> str:
        return lane.refuses("dig", *argv)

    assert "barn is no bed" in no("2 lb", "beetroot", "--from", "barn", "--to", "kitchen")
    assert "no beetroot in any bed" in no("2 lb", "beetroot", "--to", "kitchen")
    assert "bed-3 is a bed too" in no("2 lb", "carrots", "--to", "bed-3")
    assert "Something is missing: --to" in no("2 lb", "carrots")
    assert 'No store here is called "attic"' in no("2 lb", "carrots", "--to", "attic")
    assert "nothing at all" in no("0 lb", "carrots", "--to", "barn")


def test_of_two_beds_a_person_says_which(lane: Console) -> None:
    lane.does("store", "add", "bed-4", "--kind", "ground")
    lane.bring("20 lb", "carrots", "--in", "bed-4")
    said = lane.refuses("dig", "2 lb", "carrots", "--to", "barn", code=1)
    assert "bed-3 and bed-4: say which with --from" in said
    assert (
        lane.json("dig", "2 lb", "carrots", "--from", "bed-4", "--to", "barn")["food"] == "carrots"
    )
