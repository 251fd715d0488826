"""The ticker: jobs run at once and at every tick, one fault stops no other, what is due is sent once."""

import asyncio
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from service import assemble
from service.clock import CountedIds, Fixed
from service.errors import StoreError
from service.jobs.household import household_jobs
from service.jobs.timetable import Job, timetable
from tests.post import post_office
from tests.service.test_mail_work import SUNDAY, WEEK, make, said


async def until(true: object, wait_s: float = 10.0) -> None:
    assert callable(true)
    end = asyncio.get_running_loop().time() + wait_s
    while not true():
        assert asyncio.get_running_loop().time() < end, "it never came to that"
        await asyncio.sleep(0.01)


async def test_jobs_run_at_once_and_at_every_tick_and_one_fault_stops_no_other(
    capsys: pytest.CaptureFixture[str],
) -> None:
    done: list[str] = []

    async def torn() -> None:
        done.append("torn")
        raise StoreError("The disk of h is full.")

    async def broken() -> None:
        done.append("broken")
        raise ZeroDivisionError

    async def often() -> None:
        done.append("often")

    async def seldom() -> None:
        done.append("seldom")

    jobs = [Job("torn", 0, torn), Job("broken", 0, broken), Job("often", 0, often),
            Job("seldom", 3600, seldom)]  # fmt: skip
    async with timetable(jobs, tick_s=0.05):
        await until(lambda: done.count("often") >= 3)
    assert done[:4] == ["torn", "broken", "often", "seldom"]
    assert done.count("seldom") == 1
    said = [json.loads(line) for line in capsys.readouterr().err.splitlines()]
    assert {"job": "torn", "said": "The disk of h is full."} in said
    assert {"job": "broken", "said": "it failed (ZeroDivisionError: )"} in said
    ran = len(done)
    await asyncio.sleep(0.15)
    assert len(done) == ran


async def test_a_round_that_is_slow_is_not_begun_twice() -> None:
    at_once = most = 0

    async def slow() -> None:
        nonlocal at_once, most
        at_once += 1
        most = max(most, at_once)
        await asyncio.sleep(0.2)
        at_once -= 1

    async with timetable([Job("slow", 0, slow)], tick_s=0.02):
        await asyncio.sleep(0.5)
    assert most == 1
    assert at_once == 0  # what was under way has come to its end


async def test_a_household_that_is_served_sends_its_weeks(tmp_path: Path) -> None:
    home, clock = tmp_path / "h", Fixed(SUNDAY - 1000)
    await make(home)
    looked: list[str] = []

    async def also() -> None:
        looked.append("also")

    async with (
        post_office() as server,
        assemble.open_home(home, clock, writing=True) as ledger,
        household_jobs(home, ledger, clock, server.mail(), ids=CountedIds()) as jobs,
    ):
        every = [job._replace(every_s=0) for job in [*jobs, Job("also", 0, also)]]
        async with timetable(every, tick_s=0.02):
            await until(lambda: len(looked) > 2)
            assert server.taken == []
            clock.ms = SUNDAY
            await until(lambda: len(server.taken) == 2)
            clock.ms = SUNDAY + WEEK
            await until(lambda: len(server.taken) == 4)
            before = len(looked)
            await until(lambda: len(looked) > before + 3)
        assert len(server.names()) == len(server.taken) == 4
    assert [outcome for *_, outcome in await said(home)] == ["sent"] * 4
    assert sorted(one.name for one in (home / "copies").iterdir()) == [
        "log-2026-11-22.db", "log-2026-11-29.db",
    ]  # fmt: skip


async def test_without_a_mail_server_nothing_is_claimed(tmp_path: Path) -> None:
    home, clock = tmp_path / "h", Fixed(SUNDAY)
    await make(home)
    async with (
        assemble.open_home(home, clock, writing=True) as ledger,
        household_jobs(home, ledger, clock, None) as jobs,
    ):
        assert [job.name for job in jobs] == ["the day's copy", "the day's checkpoint"]
    assert not (home / "mail.db").exists()


async def test_a_book_is_put_by_every_day_while_it_is_served(tmp_path: Path) -> None:
    """A service that is never ended, and then killed: its next start reads a day of the log."""
    home, clock = tmp_path / "h", Fixed(SUNDAY)
    await make(home)
    async with (
        assemble.open_home(home, clock, writing=True) as ledger,
        household_jobs(home, ledger, clock, None) as jobs,
    ):
        (daily,) = [job for job in jobs if job.name == "the day's checkpoint"]
        assert daily.every_s == 24 * 3600
        with closing(sqlite3.connect(f"file:{home / 'log.db'}?mode=ro", uri=True)) as seen:
            assert seen.execute("SELECT count(*) FROM put_by").fetchone()[0] == 0
            await daily.run()
            assert seen.execute("SELECT upto FROM put_by").fetchone()[0] == ledger.position > 0
            before = seen.execute("PRAGMA data_version").fetchone()[0]
            await daily.run()  # nothing came since: nothing is written
            assert seen.execute("PRAGMA data_version").fetchone()[0] == before
