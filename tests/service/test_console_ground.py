"""What is in the ground, as a person meets it at the console."""

import pytest

from tests.console import Console

BRINGING = (
    ("30-50 lb", "carrots", "--in", "bed-3", "--beside", "40 ft", "--on", "2026-09-20"),
    ("about 60 lb", "parsnips", "--in", "bed-3", "--on", "2026-09-20"),
)
SITE = ("store", "set", "bed-3", "soil_months=mitchell-nebraska")


def test_a_bed_without_normals_has_no_dates_and_says_how_to_have_some(lane: Console) -> None:
    said = lane.does("ground")
    assert "no day to dig by: nothing is known of the temperature of its soil" in said
    assert 'girnel store set BED soil_months="1 1 3 7 12 16 18 17 14 9 5 2 C at 10 cm"' in said
    lane.does("store", "set", "bed-3", "soil_months=1 1 3 7 12 16 18 17 14 9 5 2 C at 10 cm")
    assert "dig by" in lane.does("ground")


def test_by_when_and_why(lane: Console) -> None:
    lane.does(*SITE)
    said = lane.does("ground", "bed-3")
    assert "bed-3: 2.5 °C (37 °F) at 10 cm, 2.0 to 3.1; can be dug" in said
    assert (
        "dig by 2 to 8 Dec 2026, likely 5 Dec 2026: hard frost (0 °C; Ask Extension, Minnesota)"
        in said
    )
    assert "and then 29 Mar to 13 Apr 2027, likely 5 Apr 2027: new growth" in said
    assert "it knows no weather, wet or mice" in said
    lots = lane.json("ground", "--of", "parsnips")["beds"][0]["lots"]
    assert [(lot["food"], [end["what"] for end in lot["ends"]]) for lot in lots] == [
        ("parsnips", ["new growth"])
    ]
    assert lots[0]["ends"][0] == {
        "what": "new growth", "from": "2027-03-29", "likely": "2027-04-05", "to": "2027-04-13",
        "celsius": [4.4, 7.2], "measured_in": ["store"], "sources": ["aib410_root"],
    }  # fmt: skip


def test_frozen_ground_is_not_food_now(lane: Console) -> None:
    lane.does(*SITE)
    lane.now("2027-01-20T10:00:00+00:00")
    said = lane.does("ground")
    assert "cannot be dug now: not food now" in said
    assert "6 weeks since it stands there in which the ground could not be dug" in said
    bed = lane.json("ground", "--on", "2026-11-01")["beds"][0]
    assert (bed["diggable"], bed["soil"]["site"]) == ("yes", "mitchell-nebraska")


def test_the_other_looks_say_so_too(lane: Console) -> None:
    lane.does(*SITE)
    assert "not food now" not in lane.does("on-hand") + lane.does("have", "parsnips")
    lane.now("2027-01-20T10:00:00+00:00")
    words = "frozen until 8 to 11 Mar 2027: not food now"
    assert words in lane.does("on-hand")
    assert words in lane.does("have", "parsnips")
    assert "about 60 (51-69) lb in the ground, not to be counted on now" in lane.does(
        "have", "parsnips"
    )
    assert f"in the ground; {words}" in lane.does("rotation")
    rows = {row["food"]: row["in_ground"] for row in lane.json("on-hand")
            if row["store"] == "bed-3"}  # fmt: skip
    assert rows == {"carrots": words, "parsnips": words}
    told = [one for one in lane.json("rotation")["order"] if one["food"] == "parsnips"]
    assert [one["in_ground"] for one in told] == [words]


def test_a_row_by_length_from_end_to_hollow_end(lane: Console) -> None:
    lane.does("dig", "9 lb", "carrots", "--to", "barn", "--beside", "8 ft", "--on", "2026-10-20")
    lane.does("dig", "8 lb", "carrots", "--to", "barn", "--beside", "8 feet", "--on", "2026-11-05")
    told = lane.does("toss", "12 ft", "carrots", "--in", "bed-3", "--cause", "pests")
    assert "about 12 (9-15) lb thrown out of bed-3 (pests)" in told
    said = lane.does("ground", "--of", "carrots")
    assert (
        "16 of 40 ft dug gave 17 lb, 12 ft lost (pests); 12 ft left: by length about 12 3/4" in said
    )
    (lot,) = lane.json("ground", "--of", "carrots")["beds"][0]["lots"]
    rows = lot["rows"]
    assert (rows["whole"], rows["dug"], rows["lost"], rows["left"]) == ("40", "16", "12", "12")
    assert rows["left_by_length"]["value"] == "12.75"
    lane.does("count", "12-13 1/2 lb", "carrots", "--in", "bed-3", "--beside", "12 ft")
    assert "0 of 12 ft dug; 12 ft left: by length" in lane.does("ground", "--of", "carrots")


def test_a_length_of_food_that_was_never_measured_makes_nothing_up(lane: Console) -> None:
    lane.does("toss", "5 ft", "parsnips", "--in", "bed-3", "--cause", "pests")
    amounts = {lot["food"]: lot for lot in lane.json("ground")["beds"][0]["lots"]}
    assert amounts["parsnips"]["offered"]["value"] == "60"
    assert amounts["parsnips"]["rows"] is None


def test_loads_a_week_give_the_days_to_dig_on(lane: Console) -> None:
    lane.does(*SITE)
    plan = ("ground", "bed-3", "--of", "parsnips", "--load", "17.5 lb", "--loads-a-week", "2")
    said = lane.does(*plan)
    assert "4 loads of 17 1/2 lb, 2 a week:" in said
    assert "dig 25 lb on 21 Mar 2027 (2)" in said
    assert "dig 35 lb on 28 Mar 2027 (2)" in said
    (lot,) = lane.json(*plan)["beds"][0]["lots"]
    assert lot["digging"]["by"] == "2027-03-29"
    assert [day["day"] for day in lot["digging"]["days"]] == ["2027-03-21", "2027-03-28"]
    assert "--load (how much one takes) and --loads-a-week together" in lane.refuses(
        "ground", "--load", "7 lb"
    )
    assert "A load in jar is no amount of" in lane.refuses(
        "ground", "--load", "7 jars", "--loads-a-week", "2"
    )
    for odd in ("0", "-1", "many", "9999"):
        assert "is no number of loads" in lane.refuses(
            "ground", "--load", "7 lb", "--loads-a-week", odd
        )


def test_seed_that_stays_back_goes_into_no_load(lane: Console) -> None:
    lane.does(*SITE)
    lane.does("dig", "8 lb", "carrots", "--to", "barn", "--beside", "8 ft", "--on", "2026-11-01")
    plan = ("ground", "bed-3", "--of", "carrots", "--load", "10 lb", "--loads-a-week", "4")
    # a pound a foot over the 32 ft left; the books have 22 to 42 lb
    assert "4 loads of 10 lb" in lane.does(*plan)
    lane.does("set-aside", "carrots", "15 lb", "--in", "bed-3", "--for", "seed")
    said = lane.does(*plan)
    assert "2 loads of 10 lb" in said
    assert "dig 17 lb on 1 Dec 2026 (2)" in said


def test_potatoes_are_told_with_practice_and_caution(lane: Console) -> None:
    assert "about April" not in lane.does("ground")
    lane.bring("about 90 lb", "potatoes", "--in", "bed-3", "--on", "2026-10-01")
    said = lane.does("ground")
    assert "Common practice, no source read: potatoes left under straw" in said
    assert "Throw out potatoes that are shrivelled, green or full of sprouts." in said


@pytest.mark.parametrize(
    "fact",
    ["soil_months=1 2 3", "soil=snow", "mulch_share=lots", "root_depth=deep", "closed_from=frost"],
)
def test_soil_that_cannot_be_read_is_refused(lane: Console, fact: str) -> None:
    assert fact.split("=")[1].split()[0] in lane.refuses("store", "set", "bed-3", fact)


def test_what_is_no_bed_is_said(lane: Console) -> None:
    assert "barn is no bed: girnel store set barn kind=ground" in lane.refuses("ground", "barn")
    assert 'No food here is called "quinces"' in lane.refuses("ground", "--of", "quinces")
    assert "No store here" in lane.refuses("ground", "attic")


def test_an_empty_household_is_told_how_to_have_a_bed(lane: Console) -> None:
    for lot in ("carrots", "parsnips"):
        lane.does("dig", "rest", lot, "--to", "barn")
    assert "Nothing is in the ground" in lane.does("ground")


def test_the_week_says_what_to_dig_when_it_presses_and_not_before(lane: Console) -> None:
    assert "Dig and carry" not in lane.does("digest")  # nothing is known of the soil
    lane.does(*SITE)
    said = lane.does("digest")
    assert "lb carrots" in said
    assert "bed-3: dig by 2 to 8 Dec 2026" in said
    assert "parsnips" not in said.split("Dig and carry")[1].split("Last week")[0]
    lane.does("dig", "rest", "carrots", "--to", "barn")
    assert "Dig and carry" not in lane.does("digest")
    lane.now("2027-03-03T10:00:00+00:00")
    assert "frozen, not food now; dig at the thaw" in lane.does("digest")
    lane.now("2027-03-14T10:00:00+00:00")
    assert "bed-3: thawed, dig by 29 Mar to 13 Apr 2027" in lane.does("digest")
    lane.now("2027-04-25T10:00:00+00:00")
    assert "bed-3: dig now" in lane.does("digest")


def test_potatoes_to_be_dug_call_for_their_caution_in_the_week(lane: Console) -> None:
    lane.does(*SITE)
    lane.bring("about 90 lb", "potatoes", "--in", "bed-3", "--on", "2026-10-01")
    lane.now("2027-03-20T10:00:00+00:00")
    assert "Potatoes green or full of sprouts: out" in lane.does("digest")


def test_seed_kept_back_says_when_to_plant_and_where_it_lives_longest(lane: Console) -> None:
    lane.does(*SITE)
    lane.does("store", "add", "cellar", "--kind", "cellar", "climate=45 F")
    lane.bring("40 lb", "potatoes", "--in", "barn", "--on", "2026-10-01")
    lane.bring("5 lb", "peas", "--form", "dry-staple", "--in", "kitchen", "--on", "2026-10-01")
    lane.does("set-aside", "potatoes", "10 lb", "--for", "seed for spring")
    assert lane.json("ground", "--of", "peas")["seed"] == []
    lane.does("set-aside", "peas", "1 lb", "--for", "to plant")
    lane.does("set-aside", "carrots", "5 lb", "--for", "midwinter")
    said = lane.does("ground").split("Kept back as seed")[1]
    assert "10 lb potatoes, barn" in said
    assert "bed-3 is warm enough 9 to 13 Apr 2027 (7.2 °C; Colorado State University" in said
    assert "1 lb peas, kitchen" in said
    assert "in cellar it lives 2.3 times as long, as dry as now (Ellis and Roberts 1980)" in said
    assert "carrots" not in said
    peas, potatoes = lane.json("ground")["seed"]
    assert (peas["food"], peas["longer"]) == ("peas", [{"store": "cellar", "times": 2.3}])
    assert potatoes["longer"] == []  # tubers are no dry seed
    lane.now("2027-04-20T10:00:00+00:00")
    assert "bed-3 is warm enough 20 Apr 2027" in lane.does("ground")
    lane.now("2027-10-01T10:00:00+00:00")
    assert "bed-3 is warm enough 8 to 12 Apr 2028" in lane.does("ground")


def test_the_count_that_is_suggested_can_be_typed_as_it_stands(lane: Console) -> None:
    lane.does("store", "add", "bed-4", "--kind", "ground")
    lane.does("store", "set", "bed-4", "soil_months=mitchell-nebraska")
    code = lane.bring("80 lb", "parsnips", "--in", "bed-4", "--beside", "40 ft",
                      "--on", "2026-10-01")  # fmt: skip
    for on in ("2026-11-18", "2026-11-19", "2026-11-20"):
        lane.does("dig", "4 lb", code, "--to", "kitchen", "--beside", "2 ft", "--on", on)
    lane.does("take", "6 lb", code, "--in", "bed-4", "--on", "2026-11-21")
    # 34 of 40 ft are left, at 2 lb a foot: 68 lb, where the books have 80 - 12 - 6 = 62
    said = lane.does("ground", "bed-4")
    assert f'Right as measured? girnel count "68 lb" {code} --in bed-4' in said
    lane.does("count", "68 lb", code, "--in", "bed-4")
    assert "Right as measured?" not in lane.does("ground", "bed-4")
