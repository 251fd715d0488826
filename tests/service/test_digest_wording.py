"""How the week's list says what really happens in a house, in a household of its own.

Reserves eaten, jars without a label, a lid that popped in February, marks from a sheet of paper,
mice; and one answer over several freezers to "do we have any?".
"""

from datetime import UTC
from pathlib import Path

import msgspec
import pytest

from events.kinds import FoodSet, Held, Package, Received, SetAside, StoreSet
from events.readings import have
from events.readings.lots import codes_of
from events.tables import load
from service.digests.compose import compose
from service.digests.digest import Digest
from service.digests.render import text
from tests.build import Household, ms
from tests.console import household
from tests.tale import amount, day

TABLES = load()


def cottage() -> Household:
    """Fen Cottage: a kitchen, a pantry, a cellar, a shed, and three freezers."""
    home = Household()
    for store, kind in (
        ("kitchen", "kitchen"), ("pantry", "room"), ("cellar", "cellar"), ("shed", "outbuilding"),
        ("upright", "freezer"), ("garage-chest", "freezer"), ("shed-chest", "freezer"),
    ):  # fmt: skip
        home.say(StoreSet(store=store, facts={"kind": kind}))
    return home


def week(home: Household, at: float) -> Digest:
    return compose(home.book, TABLES, ms(at), "Europe/London", "Fen Cottage")


def under(home: Household, at: float, heading: str) -> list[str]:
    return [
        item.text
        for part in week(home, at).sections
        if part.heading == heading
        for item in part.items
        if not item.before
    ]


def test_kept_for_midwinter_and_eaten_all_the_same() -> None:
    home = cottage()
    cherries = home.bring_in(3, "sour cherries", "pantry", unit="jar", form="home-canned", t=day(2))
    kept = SetAside(lot=cherries, amount=amount(2, "jar"), store="pantry", purpose="midwinter")
    home.say(kept, t=day(3))
    home.count(1, cherries, "pantry", t=day(20))  # 3 were there: 2 less, 1 of them set aside
    told = [line for line in under(home, day(22), "What does not add up") if "set aside" in line]
    assert len(told) == 1
    assert "1 jar set aside went another way in pantry; 1 jar left." in told[0]
    whole = msgspec.to_builtins(week(home, day(22)))["sections"]
    (more,) = [
        item["more"] for part in whole for item in part["items"] if "set aside went" in item["text"]
    ]
    assert "someone" in more or "somebody" in more
    # a week later it still stands, and is not told again
    assert under(home, day(29), "What does not add up") == []
    assert "2 from earlier weeks" in text(week(home, day(29)))


def test_do_we_have_any_thighs() -> None:
    home = cottage()
    home.say(FoodSet(food="chicken thighs", facts={"other_names": "thighs, chkn; thighs"}))
    home.bring_in(5, "chicken thighs", "upright", unit="piece", form="frozen", t=day(2))
    home.bring_in(26, "thighs, chkn", "garage-chest", unit="piece", form="frozen", t=day(3))
    home.say(
        Received(food="thighs", amount=amount(2, "package"), store="shed-chest", form="frozen",
                 package=Package(vessel="package")),
        t=day(4),
    )  # fmt: skip
    lines = have.sentences(have.answer(home.book, "thighs"), UTC)
    assert lines[0].startswith("chicken thighs: ")
    assert "31 pieces" in lines[0]
    assert "2 packages" in lines[0]
    assert [line.split(":")[0].strip() for line in lines[1:]] == [
        "garage-chest",
        "shed-chest",
        "upright",
    ]


def test_one_food_in_the_words_of_several_freezers() -> None:
    home = cottage()
    home.bring_in(7, "beet puree", "garage-chest", unit="qt", form="frozen", t=day(2))
    home.bring_in(2, "beet puree", "shed-chest", unit="qt", form="frozen", t=day(3))
    bag = Package(vessel="bag", content="3", content_unit="cup")
    kale = Received(food="kale", amount=amount(13, "bag"), store="garage-chest", package=bag)
    home.say(kale, t=day(4))
    home.bring_in(11, "kale", "shed-chest", unit="qt", form="frozen", t=day(5))
    beets = have.sentences(have.answer(home.book, "beet puree"), UTC)
    assert beets[0].startswith("beet puree: 9 qt")
    greens = have.sentences(have.answer(home.book, "kale"), UTC)
    assert "13 bags" in greens[0]
    assert "11 qt" in greens[0]
    # frozen food of another year is told lot by lot, each in its packer's own unit and place
    told = " ".join(under(home, day(400), "Use first"))
    assert "13 bags kale" in told
    assert "11 qt kale" in told
    assert "garage-chest" in told
    assert "shed-chest" in told


def test_jars_without_a_label_are_decided_on_and_never_offered() -> None:
    home = cottage()
    pint = Package(vessel="jar", content="1", content_unit="pint")
    for much, food, origin in ((5, "unidentified, dark red", "found"), (1, "relish", "exchange")):
        home.say(
            Received(food=food, amount=amount(much, "jar"), store="pantry", package=pint,
                     form="home-canned", origin=origin),  # type: ignore[arg-type]
            t=day(much + 2),
        )  # fmt: skip
    assert under(home, day(12), "Use first") == []
    asked = under(home, day(12), "Go and look")
    assert len(asked) == 2
    assert all(line.endswith(": unknown making; decide") for line in asked)
    said = text(week(home, day(12)))
    assert "5 jars unidentified, dark red" in said
    assert "    never taste (quoted second-hand from the University of Georgia)" in said
    assert "Use first" not in said


def test_a_lid_that_popped_in_february() -> None:
    home = cottage()
    beans = home.bring_in(7, "green beans", "cellar", unit="jar", form="home-canned", t=day(2))
    home.eat(3, beans, "cellar", t=day(100))
    home.spoil(1, beans, "cellar", cause="seal failed", t=day(193))  # 9 Feb
    (asked,) = under(home, day(195), "Go and look")
    assert asked.startswith("3 jars green beans ")
    assert asked.endswith("cellar: a seal failed, look at each")
    assert "lost: 1 jar green beans (seal failed)" in under(home, day(195), "Last week in figures")
    said = text(week(home, day(195)))
    assert "Low-acid jar swollen, leaking, unsealed: as toxic, never taste (USDA)" in said
    # the rest is looked at, not thrown out
    assert home.lot(beans).on_hand == amount(3, "jar").n


def test_marks_from_a_sheet_typed_in_as_a_block_count_once() -> None:
    home = cottage()
    carrots = home.bring_in(60, "carrots", "cellar", t=day(2))
    sheet = {"on": "2026-08-03/2026-08-16", "written": day(16) + 60, "by": "household"}
    home.eat(9, carrots, "cellar", source="sheet 2026-08-03, carrots", **sheet)  # type: ignore[arg-type]
    home.eat(9, carrots, "cellar", source="sheet 2026-08-03, carrots", **sheet)  # type: ignore[arg-type]
    assert "eaten: 9 lb carrots" in under(home, day(18), "Last week in figures")
    (doubt,) = under(home, day(18), "What does not add up")
    assert doubt.startswith("One line or row (sheet 2026-08-03, carrots) was entered twice")
    assert home.lot(carrots).on_hand == amount(51, "lb").n


def test_the_day_that_is_asked_for_is_the_day_in_the_title(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with household(tmp_path, monkeypatch, capsys) as lane:
        # asked in winter of a day in summer, and the other way round
        said = lane.does("digest", "--on", "2026-07-12")
        assert said.startswith("Hollow Lane: the week to Sunday 12 Jul 2026 ")
        lane.now("2026-07-12T10:00:00+01:00")
        said = lane.does("digest", "--on", "2026-01-11")
        assert said.startswith("Hollow Lane: the week to Sunday 11 Jan 2026 ")


def test_mice_in_the_shed() -> None:
    home = cottage()
    peas = home.bring_in(24, "dry peas", "shed", unit="bag", t=day(2))
    home.spoil(11, peas, "shed", cause="animals", t=day(20))
    home.look(peas, "shed", seen=13, sound=13, t=day(20) + 10)
    home.move(13, peas, "shed", "pantry", t=day(20) + 20)
    assert under(home, day(22), "Last week in figures") == [
        "lost: 11 bags dry peas (animals)",
    ]
    assert under(home, day(22), "Go and look") == []
    assert under(home, day(22), "What does not add up") == []


def test_what_nobody_used_is_told_in_the_week_in_which_that_is_a_year() -> None:
    home = Household()
    home.say(StoreSet(store="back-room", facts={"kind": "room"}))
    lot = home.bring_in(15, "zucchini relish", "back-room", unit="jar", t=day(2))
    home.count(15, lot, "back-room", t=day(300))

    def told(moment: float) -> list[str]:
        sections = compose(home.book, TABLES, ms(moment), "UTC").sections
        looks = [part.items for part in sections if part.heading == "Go and look"]
        return [item.text for items in looks for item in items if "none used" in item.text]

    code = codes_of(home.book)[lot]
    assert told(day(366)) == []
    (said,) = told(day(370))
    assert said == (
        f"15 jars zucchini relish {code}, back-room: none used since 2 Aug 2026; use it, give it, "
        "or make no more"
    )
    assert told(day(380)) == []


def test_what_may_hurt_somebody_is_looked_at_before_what_is_marked_and_waits() -> None:
    home = cottage()
    held = home.bring_in(7, "green beans", "cellar", unit="jar", form="home-canned", t=day(2))
    home.hold(held, "cellar", 2, reason="suspect seal", t=day(3))
    home.say(
        Received(food="relish", amount=amount(1, "jar"), store="pantry", form="home-canned",
                 origin="gift"),
        t=day(4),
    )  # fmt: skip
    wheat = home.bring_in(50, "wheat", "pantry", t=day(5))
    home.say(Held(lot=wheat, until="2026-08-09", programme="pest treatment"), t=day(6))
    asked = under(home, day(12), "Go and look")
    assert [line.split(": ")[-1] for line in asked] == [
        "held to 9 Aug 2026, pest treatment", "unknown making; decide", "held, suspect seal",
    ]  # fmt: skip
