"""The invented households: the same seed, the same bytes; and the mess that they are there for."""

import json
import tomllib
from collections import Counter
from functools import cache
from itertools import pairwise
from pathlib import Path

from events import codec
from events.book import Book
from events.kinds import Consumed, Held, Incident, Measured, PutUp, Received, Redated
from events.projections.usage import usage
from events.record import Entry, Record
from fixtures.alder_bend import place
from fixtures.alder_bend.routine import CHORES
from fixtures.make_households import HEARD_TWICE, HOUSEHOLDS, SEED, alder_bend
from fixtures.telling import milliseconds
from service.clock import zone
from service.console import demo


@cache
def arrivals(path: Path) -> list[Entry]:
    """Each line as an entry, repeats and all; the bytes of its record are canonical."""
    entries = []
    for position, line in enumerate(path.read_bytes().splitlines(), 1):
        said = json.loads(line)
        content = codec.canonical(said["record"])
        assert content in line
        record = codec.read(content)
        assert isinstance(record, Record)
        entries.append(
            Entry(
                position=position,
                received=said["received"],
                sent_by=said["sent_by"],
                record=record,
            )
        )
    return entries


ALDER_BEND = HOUSEHOLDS / "alder-bend.jsonl"
NOW = milliseconds(place.NOW)


def records() -> list[Record]:
    return list({entry.record.name: entry.record for entry in arrivals(ALDER_BEND)}.values())


def test_the_script_writes_the_same_bytes_again() -> None:
    assert ALDER_BEND.read_bytes() == alder_bend()
    assert SEED == 1873


def test_eighteen_months_from_five_devices_some_late_some_twice() -> None:
    entries = arrivals(ALDER_BEND)
    names = Counter(entry.record.name for entry in entries)
    assert 1500 <= len(names) <= 2500
    assert min(entry.record.at for entry in entries).startswith("2025-05-25")
    assert NOW - min(entry.record.stamp.ms for entry in entries) > 540 * 86_400_000
    assert max(entry.received for entry in entries) <= NOW
    assert {entry.record.device for entry in entries} == {
        "hall-tablet",
        "cook-phone",
        "garden-phone",
        "teen-phone",
        "desk-laptop",
    }
    assert HEARD_TWICE - 5 <= sum(count - 1 for count in names.values()) <= HEARD_TWICE
    late = [e for e in entries if e.received - e.record.stamp.ms > 2 * 86_400_000]
    assert len(late) > 100
    assert [e.received for e in entries] == sorted(e.received for e in entries)
    out_of_order = [
        after for before, after in pairwise(entries)
        if after.record.stamp < before.record.stamp
    ]  # fmt: skip
    assert len(out_of_order) > 100


def test_six_people_a_kitchen_a_room_a_barn_a_freezer_two_beds() -> None:
    book = Book()
    book.add(arrivals(ALDER_BEND))
    assert set(book.settings.members) == {
        "cook", "gardener", "baker", "grandfather", "teen", "child",
    }  # fmt: skip
    kinds = Counter(facts["kind"] for store, facts in book.settings.stores.items())
    assert kinds["ground"] == 2
    assert set(kinds) == {"kitchen", "refrigerator", "room", "outbuilding", "freezer", "ground"}
    known = {record.by for record in records() if isinstance(record.body, Consumed)}
    assert known >= {"cook", "baker", "grandfather", "teen", "child", None}


def test_the_mess_is_in_it() -> None:
    entries = arrivals(ALDER_BEND)
    kinds = Counter(type(entry.record.body).__name__ for entry in entries)
    for kind in ("Received", "Ordered", "PutUp", "Repacked", "Moved", "Opened", "Consumed",
                 "Spoiled", "Gave", "Planted", "Counted", "StoreCounted", "Checked", "Held",
                 "Released", "SetAside", "Freed", "Incident", "LotSet", "Measured", "Ran",
                 "VesselsChanged", "Redated", "Voided", "Settled"):  # fmt: skip
        assert kinds[kind], kind
    book = Book()
    book.add(entries)
    raised = {concern.kind for concern in book.concerns()}
    assert raised >= {
        "more-than-known", "count-differs", "moved-short", "before-or-after-count", "estimate-off",
        "carried-unsaid", "other-unit", "held-used", "gap-in-device",
    }  # fmt: skip


def test_what_befell_them_is_in_it() -> None:
    said = [record.body for record in records()]
    befell = {body.what: body.store for body in said if isinstance(body, Incident)}
    assert befell == {"hard frost": "barn", "power cut": "chest-freezer"}
    holds = {body.programme or body.reason for body in said if isinstance(body, Held)}
    assert holds >= {"pest treatment", "crock", "conditioning", "suspect seal",
                     "waiting for the test"}  # fmt: skip
    read = Counter(body.store for body in said if isinstance(body, Measured))
    assert read["barn"] > 30
    assert [record.note for record in records() if isinstance(record.body, Redated)]
    came = [body for body in said if isinstance(body, Received)]
    assert {body.origin for body in came} >= {"harvest", "bought", "gift", "exchange", "found"}
    assert [body.food for body in came if body.owner] == ["lamb"]
    loads = Counter(body.yields[0].food for body in said if isinstance(body, PutUp))
    assert loads["green beans"] == 6 + 6
    assert loads["tomatoes"] == 3 + 3


def test_what_ran_out_in_february_did() -> None:
    """Nobody logs that there is none; that a week had none is worked out of what was logged."""
    book = Book()
    book.add(arrivals(ALDER_BEND))
    lots = [book.lots[name] for name in sorted(book.lots)]
    out = {
        (used.food, used.unit): {week.monday.isoformat() for week in used.weeks if week.ran_out}
        for used in usage(lots, NOW, zone(demo.ZONE))
    }
    for food in (("applesauce", "jar"), ("strawberries", "bag"), ("onions", "lb"),
                 ("peaches", "jar")):  # fmt: skip
        assert "2026-01-26" not in out[food], food
        assert {day for day in out[food] if "2026-02-16" <= day <= "2026-02-23"}, food


def test_what_is_eaten_in_a_week_is_what_six_people_eat() -> None:
    """In pounds a week, over the weeks in which there was any: rough bounds, by common sense."""
    eaten: Counter[str] = Counter()
    lots = {}
    for record in records():
        if isinstance(record.body, Received):
            lots[f"{record.name}:0"] = record.body.food
    for record in records():
        body = record.body
        if isinstance(body, Consumed) and body.lot in lots and body.amount.unit == "lb":
            eaten[lots[body.lot]] += body.amount.n or 0
    weeks = 78 * 5_040_000
    assert 5 <= eaten["potatoes"] / weeks <= 14
    assert 1 <= eaten["onions"] / weeks <= 4
    assert 4 <= eaten["bread flour"] / weeks <= 9
    assert len(CHORES) > 50


def test_in_any_order_the_same_book() -> None:
    entries = arrivals(ALDER_BEND)
    straight, backwards = Book(), Book()
    straight.add(entries)
    for entry in reversed(entries):
        backwards.add([entry])
    assert straight.state_hash() == backwards.state_hash()


def test_an_installed_girnel_has_the_demos_log_too() -> None:
    project = tomllib.loads((HOUSEHOLDS.parents[1] / "pyproject.toml").read_text())
    put = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert put == {"fixtures/households": "service/demo"}
    assert [place.name for place in demo.PLACES] == [ALDER_BEND.name] * 2
    assert any(place.is_file() for place in demo.PLACES)
