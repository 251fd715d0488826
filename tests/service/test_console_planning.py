"""What to use first, as a person meets it."""

import pytest

from tests.console import Console

TINS = ("6 tins", "chickpeas", "--form", "canned", "--origin", "bought", "--in", "back-room")


@pytest.fixture
def console(lane: Console) -> Console:
    return lane


def test_first_to_go_first_not_first_in(console: Console) -> None:
    console.bring("5 squash", "hubbard squash", "--in", "kitchen", "--on", "2026-09-15")
    console.bring("5 squash", "butternut squash", "--in", "kitchen", "--on", "2026-09-20")
    console.bring("5 squash", "acorn squash", "--in", "kitchen", "--on", "2026-10-10")
    order = console.json("rotation")["order"]
    # acorn 35 to 56 days, butternut 61 to 91, hubbard 152 to 183
    assert [(use["food"], use["from"], use["to"]) for use in order] == [
        ("acorn squash", "2026-11-14", "2026-12-05"),
        ("butternut squash", "2026-11-20", "2026-12-20"),
        ("hubbard squash", "2027-02-14", "2027-03-17"),
    ]
    assert order[0]["likely"] == "2026-11-24"
    # 42 to 43 days are gone on 22 Nov, as the day of bringing in is not told by the hour
    assert order[0]["used_percent"]["least"] == 75
    assert order[0]["used_percent"]["most"] == 124
    assert order[0]["source"] == "isu_squash"
    said = console.does("rotation")
    assert "75-124 % used from 14 Nov 2026, likely 24 Nov 2026, to 5 Dec 2026; 5-8 weeks" in said
    assert said.index("acorn") < said.index("butternut") < said.index("hubbard")
    assert "Iowa State University Extension" in said
    assert "[isu_squash]" not in said
    assert "l likely (the middle, where no likely is published)" in said
    why = console.does("rotation", "--why")
    assert "[isu_squash]" in why
    assert why.count("Likely is the middle of its range: none is published.") == 3


def test_what_is_left_out_is_said_apart(console: Console) -> None:
    held = console.bring("5 lb", "carrots", "--in", "kitchen")
    aside = console.bring("5 lb", "potatoes", "--in", "kitchen")
    doubt = console.bring("5 lb", "beets", "--in", "barn")
    nameless = console.bring("1 qt", "unknown", "--form", "home-canned", "--in", "back-room")
    left = console.bring("5 lb", "onions", "--in", "kitchen")
    theirs = console.bring("5 lb", "turnips", "--in", "kitchen", "--owner", "next door")
    console.does("hold", held, "--reason", "frosted")
    console.does("set-aside", aside, "--for", "seed")
    console.does("count", "--store", "barn")
    found = console.json("rotation")
    apart = {key: [one["lot"] for one in found[key]] for key in found}
    assert apart == {
        "order": [left], "past_use_by": [], "in_doubt": [doubt], "undecided": [nameless],
        "held": [held], "set_aside": [aside], "others": [theirs], "untouched": [],
        "to_look_at": [],
    }  # fmt: skip
    said = console.does("rotation")
    assert "In doubt: not in the order until somebody looks" in said
    assert "Left out: 1 held, 1 set aside and 1 of somebody else" in said


def test_dates_that_makers_print(console: Console) -> None:
    over = console.bring(*TINS, "--printed", "use by 3 Nov 2026")
    soon = console.bring(*TINS, "--printed", "BB 5 Dec 2026")
    code = console.bring(*TINS, "--printed", "36511", "--printed-kind", "code")
    found = console.json("rotation")
    assert [use["lot"] for use in found["order"]] == [soon, code]
    assert [use["lot"] for use in found["past_use_by"]] == [over]
    assert found["order"][0]["rests_on"] == "maker"
    assert (found["order"][0]["from"], found["order"][0]["to"]) == ("2026-12-05", "2026-12-05")
    assert found["order"][1]["rests_on"] == "published"
    assert found["order"][1]["printed"] == {"as": "36511", "kind": "code", "date": None}
    said = console.does("rotation", "--why")
    assert "Past the maker's use-by: not offered, yours to decide" in said
    assert "The maker's code 36511 is no date until you say how to read it." in said
    assert "best by 5 Dec 2026" in console.does("digest")
    assert "use by 3 Nov 2026 is past, not offered; decide" in console.does("digest")
    console.does("amend", code, "printed=2026-11-30", "printed_kind=best by")
    assert [use["lot"] for use in console.json("rotation")["order"]] == [code, soon]


def test_one_store_and_another_day(console: Console) -> None:
    console.bring("5 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-01")
    console.bring("5 lb", "onions", "--in", "barn", "--on", "2026-11-10")
    order = console.json("rotation", "--in", "barn")["order"]
    assert [use["food"] for use in order] == ["onions"]
    order = console.json("rotation", "--on", "2026-11-05")["order"]
    assert [(use["food"], use["used_percent"]["most"]) for use in order] == [("potatoes", 35)]
    assert console.does("rotation", "--in", "bed-3") == "Nothing is there to use in bed-3."


def test_a_household_may_choose_its_source(console: Console) -> None:
    console.bring("5 lb", "potatoes", "--in", "kitchen", "--on", "2026-11-01")
    assert console.json("rotation")["order"][0]["from"] == "2026-11-15"
    console.does("food", "set", "potatoes", "source=isu_winter")
    assert console.json("rotation")["order"][0]["from"] == "2027-01-01"
    assert "no source known here" in console.refuses("food", "set", "potatoes", "source=hearsay")
    assert "not read at its source" in console.refuses("food", "set", "potatoes", "source=memory")


@pytest.mark.parametrize("columns", ["30", "40", "60", "80"])
def test_no_line_is_wider_than_the_terminal(
    console: Console, monkeypatch: pytest.MonkeyPatch, columns: str
) -> None:
    console.bring("5 squash", "acorn squash", "--in", "kitchen", "--on", "2026-10-10")
    console.bring("25 kg", "rolled oats", "--in", "barn")
    monkeypatch.setenv("COLUMNS", columns)
    console.does("rotation", "--why")
    assert max(len(line) for line in console.out.splitlines()) <= int(columns)


def test_what_nobody_used_for_a_year_is_told_beside_the_order(console: Console) -> None:
    relish = console.bring("15 pt", "zucchini relish", "--form", "home-canned", "--in", "back-room",
                           "--on", "2025-06-01")  # fmt: skip
    console.bring("5 lb", "onions", "--in", "kitchen", "--on", "2026-11-01")
    console.does("count", "15", relish, "--in", "back-room", "--on", "2026-06-01")
    (one,) = console.json("rotation")["untouched"]
    assert one == {
        "food": "zucchini relish", "amount": {"value": "15", "unit": "jar"}, "lots": [relish],
        "stores": ["back-room"], "since": "2025-06-01", "seen": "2026-06-01",
    }  # fmt: skip
    said = console.does("rotation")
    assert "None used for a year: use it, give it, or make no more" in said
    assert (
        f"15 jars zucchini relish {relish}, back-room: none since 1 Jun 2025, seen 1 Jun 2026"
        in said
    )
    assert console.json("rotation", "--in", "kitchen")["untouched"] == []
    console.does("take", "1", relish, "--in", "back-room", "--on", "2026-11-01")
    assert console.json("rotation")["untouched"] == []


def test_frost_where_it_stands_is_told_without_being_asked_why(console: Console) -> None:
    console.bring("40 lb", "apples", "--in", "barn", "--on", "2026-11-01")
    assert "freezes" not in console.does("rotation")
    console.does("reading", "-8 C", "--in", "barn", "--on", "2026-11-20")
    # Handbook 66, 1968: the highest freezing point of apples, -1.5 C
    said = "Down to -8 C (18 F): freezes at -1 C (29 F) (USDA)"
    assert said in console.does("rotation")
    assert console.does("rotation", "--why").count(said) == 1


def test_what_was_packed_anew_says_from_what(console: Console) -> None:
    sack = console.bring("50 lb", "wheat", "--in", "barn", "--on", "2026-09-01")
    console.does("repack", "25 lb", "25 lb", "--of", f"{sack}=50 lb in barn", "--in", "back-room")
    said = console.does("rotation")
    assert f"since 1 Sep 2026, packed anew from {sack}; no published life: by age" in said
    told = console.json("rotation")["order"]
    assert {(one["since"], one["packed_from"]) for one in told} == {("2026-09-01", sack)}
