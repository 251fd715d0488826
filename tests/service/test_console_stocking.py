"""What to get and what to carry, as a person meets them."""

import re
import shlex

import pytest

from tests.console import Console

SALT = ("food", "add", "salt", "refill=10 lb", "clear=12 lb", "par=35 lb", "lead=2 weeks")


@pytest.fixture
def console(lane: Console) -> Console:
    return lane


def test_salt_is_low_once_and_until_it_is_bought(console: Console) -> None:
    console.does(*SALT, "pack=25 lb")
    lot = console.bring("10.2 lb", "salt", "--in", "back-room", "--on", "2026-11-01")
    assert console.does("reorder") == "1 food is above its mark."
    console.does("count", "9.9 lb", lot, "--in", "back-room", "--on", "2026-11-03")
    console.does("count", "10.4 lb", lot, "--in", "back-room", "--on", "2026-11-05")
    said = console.does("reorder")
    assert "25 lb (1 of 25 lb) salt: now, here by 6 Dec 2026 (14 days)" in said
    assert "10.4 lb there, low below 10 lb; low until 12 lb or more comes in" in said
    assert "since 3 Nov 2026" in said
    console.does("count", "9.8 lb", lot, "--in", "back-room", "--on", "2026-11-07")
    assert "since 3 Nov 2026" in console.does("reorder")
    assert console.does("reorder", "--on", "2026-11-02") == "1 food is above its mark."
    console.bring("25 lb", "salt", "--in", "back-room", "--origin", "bought", "--on", "2026-11-09")
    assert console.does("reorder") == "1 food is above its mark."


def test_what_is_expected_is_told_and_taken_off(console: Console) -> None:
    console.does(*SALT)
    console.bring("8 lb", "salt", "--in", "back-room")
    order = console.json("expect", "27 lb", "salt", "--due", "2026-12-03")["record"]
    said = console.does("reorder")
    assert "Low, nothing more to get" in said
    assert f"27 lb expected by 3 Dec 2026 ({order})" in said
    (food,) = console.json("reorder")["foods"]
    assert (food["low"], food["get"]["value"], food["here_by"]) == (True, "0", None)
    assert food["expected"][0]["amount"]["value"] == "27"


def test_the_kitchen_is_filled_from_the_back_room_in_one_act(console: Console) -> None:
    console.does("food", "add", "tomatoes", "shelf=kitchen", "shelf_refill=10 jars",
                 "shelf_par=60 jars")  # fmt: skip
    jars = ("tomatoes", "--form", "home-canned", "--in", "back-room", "--made")
    last = console.bring("130 pt", *jars, "2025-09")
    middle = console.bring("140 pt", *jars, "2024-09")
    first = console.bring("30 pt", *jars, "2023-09")
    (food,) = console.json("carrying")["foods"]
    assert [(piece["lot"], piece["amount"]["value"]) for piece in food["pieces"]] == [
        (first, "30"), (middle, "30"),
    ]  # fmt: skip
    said = console.does("carrying")
    act = 'girnel carry "60 jars" tomatoes --from back-room --to kitchen --oldest'
    assert f"Carried? {act}" in said
    console.does(*shlex.split(act)[1:])
    assert console.does("carrying") == "Every shelf is at its mark."
    there = {
        row["lot"]: row["amount"]["value"] for row in console.json("on-hand", "--in", "kitchen")
    }
    assert there == {first: "30", middle: "30"}
    assert last not in there


def test_out_of_several_stores_each_is_said_by_itself(console: Console) -> None:
    console.does("food", "add", "oats", "shelf=kitchen", "shelf_par=20 lb")
    barn = console.bring("12 lb", "oats", "--in", "barn", "--on", "2026-10-01")
    room = console.bring("5 lb", "oats", "--in", "back-room", "--on", "2026-10-02")
    said = console.does("carrying")
    assert "back stock lacks 3 lb" in said
    acts = [shlex.split(act) for act in re.findall(r"girnel (carry .*? --to kitchen)", said)]
    assert acts == [
        ["carry", "12 lb", barn, "--from", "barn", "--to", "kitchen"],
        ["carry", "5 lb", room, "--from", "back-room", "--to", "kitchen"],
    ]
    for act in acts:
        console.does(*act)
    assert console.amounts("kitchen") == {("oats", "kitchen"): "12 lb + 5 lb"}


def test_where_the_oldest_there_are_not_just_those_each_is_said_by_itself(console: Console) -> None:
    console.does("food", "add", "tomatoes", "shelf=kitchen", "shelf_par=6 jars")
    jars = ("tomatoes", "--form", "home-canned", "--in", "back-room", "--made")
    first, last = console.bring("5 pt", *jars, "2023-09"), console.bring("9 pt", *jars, "2025-09")
    assert "--oldest" in console.does("carrying")
    console.does("open", "1", first, "--in", "back-room")
    said = console.does("carrying")
    assert "--oldest" not in said
    acts = [shlex.split(act)[:3] for act in re.findall(r"girnel (carry .*? --to kitchen)", said)]
    assert acts == [["carry", "4 jars", first], ["carry", "2 jars", last]]


def test_without_marks_it_is_said_how_to_set_them(console: Console) -> None:
    assert "girnel food set" in console.does("reorder")
    assert "girnel food set" in console.does("carrying")
    assert console.json("reorder") == {"foods": [], "not_understood": []}


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        (("refill=10",), "with its unit"),
        (("refill=10 lb", "par=5 lb"), "par is below refill"),
        (("lead=soon", "refill=10 lb"), "10 days or 2 weeks"),
        (("quiet_until=soon", "refill=10 lb"), "write it like 2026-12-20"),
        (("shelf=nowhere", "shelf_par=4 jars"), "nowhere"),
        (("shelf_par=4 jars",), "no shelf"),
    ],
)
def test_a_mark_that_is_not_understood_is_refused(
    console: Console, facts: tuple[str, ...], says: str
) -> None:
    assert says in console.refuses("food", "add", "salt", *facts)
    console.does(*SALT)
    assert "write all in one unit" in console.refuses("food", "set", "salt", "par=3 jars")


@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_line_is_wider_than_the_terminal(
    console: Console, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    console.does(*SALT, "shelf=kitchen", "shelf_par=5 lb")
    console.bring("8 lb", "salt", "--in", "back-room")
    monkeypatch.setenv("COLUMNS", columns)
    for look in ("reorder", "carrying"):
        console.does(look)
        assert max(len(line) for line in console.out.splitlines()) <= int(columns)


# -- the shelf that food is taken from ------------------------------------------------------------


def test_what_is_taken_comes_off_the_shelf_unless_another_store_is_said(console: Console) -> None:
    console.does("food", "add", "tomatoes", "shelf=kitchen")
    old = console.bring("6 jars", "tomatoes", "--in", "back-room", "--on", "2025-09-01")
    new = console.bring("4 jars", "tomatoes", "--in", "kitchen", "--on", "2026-09-01")
    # the older ones stand in the back room: who says nothing has taken one in the kitchen
    assert console.json("take", "1", "tomatoes")["lot"] == new
    assert console.amounts("kitchen") == {("tomatoes", "kitchen"): "3 jar"}
    assert console.json("take", "1", "tomatoes", "--in", "back-room")["lot"] == old
    # more than stands on the shelf was not taken there
    assert console.json("take", "4", "tomatoes")["lot"] == old
    assert console.amounts("kitchen") == {("tomatoes", "kitchen"): "3 jar"}
    # what is said by its code is that lot, wherever it stands
    assert console.json("take", "1", old)["lot"] == old


def test_a_shelf_that_has_none_sends_nobody_away(console: Console) -> None:
    console.does("food", "add", "tomatoes", "shelf=kitchen")
    old = console.bring("6 jars", "tomatoes", "--in", "back-room", "--on", "2025-09-01")
    told = console.json("take", "1", "tomatoes")
    assert (told["lot"], told["store"], told["concerns"]) == (old, "", [])


def test_nobody_eats_out_of_the_ground_what_was_dug(console: Console) -> None:
    console.bring("80 lb", "parsnips", "--in", "bed-3")
    console.does("dig", "4 lb", "parsnips", "--to", "kitchen")
    assert console.json("take", "3 lb", "parsnips")["store"] == "kitchen"
    assert console.amounts() == {("parsnips", "bed-3"): "76 lb", ("parsnips", "kitchen"): "1 lb"}


# -- a whole store emptied into another -----------------------------------------------------------


def test_all_of_a_store_is_carried_in_one_act(console: Console) -> None:
    console.does("store", "add", "freezer-a", "--kind", "freezer")
    console.does("store", "add", "freezer-d", "--kind", "freezer")
    peas = console.bring("13 bags", "peas", "--form", "frozen", "--in", "freezer-a")
    console.bring("4 kg", "broad beans", "--form", "frozen", "--in", "freezer-a/top")
    console.bring("2 bags", "kale", "--form", "frozen", "--in", "freezer-d")
    console.does("hold", peas, "3", "--in", "freezer-a", "--reason", "thawed once")
    before = console.amounts()
    told = console.json("carry", "all", "everything", "--from", "freezer-a", "--to", "freezer-d")
    assert [one["food"] for one in told["lots"]] == ["broad beans", "peas"]
    assert console.amounts("freezer-a") == {}
    held = [row["amount"]["value"] for row in console.json("on-hand") if row["held"]]
    assert held == ["3"]  # food carries its marks
    assert "freezer-a" in console.does("trail", peas)  # an empty store keeps its story
    console.does("undo")
    assert console.amounts() == before
    console.does("carry", "all", "everything", "--from", "freezer-a", "--to", "freezer-d")
    console.does("carry", "2", "kale", "--from", "freezer-d", "--to", "freezer-a")
    assert console.amounts("freezer-a") == {("kale", "freezer-a"): "2 bag"}  # in use again


def test_everything_is_said_whole(console: Console) -> None:
    console.bring("13 bags", "peas", "--in", "barn")
    to = ("--from", "barn", "--to", "kitchen")
    assert "carried as it stands" in console.refuses("carry", "3", "everything", *to)
    assert "out of which store" in console.refuses("carry", "all", "everything", "--to", "barn")
    assert "knows of nothing in back-room" in console.refuses(
        "carry", "all", "everything", "--from", "back-room", "--to", "kitchen"
    )
