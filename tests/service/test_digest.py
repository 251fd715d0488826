"""The week's work list: what is in it, in what order, and how it is laid out."""

from itertools import pairwise

import pytest
from msgspec.structs import replace

from events.kinds import FoodSet, Held, Ordered, Received, StoreSet
from events.readings.lots import codes_of
from events.tables import load
from service.digests.compose import compose
from service.digests.digest import Care, Digest, Item, Section
from service.digests.render import LINES, WIDTH, text
from tests.build import Household, ms
from tests.tale import amount, day

TABLES = load()
ZONE = "Europe/London"


def house() -> Household:
    home = Household()
    for store, kind in (
        ("kitchen", "kitchen"), ("back-room", "room"), ("barn", "outbuilding"), ("bed", "ground"),
        ("chest", "freezer"), ("cellar", "cellar"),
    ):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def digest(home: Household, at: float) -> Digest:
    return compose(home.book, TABLES, ms(at), ZONE, "Alder Bend")


def section(home: Household, at: float, heading: str) -> list[str]:
    return [
        item.text
        for part in digest(home, at).sections
        if part.heading == heading
        for item in part.items
    ]


def beans(home: Household, jars: int = 12, **said: str) -> str:
    return home.bring_in(jars, "green beans", "back-room", unit="jar", form="home-canned",
                         on="2026-08-14", written=day(20), **said)  # type: ignore[arg-type]  # fmt: skip


def test_an_empty_house_has_three_lines() -> None:
    assert text(digest(Household(), day(9))) == (
        "Alder Bend: the week to Sunday 9 Aug 2026\n"
        "Nothing presses, and nothing is on hand.\n"
        "The log holds 0 records.\n"
    )


def test_a_quiet_week_is_short_and_names_what_comes_first() -> None:
    home = house()
    beans(home)
    said = text(digest(home, day(40)))
    assert said.splitlines()[1].startswith("Nothing presses. First to use: 12 jars green beans")
    assert "Use first\n" not in said
    assert len(said.splitlines()) <= 4
    assert said.endswith("The log holds 7 records.\n")


def test_what_is_far_from_its_best_before_date_is_counted_only() -> None:
    home = house()
    beans(home)
    home.bring_in(10, "potatoes", "kitchen", on="2026-08-20")
    said = text(digest(home, day(25)))
    # 14 Aug 2026 + 182 days
    assert "another keeps until 12 Feb 2027 or longer" in said
    assert [line for line in said.splitlines() if line.startswith("  10 lb potatoes")]


def test_use_first_is_in_order_and_says_why() -> None:
    home = house()
    oats = home.bring_in(25, "rolled oats", "barn", unit="kg", t=day(21))
    lot = beans(home)
    home.open(1, lot, "back-room", t=day(24))
    potatoes = home.bring_in(10, "potatoes", "kitchen", on="2026-08-24", written=day(25))
    parts = digest(home, day(27)).sections
    assert parts[0].heading == "Use first"
    assert [item.lot for item in parts[0].items] == [lot, potatoes, oats]
    opened, dated, by_age = parts[0].items
    assert opened.text.endswith("back-room: open since 24 Aug 2026")
    # 24 Aug + 14 days, + 28 days; it stays the 24th, whatever the offset it was written at
    assert dated.text.endswith("kitchen: best ends 7 to 21 Sep 2026")
    assert dated.why == "2-4 weeks (University of Missouri Extension)"
    assert parts[0].assumed.endswith("no thermometer read of late: kitchen 10 to 21 C assumed")
    assert by_age.text.endswith("barn: here since 21 Aug 2026")
    assert by_age.why == "no published life: by age"


@pytest.mark.parametrize(
    ("at", "words"),
    [
        (day(26), "best ends 7 to 21 Sep 2026"),
        (day(39), "best ends now to 21 Sep 2026"),
        (day(60), "best ended 21 Sep 2026"),
    ],
)
def test_a_life_running_out_is_said_as_a_range(at: float, words: str) -> None:
    home = house()
    home.bring_in(10, "potatoes", "kitchen", on="2026-08-24", written=day(25))
    assert section(home, at, "Use first")[0].endswith(words)


def test_an_open_low_acid_jar_carries_what_to_mind() -> None:
    home = house()
    home.open(1, beans(home), "back-room")
    (item, *_) = digest(home, day(21)).sections[0].items
    assert item.why == "once open, refrigerate, a few days (quoted second-hand from USDA)"


def test_what_still_grows_is_no_work_for_this_week() -> None:
    home = house()
    home.bring_in(8, "parsnips", "bed", unit="row-foot", t=day(2))
    assert section(home, day(9), "Use first") == []
    assert "nothing is on hand" in text(digest(home, day(20)))


# -- go and look -----------------------------------------------------------------------------------


def test_held_food_is_listed_with_its_reason_and_never_offered() -> None:
    home = house()
    lot = beans(home)
    home.hold(lot, "back-room", 2, reason="suspect seal", t=day(21))
    (held,) = section(home, day(22), "Go and look")
    assert held.startswith("2 jars green beans ")
    assert held.endswith(", back-room: held, suspect seal")
    said = digest(home, day(22))
    (item,) = [i for part in said.sections if part.heading == "Go and look" for i in part.items]
    assert (item.why, item.spare) == ("since 21 Aug 2026", True)
    assert said.cautions[0].says.startswith("A low-acid jar that is swollen, leaking or unsealed")
    assert "(USDA)" in said.cautions[0].says
    assert all(" 12 jars" not in line for line in text(said).splitlines())


def test_a_hold_that_may_be_over_comes_first_and_says_so() -> None:
    home = house()
    lot = home.bring_in(50, "wheat", "barn", t=day(2))
    plums = home.bring_in(3, "plums", "back-room", unit="jar", form="home-canned", t=day(3))
    home.hold(plums, reason="suspect seal", t=day(4))
    home.say(Held(lot=lot, programme="pest treatment", until="2026-08-19"), t=day(5))
    before = section(home, day(17), "Go and look")
    assert [line.split(": ")[1] for line in before] == [
        "held, suspect seal",
        "held to 19 Aug 2026, pest treatment",
    ]
    after = section(home, day(20), "Go and look")
    assert after[0].startswith("due: 50 lb wheat ")


def test_an_incident_is_one_line_for_all_the_food_it_befell() -> None:
    home = house()
    home.bring_in(8, "raspberries", "chest", unit="bag", form="frozen", t=day(2))
    home.bring_in(3, "peas", "chest", unit="bag", form="frozen", t=day(2) + 5)
    home.bring_in(2, "peas", "chest", unit="bag", form="frozen", t=day(2) + 6)
    home.incident("chest", "2026-08-10", "2026-08-11", what="power out", t=day(12))
    assert section(home, day(13), "Go and look") == [
        "power out, chest, 10 to 11 Aug 2026: 5 bags peas, 8 bags raspberries"
    ]
    cautions = digest(home, day(13)).cautions
    assert cautions[0].says.startswith("Thawed: what stood above 40 F")
    assert cautions[0].says.endswith("(quoted second-hand from Clemson)")
    assert "before this list" in cautions[-1].says


def test_jars_that_froze_are_to_be_looked_at_seal_by_seal() -> None:
    home = house()
    home.bring_in(8, "plums", "barn", unit="jar", form="home-canned", t=day(2))
    home.incident("barn", "2026-08-10", what="hard frost", t=day(11))
    cautions = digest(home, day(12)).cautions
    assert any("look at every seal. (USDA)" in caution.says for caution in cautions)


def test_what_a_count_of_the_store_did_not_name_is_asked_for() -> None:
    home = house()
    home.bring_in(7, "pears", "cellar", t=day(2))
    home.go_through("cellar", t=day(5))
    (asked,) = section(home, day(6), "Go and look")
    assert asked.startswith("perhaps 7 lb pears ")
    assert asked.endswith("perhaps none: not named when all of it was counted; where now?")


def test_a_strangers_jars_are_to_be_decided_on() -> None:
    home = house()
    home.bring_in(1, "relish", "back-room", unit="jar", form="home-canned", origin="gift")
    (item,) = digest(home, day(2)).sections[0].items
    assert item.text.endswith("unknown making; decide")
    assert item.why == (
        "no known tested process counts as unsafe: never taste "
        "(quoted second-hand from the University of Georgia)"
    )


def test_the_jars_beside_one_that_failed_are_to_be_looked_at_until_somebody_did() -> None:
    home = house()
    lot = beans(home, 7)
    home.spoil(1, lot, "back-room", cause="seal failed", t=day(22))
    (asked,) = section(home, day(60), "Go and look")
    assert asked.startswith("6 jars green beans ")
    assert asked.endswith(", back-room: a seal failed, look at each")
    home.look(lot, "back-room", seen=6, sound=6, t=day(61))
    assert section(home, day(62), "Go and look") == []


def test_a_caution_is_said_when_its_mark_is_new_or_comes_due() -> None:
    home = house()
    home.bring_in(8, "raspberries", "chest", unit="bag", form="frozen", t=day(2))
    home.incident("chest", "2026-08-10", what="power out", t=day(11))
    assert digest(home, day(13)).cautions
    assert digest(home, day(25)).cautions == ()
    assert section(home, day(25), "Go and look") == [
        "power out, chest, 10 Aug 2026: 8 bags raspberries"
    ]
    lot = beans(home)
    home.say(Held(lot=lot, reason="lid is up", until="2026-09-20"), t=day(25))
    assert digest(home, day(27)).cautions
    assert digest(home, day(40)).cautions == ()
    assert digest(home, day(54)).cautions  # due on 20 Sep, the 51st day


# -- dig and carry -------------------------------------------------------------------------------


def test_a_shelf_below_its_mark_is_filled_with_the_oldest_first() -> None:
    home = house()
    marks = {"shelf": "kitchen", "shelf_refill": "2 jars", "shelf_par": "8 jars"}
    home.say(FoodSet(food="green beans", facts=marks))
    assert section(home, day(3), "Dig and carry") == []
    new = beans(home, 9)
    old = home.bring_in(5, "green beans", "barn", unit="jar", form="home-canned", on="2025-08-14",
                        written=day(21))  # fmt: skip
    here = home.bring_in(1, "green beans", "kitchen", unit="jar", form="home-canned", t=day(22))
    (part,) = [part for part in digest(home, day(24)).sections if part.heading == "Dig and carry"]
    (one,) = part.items
    codes = codes_of(home.book)
    # 8 - 1 = 7: all five of last year's, and two of this
    assert one.text == (
        f"green beans to kitchen: 5 jars {codes[old]}, barn, 2 jars {codes[new]}, back-room"
    )
    assert one.why == "1 jar there, up to 8 jars"
    home.eat(1, here, "kitchen", t=day(25))
    home.eat(9, new, "back-room", t=day(26))
    (part,) = [part for part in digest(home, day(27)).sections if part.heading == "Dig and carry"]
    assert part.items[0].why == "none there, up to 8 jars, 3 jars short"
    home.spoil(1, old, "barn", cause="seal failed", t=day(28))
    (part,) = [part for part in digest(home, day(29)).sections if part.heading == "Dig and carry"]
    assert part.items[0].why.endswith(f"4 jars short; look at {codes[old]} first")


# -- get -------------------------------------------------------------------------------------------


def test_what_is_below_its_mark_is_to_be_got_in_packs_and_says_why() -> None:
    home = house()
    marks = {"refill": "10 lb", "par": "40 lb", "pack": "25 lb", "lead": "5 days"}
    home.say(FoodSet(food="bread flour", facts=marks))
    flour = home.bring_in(30, "bread flour", "kitchen", t=day(2))
    assert section(home, day(4), "Get") == []
    home.eat(23, flour, "kitchen", t=day(5))
    (part,) = [part for part in digest(home, day(6)).sections if part.heading == "Get"]
    (one,) = part.items
    # 40 - 7 = 33: two packs of 25; five days after 6 Aug
    assert one.text == "50 lb (2 packs of 25 lb) bread flour: now, here by 11 Aug 2026"
    assert one.why == "7 lb there, low below 10 lb"
    home.say(Ordered(food="bread flour", amount=amount(50, "lb"), due="2026-08-11"), t=day(7))
    assert section(home, day(8), "Get") == ["50 lb bread flour: due 11 Aug 2026"]


def test_what_was_ordered_is_told_when_it_comes_due_and_asked_after_when_it_has_not_come() -> None:
    home = house()
    wheat = Ordered(food="wheat berries", amount=amount(50, "kg"), supplier="the mill",
                    due="2026-08-20")  # fmt: skip
    order = home.say(wheat, t=day(2))
    home.say(Ordered(food="salt", amount=amount(10, "kg")), t=day(3))
    assert section(home, day(4), "Get") == []
    assert section(home, day(9), "Get") == ["50 kg wheat berries from the mill: due 20 Aug 2026"]
    (part,) = [part for part in digest(home, day(9)).sections if part.heading == "Get"]
    assert part.rest == "1 more on order"
    assert section(home, day(22), "Get") == [
        "50 kg wheat berries from the mill: was due 20 Aug 2026 and has not come: ask"
    ]
    came = Received(food="wheat berries", amount=amount(20, "kg"), store="barn", answers=order)
    home.say(came, t=day(23))
    assert section(home, day(24), "Get")[0].startswith("30 kg wheat berries from the mill: was due")
    home.say(replace(came, amount=amount(30, "kg")), t=day(25))
    assert section(home, day(26), "Get") == []


# -- what does not add up --------------------------------------------------------------------------


def test_concerns_are_told_newest_first_a_sentence_each() -> None:
    home = house()
    lot = beans(home)
    home.count(9, lot, "back-room", t=day(22))
    home.eat(1, home.bring_in(2, "plums", "kitchen", t=day(23)), "cellar", t=day(25))
    found = section(home, day(26), "What does not add up")
    assert len(found) == len(home.book.concerns()) == 2
    assert found[0].startswith("plums (")
    assert "a count in back-room found 3 jars less" in found[1]
    assert all(line.endswith(".") and ". " not in line for line in found)


# -- cautions --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("food", "form", "unit", "cause", "words"),
    [
        ("green beans", "home-canned", "jar", "seal failed", "A low-acid jar"),
        ("tomatoes", "home-canned", "jar", "seal failed", "A tomato jar"),
        ("relish", "home-canned", "jar", "seal failed", "A jar of unknown acid"),
        ("plums", "home-canned", "jar", "seal failed", "A jar with a lifted lid"),
        ("peas", "tinned", "tin", "seal failed", "A tin with a swollen end"),
        ("potatoes", None, "lb", "sprouted", "Throw out potatoes that are shrivelled"),
        ("walnuts", None, "lb", "mould", "Mould on stored nuts"),
        ("plum jam", None, "pot", "mould", "Jam with mould on it"),
        ("apples", "dried", "lb", "mould", "Dried food with mould"),
        ("cabbage", None, "head", "mould", "Mould: throw out what is soft"),
        ("lentils", "cooked", "lb", "mould", "Mould on cooked grain"),
        ("cheddar", None, "lb", "mould", "Mould on hard cheese"),
        ("wholemeal flour", None, "lb", "rancid", "Whole-grain flour turns"),
        ("hazelnuts", None, "lb", "rancid", "Nuts that taste sharp"),
        ("brown rice", None, "lb", "rancid", "Brown rice that smells"),
        ("lard", None, "lb", "rancid", "Throw out what smells"),
        ("sunflower oil", None, "bottle", "rancid", "Fresh oil has almost no smell"),
        ("apples", None, "lb", "rot", "Whatever decays"),
    ],
)
def test_a_loss_that_can_hurt_brings_its_caution(
    food: str, form: str | None, unit: str, cause: str, words: str
) -> None:
    home = house()
    lot = home.bring_in(9, food, "back-room", unit=unit, form=form, t=day(2))
    home.spoil(1, lot, "back-room", cause=cause, t=day(5))  # type: ignore[arg-type]
    assert digest(home, day(6)).cautions[0].says.startswith(words)
    assert digest(home, day(20)).cautions == ()


# -- how it is laid out ----------------------------------------------------------------------------


def item(number: int, why: str = "") -> Item:
    return Item(text=f"thing {number}", why=why)


def made(*sections: Section, cautions: tuple[Care, ...] = ()) -> Digest:
    return Digest(title="The week", sections=sections, cautions=cautions, quiet="", closing="End.")


def test_what_has_no_room_is_counted_the_longest_section_gives_up_first() -> None:
    long = Section(heading="Long", items=tuple(item(n, "why " * 16) for n in range(30)))
    short = Section(heading="Short", items=(item(1), item(2), item(3)))
    figures = Section(heading="Figures", items=tuple(item(n) for n in range(12)), least=99)
    lines = text(made(long, short, figures)).splitlines()
    assert len(lines) <= LINES
    shown = lines.index("Short") - lines.index("Long") - 3
    assert shown % 2 == 0
    assert f"  and {30 - shown // 2} more" in lines
    assert [line for line in lines if line == "  thing 3"]
    assert lines[lines.index("Figures") + 1 :][:12] == [f"  thing {n}" for n in range(12)]


def test_blank_lines_stand_between_sections_where_there_is_room() -> None:
    few = Section(heading="Few", items=(item(1, "why"), item(2)))
    assert text(made(few, few)).splitlines() == [
        "The week", "", "Few", "  thing 1; why", "  thing 2", "",
        "Few", "  thing 1; why", "  thing 2", "", "End.",
    ]  # fmt: skip


def test_what_it_rests_on_is_told_in_full_where_it_fits_else_in_fewer_words() -> None:
    def laid(why: str, width: int) -> list[str]:
        one = Item(text="3 heads garlic", why=why, brief="months (A)")
        part = Section(heading="First", items=(one,))
        return text(made(part), width).splitlines()[3:-2]

    assert laid("some months (A)", 40) == ["  3 heads garlic; some months (A)"]
    assert laid("some months, less if warmer (A)", 40) == ["  3 heads garlic; months (A)"]
    assert laid("some months (A)", 20) == ["  3 heads garlic", "    some months (A)"]


def test_what_was_told_before_is_counted_only() -> None:
    old = Item(text="an old thing", before=True)
    part = Section(heading="Doubts", items=(item(1), old, old), rest="the look says more")
    assert text(made(part)).splitlines()[3:-2] == [
        "  thing 1",
        "  and 2 more; the look says more",
    ]
    part = Section(heading="Doubts", items=(old, old), rest="the look says more")
    assert text(made(part)).splitlines()[3:-2] == ["  2 from earlier weeks; the look says more"]


def test_cautions_are_never_cut() -> None:
    whole = tuple(f"Caution {n}: " + "mind it well " * 12 for n in range(9))
    care = tuple(Care(about="all", says="in full", brief=brief) for brief in whole)
    full = [Section(heading=f"H{n}", items=tuple(item(k) for k in range(40))) for n in range(4)]
    said = text(made(*full, cautions=care))
    words = " ".join(said.split())
    assert all(" ".join(caution.split()) in words for caution in whole)


def test_no_line_is_wider_than_it_may_be() -> None:
    home = house()
    home.say(FoodSet(food="beans", facts={"other_names": "green beans"}))
    lot = beans(home)
    home.open(1, lot, "back-room", t=day(21))
    home.hold(lot, "back-room", 2, reason="a lid that sprang back when it was pressed", t=day(22))
    home.count(3, lot, "back-room", t=day(23))
    home.spoil(1, lot, "back-room", cause="seal failed", t=day(24))
    for width in (40, WIDTH, 100):
        assert max(map(len, text(digest(home, day(25)), width).splitlines())) <= width
    lines = text(digest(home, day(25))).splitlines()
    assert not [pair for pair in pairwise(lines) if pair == ("", "")]


def test_the_same_book_and_day_give_the_same_text() -> None:
    home, other = house(), house()
    for one in (home, other):
        one.open(1, beans(one), "back-room")
    assert text(digest(home, day(22))) == text(digest(other, day(22)))


def test_dates_are_those_of_the_households_zone() -> None:
    home = house()
    # 23:30 UTC on the 24th is half past midnight on the 25th in a British summer
    home.bring_in(10, "potatoes", "kitchen", t=day(24) + 15.5 * 60)
    assert "best ends 8 to 22 Sep 2026" in section(home, day(26), "Use first")[0]
    there = compose(home.book, TABLES, ms(day(26)), "America/Chicago")
    assert "best ends 7 to 21 Sep 2026" in there.sections[0].items[0].text
    assert there.title == "The week to Wednesday 26 Aug 2026"


def test_clocks_that_change_shorten_no_life() -> None:
    home = house()
    home.bring_in(6, "peas", "chest", unit="bag", form="frozen", on="2026-08-20",
                  written=day(22), offset=60)  # fmt: skip
    # 20 Aug + 244 days is 21 Apr, in summer time again; a winter lies between
    home.bring_in(6, "oatmeal", "kitchen", on="2026-08-21", offset=60, written=day(23))
    # 21 Aug + 129 days is 28 Dec, in winter time
    assert section(home, day(100), "Use first")[0].endswith("best ends 28 Dec 2026 to 20 Feb 2027")
    oats, peas = section(home, day(250), "Use first")
    assert oats.endswith("best ended 20 Feb 2027")
    assert peas.endswith("best ends 21 Apr to 20 Aug 2027")
