"""Holds and what they ask: who had of it before it was known, and which look ends them."""

from tests.console import Console


def test_a_hold_says_who_had_of_the_lot_before_it_was_known(lane: Console) -> None:
    lot = lane.bring("9 pt", "salsa", "--form", "home-canned", "--in", "barn", "--on", "2026-09-01")
    lane.does("give", "2", lot, "--in", "barn", "--to", "aunt", "--on", "2026-10-01")
    lane.does("take", "1", lot, "--in", "barn", "--on", "2026-10-02")
    said = lane.does("hold", lot, "--reason", "recall")
    assert (
        f"Gone before it was known, see who had it: 2 jars of {lot} given to aunt (Thu 1 Oct 2026); "
        f"1 jar of {lot} eaten (Fri 2 Oct 2026)" in said
    )
    lane.does("undo")
    assert "Gone before" not in lane.does("hold", lot, "2", "--in", "barn", "--reason", "dented")
    assert "Gone before" not in lane.does("hold", lot, "--programme", "curing")


def test_no_more_than_the_latest_are_listed(lane: Console) -> None:
    lot = lane.bring(
        "30 pt", "salsa", "--form", "home-canned", "--in", "barn", "--on", "2026-09-01"
    )
    for day in range(1, 15):
        lane.does("take", "1", lot, "--in", "barn", "--on", f"2026-10-{day:02}")
    said = lane.does("hold", lot, "--reason", "recall")
    assert said.count("1 jar of") == 12
    assert "before that 2 more (girnel trail)" in said


def test_a_look_that_does_not_say_what_it_answers_names_the_one_that_does(lane: Console) -> None:
    lot = lane.bring("35 bags", "peas", "--form", "frozen", "--in", "barn", "--on", "2026-09-01")
    mark = lane.json("incident", "power cut", "--in", "barn", "--on", "yesterday")["record"]
    said = lane.does("look", lot, "--in", "barn", "--sound", "35")
    look = f'girnel look {lot} --in barn --sound "35 bags" --for {mark}'
    assert f"It stays held by the power cut ({mark})." in said
    assert look in said
    assert lane.json("on-hand")[0]["held"]
    lane.does("undo")
    assert "stays held" not in lane.does(
        "look", lot, "--in", "barn", "--sound", "35 bags", "--for", mark
    )
    assert not lane.json("on-hand")[0]["held"]
    assert "stays held" not in lane.does("look", lot, "--in", "barn", "--sound", "35")
