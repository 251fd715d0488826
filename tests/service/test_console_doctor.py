"""The doctor: what it finds in a home that is well, and in one that is not."""

import asyncio
import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from events.book import Book
from service import assemble
from service.clock import Fixed, moment
from service.console import doctor
from service.storage import lock, soundness
from tests.console import NOW, Console

ALL = ["the file", "the log", "the book", "unread records", "what was set aside", "gaps",
       "the clock", "the lock", "room", "SQLite"]  # fmt: skip


BRINGING = (("12 qt", "beans", "--in", "barn"),)


@pytest.fixture(autouse=True)
def a_small_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doctor, "ROOM", 1000)


def found(lane: Console, code: int) -> dict[str, tuple[str, str]]:
    """What was looked at, with what state and words it came to."""
    assert lane.run("doctor", "--json") == code, lane.out
    assert lane.err == ""
    told = json.loads(lane.out)
    assert told["content"] is (code == 0)
    return {check["what"]: (check["state"], check["says"]) for check in told["checks"]}


def only(lane: Console, what: str) -> str:
    """The one thing to look at; what is said of it."""
    checks = found(lane, 1)
    assert [name for name, (state, _) in checks.items() if state == "look"] == [what]
    assert lane.run("doctor") == 1
    said = " ".join(lane.out.split())
    assert f"Look at {what}: {' '.join(checks[what][1].split())}" in said
    assert said.endswith(f"To look at: {what}.")
    return checks[what][1]


def hear(lane: Console, *changes: dict[str, Any]) -> list[str]:
    """Records like the last one but for those changes, heard from another device."""
    last = json.loads(lane.log().splitlines()[-1])["record"]
    contents = [json.dumps({**last, **change}).encode() for change in changes]

    async def accept() -> list[str]:
        clock = Fixed(moment(NOW))
        async with assemble.open_home(lane.home, clock, writing=True) as ledger:
            return [receipt.state for receipt in await ledger.accept(contents, "tablet")]

    return asyncio.run(accept())


def test_a_home_that_is_well(lane: Console) -> None:
    before = lane.log()
    checks = found(lane, 0)
    assert list(checks) == ALL
    assert {state for state, _ in checks.values()} <= {"well", "noted"}
    assert lane.does("doctor").endswith("All is well.")
    assert lane.log() == before
    assert checks["the log"][1] == "8 records in a row, written by 1 device."
    assert "stands still at 2026-11-22T10:00:00+00:00" in checks["the clock"][1]


def test_the_machines_own_clock(lane: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("GIRNEL_NOW")
    monkeypatch.setattr("service.clock.System.now_ms", lambda _: moment(NOW))
    assert found(lane, 0)["the clock"][0] == "well"


def test_records_that_are_not_known_are_named_and_kept(lane: Console) -> None:
    body = {"kind": "blessed", "by_whom": "the parson"}
    assert hear(lane, {"device": "tablet", "seq": 1, "v": 9, "body": body}) == ["new"]
    said = only(lane, "unread records")
    assert said.startswith("1 record of a kind or version")
    assert "blessed, version 9 (1)" in said


def test_another_content_under_a_name_is_named(lane: Console) -> None:
    last = json.loads(lane.log().splitlines()[-1])["record"]
    assert hear(lane, {"note": "otherwise"}) == ["aside"]
    said = only(lane, "what was set aside")
    assert f"{last['device']}:{last['seq']}" in said


def test_records_that_never_came_are_named(lane: Console) -> None:
    sent = [{"device": "tablet", "seq": seq, "source": None} for seq in (2, 5, 7, 8, 12)]
    assert hear(lane, *sent) == ["new"] * 5
    said = only(lane, "gaps")
    assert "tablet:1, tablet:3 to 4, tablet:6 and tablet:9 to 11" in said


def test_many_gaps_are_counted(lane: Console) -> None:
    hear(lane, *({"device": "tablet", "seq": seq} for seq in range(2, 18, 2)))
    assert "tablet:9 and 3 more" in only(lane, "gaps")


def test_a_clock_that_was_set_back(lane: Console) -> None:
    lane.now("2026-11-20T10:00:00+00:00")
    said = only(lane, "the clock")
    assert "2026-11-20T10:00:00+00:00" in said
    assert "heard at 2026-11-22T10:00:00+00:00" in said


def test_a_clock_that_was_ahead_once_is_noted(lane: Console) -> None:
    ahead = {"ms": moment(NOW) + 7_200_000}
    last = json.loads(lane.log().splitlines()[-1])["record"]
    hear(lane, {"device": "tablet", "seq": 1, "stamp": [ahead["ms"], *last["stamp"][1:]]})
    state, said = found(lane, 0)["the clock"]
    assert state == "noted"
    assert "1 record came from a clock that was off" in said


def test_a_process_that_writes_just_now_is_noted(lane: Console) -> None:
    held = lock.take(lane.home / "log.lock")
    assert held is not None
    try:
        state, said = found(lane, 0)["the lock"]
    finally:
        held.release()
    assert state == "noted"
    assert "another process" in said
    assert found(lane, 0)["the lock"][0] == "well"


class Disk(NamedTuple):
    total: int
    used: int
    free: int


def test_too_little_room(lane: Console, monkeypatch: pytest.MonkeyPatch) -> None:
    size = (lane.home / "log.db").stat().st_size
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Disk(10**9, 0, 3 * size))
    assert found(lane, 0)["room"][0] == "well"
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Disk(10**9, 0, 3 * size - 1))
    assert "make room" in only(lane, "room")


def test_a_book_that_depends_on_the_order_is_found_out(
    lane: Console, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Book, "state_hash", lambda book: str(id(book)))
    assert "two different books" in only(lane, "the book")


def test_a_torn_log_is_still_looked_at(lane: Console) -> None:
    with closing(sqlite3.connect(lane.home / "log.db")) as raw:
        raw.execute("DELETE FROM entries WHERE position = 3")
        raw.commit()
    assert "Entry 3 of the log is missing" in only(lane, "the log")
    assert "the book" not in found(lane, 1)


def test_damaged_pages_are_found(lane: Console) -> None:
    path = lane.home / "log.db"
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        [page] = raw.execute("PRAGMA page_size").fetchone()
        root = raw.execute(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'sqlite_autoindex_entries_1'"
        ).fetchone()[0]
    content = bytearray(path.read_bytes())
    content[(root - 1) * page + 3 : (root - 1) * page + 5] = b"\x00\x01"
    path.write_bytes(content)
    state, said = found(lane, 1)["the file"]
    assert state == "look"
    assert "is damaged" in said


def test_a_file_of_something_else(lane: Console) -> None:
    (lane.home / "log.db").write_bytes(b"recipes" * 1000)
    checks = found(lane, 1)
    assert (checks["the file"][0], checks["the log"][0]) == ("look", "look")


def test_no_home_is_wrong_use(lane: Console, tmp_path: Path) -> None:
    said = lane.refuses("--home", str(tmp_path / "elsewhere"), "doctor")
    assert "There is no household" in said
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.parametrize(
    ("version", "may"),
    [
        ((3, 6, 23), False), ((3, 7, 0), True), ((3, 40, 1), True), ((3, 51, 2), True),
        ((3, 51, 3), False), ((3, 53, 0), False), ((4, 0, 0), False),
    ],
)  # fmt: skip
def test_versions_with_the_fault_are_named_with_what_keeps_it_away(
    lane: Console, monkeypatch: pytest.MonkeyPatch, version: tuple[int, int, int], may: bool
) -> None:
    monkeypatch.setattr(soundness, "version", lambda: version)
    state, said = found(lane, 0)["SQLite"]
    assert state == ("noted" if may else "well")
    assert ".".join(map(str, version)) in said
    assert ("3.7.0 to 3.51.2" in said and "it holds the lock" in said) is may
