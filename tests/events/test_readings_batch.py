"""How a lot was put up: the facts of its load, the lots that share it, its seals as looked at."""

from typing import Any
from zoneinfo import ZoneInfo

from events.kinds import Checked, LotSet, Package, PutUp, Yield
from events.readings import trail, trail_words
from tests.build import Household, amount, day

LONDON = ZoneInfo("Europe/London")
QUART = Package(vessel="jar", content="1", content_unit="qt")
PINT = Package(vessel="jar", content="1", content_unit="pt")


def load(home: Household, **said: Any) -> list[str]:
    """Seven quarts and four pints of beans out of one canner."""
    green = home.bring_in(20, "green beans", "kitchen", t=day(1))
    made = home.say(
        PutUp(
            draws=(home.draw(14, green, "kitchen"),),
            yields=tuple(
                Yield(food="green beans", form="home-canned", amount=amount(many, "jar"),
                      package=size, store="back-room")
                for many, size in ((7, QUART), (4, PINT))
            ),
            **said,
        ),
        t=day(2),
        by="cook",
    )  # fmt: skip
    home.units |= {f"{made}:0": "jar", f"{made}:1": "jar"}
    return [f"{made}:0", f"{made}:1"]


def told(home: Household, lot: str) -> list[str]:
    return trail_words.how_put_up(trail.trail(home.book, lot), LONDON)


FACTS = {"method": "pressure canner", "minutes": 25, "pressure": "11 lb", "altitude": "400 ft",
         "machine": "big canner", "lid_box": "box 3", "supplies": {"salt": "1 cup"}}  # fmt: skip


def test_the_facts_of_a_load_are_told_and_what_shares_it() -> None:
    home = Household()
    quarts, pints = load(home, **FACTS)
    home.eat(1, pints, "back-room", t=day(5))
    how, same = told(home, quarts)
    assert how == (
        "How: method: pressure canner; minutes: 25; pressure: 11 lb; altitude: 400 ft; "
        "machine: big canner; lid box: box 3; with 1 cup salt"
    )
    code = trail.trail(home.book, pints).lot
    assert same == f"Of the same load: {code} green beans, 4 jars (1 pt each), 3 jars left"


def test_what_was_learnt_later_goes_before_what_the_making_said() -> None:
    home = Household()
    quarts, pints = load(home, altitude="400 ft", acid="lemon juice")
    home.say(LotSet(lot=quarts, facts={"altitude": "1200 ft", "acid": ""}), t=day(9))
    assert told(home, quarts)[0] == "How: altitude: 1200 ft"
    assert told(home, pints)[0] == "How: altitude: 400 ft; acid: lemon juice"


def test_seals_are_told_as_they_were_looked_at() -> None:
    home = Household()
    quarts, pints = load(home)
    home.say(Checked(lot=quarts, seen=amount(7, "jar"), wrong=amount(1, "jar"),
                     finding="not sealed"), t=day(3))  # fmt: skip
    home.say(Checked(lot=pints, wrong=amount(0, "jar"), finding="all sealed"), t=day(3))
    home.spoil(1, quarts, "back-room", cause="seal failed", t=day(40))
    assert told(home, quarts)[1:] == [
        "Seals: looked at Mon 3 Aug 2026 09:00: 6 jars sealed, 1 jar not",
        "Seals: Wed 9 Sep 2026 09:00 1 jar thrown out, seal failed",
    ]
    assert told(home, pints)[-1] == "Seals: looked at Mon 3 Aug 2026 09:00: all sealed"
    batch = trail.trail(home.book, quarts).batch
    assert batch is not None
    assert [(one.later, one.open is not None) for one in batch.seals] == [
        (False, True), (True, True),
    ]  # fmt: skip


def test_a_look_at_something_else_is_no_look_at_the_seals() -> None:
    home = Household()
    quarts, _ = load(home)
    home.look(quarts, "back-room", seen=7, sound=6, t=day(4))
    home.spoil(1, quarts, "back-room", cause="broken", t=day(5))
    assert not [line for line in told(home, quarts) if line.startswith("Seals")]


def test_what_came_in_as_it_is_has_no_load() -> None:
    home = Household()
    beans = home.bring_in(12, "green beans", "back-room", unit="jar", t=day(2))
    assert trail.trail(home.book, beans).batch is None
    assert told(home, beans) == []
    assert trail.to_json(trail.trail(home.book, beans))["batch"] is None


def test_as_plain_data() -> None:
    home = Household()
    quarts, _ = load(home, **FACTS)
    batch = trail.to_json(trail.trail(home.book, quarts))["batch"]
    assert isinstance(batch, dict)
    assert batch["facts"]["minutes"] == "25"
    assert [(one["holds"], one["made"]["value"]) for one in batch["lots"]] == [
        ("1 qt", "7"), ("1 pt", "4"),
    ]  # fmt: skip
