"""Several processes and one log: who may write, and what is there after one was killed."""

import asyncio
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from events.kinds import StoreSet
from service import assemble
from service.clock import CountedIds, Fixed, System
from service.drafts import Draft
from service.errors import HomeInUse, HomeUnwritable
from service.storage import lock

ROOT = Path(__file__).parents[2]
MADE = 2
"""records that a new home with one member begins with"""

CHILD = """
import asyncio, os, signal, sys
from pathlib import Path
from events.kinds import StoreSet
from service import assemble
from service.clock import System
from service.drafts import Draft
from service.storage.sqlite import SqliteStore

def draft(text):
    return Draft(body=StoreSet(store=text, facts={"kind": "room"}))

async def write_for_ever(home):
    async with assemble.open_home(home, System(), writing=True) as ledger:
        print("open", flush=True)
        while True:
            for size in (1, 1, 3):
                entries = await ledger.write([draft("barn")] * size)
                print(*(entry.record.seq for entry in entries), flush=True)

async def hold_open(home):
    async with assemble.open_home(home, System(), writing=True):
        print("open", flush=True)
        await asyncio.to_thread(sys.stdin.read)

async def die_between_insert_and_commit(home):
    async with assemble.open_home(home, System(), writing=True) as ledger:
        await ledger.write([draft("acknowledged")])
        SqliteStore._write_meta = lambda self, meta: os.kill(os.getpid(), signal.SIGKILL)
        await ledger.write([draft("never"), draft("never")])

asyncio.run(globals()[sys.argv[1]](Path(sys.argv[2])))
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    async def make() -> None:
        ledger = await assemble.make_home(
            tmp_path, "Hollow Lane", "Europe/London", ["cook"], System(), CountedIds()
        )
        await ledger.close()

    asyncio.run(make())
    return tmp_path


def child(what: str, home: Path) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, what, str(home)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def said(process: "subprocess.Popen[str]") -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def ended(process: "subprocess.Popen[str]") -> tuple[list[int], str]:
    """What it acknowledged in whole lines, and what it said of errors, after its end."""
    out, err = process.communicate(timeout=30)
    lines = out.split("\n")[:-1]
    return [int(seq) for line in lines for seq in line.split()], err


def written(home: Path) -> list[int]:
    """The counters of the device's records in the log; sqlite finds the file whole."""
    with closing(sqlite3.connect(home / assemble.LOG)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"

    async def read() -> list[int]:
        async with assemble.open_home(home, System(), writing=False) as ledger:
            assert [e.position for e in ledger.entries] == list(range(1, len(ledger.entries) + 1))
            return [entry.record.seq for entry in ledger.entries]

    return asyncio.run(read())


def test_a_second_process_is_told_who_writes(home: Path) -> None:
    with child("hold_open", home) as first:
        assert said(first) == "open"

        async def second() -> None:
            with pytest.raises(HomeInUse, match=rf"number {first.pid}\) is writing") as told:
                async with assemble.open_home(home, System(), writing=True, wait_s=0.1):
                    pass
            assert told.value.code == 2
            async with assemble.open_home(home, System(), writing=False) as looking:
                assert len(looking.entries) == MADE

        asyncio.run(second())
        assert ended(first) == ([], "")
    assert written(home) == [1, 2]


def test_a_second_process_waits_for_a_short_command(home: Path) -> None:
    with child("hold_open", home) as first:
        assert said(first) == "open"

        async def second() -> list[int]:
            async def end_soon() -> None:
                await asyncio.sleep(0.3)
                assert first.stdin is not None
                first.stdin.close()

            ending = asyncio.create_task(end_soon())
            async with assemble.open_home(home, System(), writing=True, wait_s=20) as ledger:
                await ending
                entries = await ledger.write(
                    [Draft(body=StoreSet(store="barn", facts={"kind": "outbuilding"}))]
                )
                return [entry.position for entry in entries]

        assert asyncio.run(second()) == [MADE + 1]
        first.wait(timeout=30)


def test_a_killed_process_leaves_nothing_half_done(home: Path) -> None:
    with child("die_between_insert_and_commit", home) as writer:
        ended(writer)
        assert writer.returncode == -signal.SIGKILL
    assert written(home) == [1, 2, 3]

    async def go_on() -> None:
        async with assemble.open_home(home, System(), writing=True, wait_s=0) as ledger:
            assert ledger.next_seq == 4
            assert [e.record.body for e in ledger.entries][-1] == StoreSet(
                store="acknowledged", facts={"kind": "room"}
            )

    asyncio.run(go_on())


def test_nothing_acknowledged_is_lost_when_killed_again_and_again(home: Path) -> None:
    rng = random.Random(29)
    acknowledged: list[int] = []
    for _ in range(6):
        with child("write_for_ever", home) as writer:
            assert said(writer) == "open"
            time.sleep(rng.uniform(0.0, 0.15))
            writer.kill()
            seqs, err = ended(writer)
            assert err == ""
            acknowledged += seqs
        there = written(home)
        assert there == list(range(1, len(there) + 1)), "each once, in order, deeds whole"
        assert set(acknowledged) <= set(there)
    assert len(acknowledged) > 20


def test_an_interrupted_command_ends_and_keeps_what_it_acknowledged(home: Path) -> None:
    with child("write_for_ever", home) as writer:
        assert said(writer) == "open"
        for _ in range(3):
            said(writer)
        writer.send_signal(signal.SIGINT)
        acknowledged, err = ended(writer)
        assert writer.returncode != 0
        assert "KeyboardInterrupt" in err
    assert not (home / f"{assemble.LOG}-wal").exists(), "closed as it should be"
    there = written(home)
    assert there == list(range(1, len(there) + 1))
    assert set(acknowledged) <= set(there)


def test_the_lock_goes_with_its_process_and_says_who_has_it(tmp_path: Path) -> None:
    file = tmp_path / "log.lock"
    first = lock.take(file)
    assert first is not None
    assert lock.take(file) is None
    assert lock.holder(file) == f"another process (number {os.getpid()})"
    first.release()
    first.release()
    second = lock.take(file)
    assert second is not None
    second.release()


def test_a_lock_file_that_says_nothing(tmp_path: Path) -> None:
    file = tmp_path / "log.lock"
    assert lock.holder(file) == "another process"
    file.write_bytes(b"\xff\xfe?")
    assert lock.holder(file) == "another process"
    with pytest.raises(HomeUnwritable, match="may not be written to"):
        lock.take(tmp_path / "nowhere" / "log.lock")


async def test_one_process_does_not_open_a_home_twice_for_writing(home: Path) -> None:
    async with assemble.open_home(home, Fixed(0), writing=True):
        with pytest.raises(HomeInUse):
            async with assemble.open_home(home, Fixed(0), writing=True, wait_s=0):
                pass
    async with assemble.open_home(home, Fixed(0), writing=True, wait_s=0) as ledger:
        assert len(ledger.entries) == MADE
