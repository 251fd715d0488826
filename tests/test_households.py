"""The invented households: the same seed, the same bytes; and the mess that they are there for."""

import json
import tomllib
from collections import Counter
from itertools import pairwise
from pathlib import Path

from events import codec
from events.book import Book
from events.record import Entry, Record
from fixtures.make_households import HOUSEHOLDS, alder_bend
from service.console import demo


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


def test_the_script_writes_the_same_bytes_again() -> None:
    assert ALDER_BEND.read_bytes() == alder_bend()
    assert alder_bend() == alder_bend()


def test_three_months_from_four_devices_some_late_some_twice() -> None:
    entries = arrivals(ALDER_BEND)
    names = Counter(entry.record.name for entry in entries)
    assert 190 <= len(names) <= 220
    assert {entry.record.device for entry in entries} == {
        "hall-tablet",
        "cook-phone",
        "garden-phone",
        "teen-phone",
    }
    assert sum(count - 1 for count in names.values()) == 7
    late = [e for e in entries if e.received - e.record.stamp.ms > 2 * 86_400_000]
    assert len(late) > 10
    assert [e.received for e in entries] == sorted(e.received for e in entries)
    out_of_order = [
        after for before, after in pairwise(entries)
        if after.record.stamp < before.record.stamp
    ]  # fmt: skip
    assert len(out_of_order) > 10


def test_the_mess_is_in_it() -> None:
    entries = arrivals(ALDER_BEND)
    kinds = Counter(type(entry.record.body).__name__ for entry in entries)
    for kind in ("Received", "PutUp", "Repacked", "Moved", "Opened", "Consumed", "Spoiled", "Gave",
                 "Planted", "Counted", "StoreCounted", "Checked", "Held", "Released", "SetAside",
                 "Freed", "Incident", "Voided", "Settled"):  # fmt: skip
        assert kinds[kind], kind
    book = Book()
    book.add(entries)
    raised = {concern.kind for concern in book.concerns()}
    assert raised >= {
        "more-than-known", "count-differs", "moved-short", "before-or-after-count", "estimate-off",
        "carried-unsaid", "other-unit", "held-used", "gap-in-device",
    }  # fmt: skip


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
