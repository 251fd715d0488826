"""A household's weeks by mail: each reader one digest a week, whatever became of machine and clock."""

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from datetime import datetime
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest

from events.kinds import Body, DigestSent, Held, Measured, MemberSet, Received, StoreSet
from events.record import Record
from events.tables import load
from service import assemble
from service.clock import CountedIds, Fixed
from service.drafts import Draft
from service.errors import TornFile
from service.jobs.heard import WAIT, go_on, note, waits_until
from service.jobs.household import BOX, bring_out, open_box
from service.jobs.work import DAY, Office, hour_for, settle, settle_notes
from service.ledger import Ledger
from service.storage.mail import MailFile
from tests.post import Server, post_office
from tests.tale import amount

TABLES = load()


def at(text: str) -> int:
    return round(datetime.fromisoformat(text).timestamp() * 1000)


SUNDAY = at("2026-11-22T18:00:00+00:00")
WEEK = 7 * DAY
JOINED = at("2026-11-18T09:00:00+00:00")


async def make(home: Path, now: int = JOINED, readers: Sequence[str] = ("cook", "teen")) -> None:
    """Hollow Lane, with readers who said so at that moment."""
    clock = Fixed(now)
    ledger = await assemble.make_home(home, "Hollow Lane", "Europe/London", [], clock, CountedIds())
    for reader in readers:
        facts = {"mail": f"{reader}@example.org", "digest": "weekly"}
        await ledger.write([Draft(body=MemberSet(member=reader, facts=facts))])
    await ledger.close()


async def run(home: Path, server: Server, now: int, *, word: bool = False) -> int | None:
    """What a machine does whenever it looks; until when mail waits."""
    clock = Fixed(now)
    async with open_box(home, clock) as box:
        if word:
            await go_on(box)
        async with assemble.open_home(home, clock, writing=True) as ledger:
            office = Office(ledger, box, TABLES, server.mail(), CountedIds())
            await settle(office, now)
            await settle_notes(office, now)
        await bring_out(box, server.mail(), clock)
        async with assemble.open_home(home, clock, writing=True) as ledger:
            await note(ledger, box, now)
        return await waits_until(box, now)


@asynccontextmanager
async def ledger_of(home: Path, now: int) -> AsyncIterator[Ledger]:
    async with assemble.open_home(home, Fixed(now), writing=True) as ledger:
        yield ledger


async def said(home: Path, now: int = SUNDAY) -> list[tuple[str, str, str]]:
    """(reader, week, outcome) of every record of mail in the log, in its order."""
    from events import codec

    async with ledger_of(home, now) as ledger:
        records = [codec.decode(row.content) for row in await ledger.page(0, 10_000)]
    return [
        (one.body.reader, one.body.week, one.body.outcome)
        for one in records
        if isinstance(one, Record) and isinstance(one.body, DigestSent)
    ]


async def test_each_reader_has_the_week_at_its_hour_and_the_log_says_so(tmp_path: Path) -> None:
    await make(tmp_path / "h")
    async with post_office() as server:
        for now in (JOINED, SUNDAY - 1, SUNDAY, SUNDAY, SUNDAY + DAY, SUNDAY + WEEK - 1):
            await run(tmp_path / "h", server, now)
        assert [one.to for one in server.taken] == ["cook@example.org", "teen@example.org"]
        assert len(server.names()) == 2
        assert server.taken[0].message["Subject"] == "Hollow Lane: the week to Sunday 22 Nov 2026"
        await run(tmp_path / "h", server, SUNDAY + WEEK)
        assert len(server.names()) == len(server.taken) == 4
    assert await said(tmp_path / "h") == [
        ("cook", "2026-W47", "sent"), ("teen", "2026-W47", "sent"),
        ("cook", "2026-W48", "sent"), ("teen", "2026-W48", "sent"),
    ]  # fmt: skip


async def test_after_downtime_the_latest_alone_is_sent_and_the_rest_is_said(tmp_path: Path) -> None:
    await make(tmp_path / "h", readers=["cook"])
    async with post_office() as server:
        await run(tmp_path / "h", server, SUNDAY)
        await run(tmp_path / "h", server, SUNDAY + 4 * WEEK + DAY)
        assert len(server.taken) == 2
        assert "digests of 29 Nov to 13 Dec 2026: not sent, machine off" in " ".join(
            server.taken[1].part("plain").split()
        )
    assert await said(tmp_path / "h", SUNDAY + 5 * WEEK) == [
        ("cook", "2026-W47", "sent"),
        ("cook", "2026-W48", "not sent, machine off"),
        ("cook", "2026-W49", "not sent, machine off"),
        ("cook", "2026-W50", "not sent, machine off"),
        ("cook", "2026-W51", "sent"),
    ]


async def test_what_no_server_took_in_its_week_gives_way_to_the_next(tmp_path: Path) -> None:
    await make(tmp_path / "h", readers=["cook"])
    async with post_office() as server:
        server.rcpt = lambda _: "451 later"
        await run(tmp_path / "h", server, SUNDAY)
        server.rcpt = lambda _: None
        await run(tmp_path / "h", server, SUNDAY + WEEK)
        assert len(server.taken) == 1
        assert "29 Nov" in server.taken[0].message["Subject"]
    assert await said(tmp_path / "h") == [
        ("cook", "2026-W47", "not sent, no mail server in its week"),
        ("cook", "2026-W48", "sent"),
    ]


async def test_one_reader_refused_is_told_of_to_the_others(tmp_path: Path) -> None:
    await make(tmp_path / "h")
    async with post_office() as server:
        server.rcpt = lambda to: "550 no such reader" if to.startswith("teen") else None
        await run(tmp_path / "h", server, SUNDAY)
        await run(tmp_path / "h", server, SUNDAY + WEEK)
        assert [one.to for one in server.taken] == ["cook@example.org"] * 2
        plain = " ".join(server.taken[1].part("plain").split())
        refused = "not sent, refused by the mail server (550 no such reader)"
        assert f"digest of 22 Nov 2026 to teen: {refused}" in plain
        # and once: a week later it is over, but that week's is told
        await run(tmp_path / "h", server, SUNDAY + 2 * WEEK)
        plain = " ".join(server.taken[2].part("plain").split())
        assert "digest of 22 Nov 2026" not in plain
        assert f"digest of 29 Nov 2026 to teen: {refused}" in plain


async def test_a_reader_who_joins_or_wants_none(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        await run(home, server, SUNDAY)
        async with ledger_of(home, SUNDAY + DAY) as ledger:
            facts = {"mail": "teen@example.org"}
            await ledger.write([Draft(body=MemberSet(member="teen", facts=facts))])
            await ledger.write([Draft(body=MemberSet(member="cook", facts={"digest": "none"}))])
        await run(home, server, SUNDAY + 2 * DAY)
        assert len(server.taken) == 1
        await run(home, server, SUNDAY + WEEK)
        assert [one.to for one in server.taken] == ["cook@example.org", "teen@example.org"]
        async with ledger_of(home, SUNDAY + WEEK + DAY) as ledger:
            await ledger.write([Draft(body=MemberSet(member="cook", facts={"digest": "weekly"}))])
        await run(home, server, SUNDAY + 2 * WEEK)
        assert [one.to for one in server.taken][2:] == ["cook@example.org", "teen@example.org"]


async def test_a_note_that_did_not_arrive_is_told_of_in_the_digest(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home)
    async with post_office() as server:
        await run(home, server, SUNDAY)
        async with ledger_of(home, SUNDAY + DAY) as ledger:
            bodies: list[Body] = [
                MemberSet(member="teen", facts={"digest": "urgent"}),
                StoreSet(store="chest", facts={"kind": "freezer"}),
                Measured(store="chest", celsius_milli=-9_000),
            ]
            for body in bodies:
                await ledger.write([Draft(body=body)])
        server.rcpt = lambda to: "550 no such reader" if to.startswith("teen") else None
        await run(home, server, SUNDAY + DAY)
        await run(home, server, SUNDAY + WEEK)
        (cook,) = [one for one in server.taken[2:] if one.to.startswith("cook")]
        assert (
            "note of 23 Nov 2026 to teen: not sent, refused by the mail server (550 no such reader)"
            in " ".join(cook.part("plain").split())
        )


async def test_what_waits_for_a_reader_who_wants_no_more_is_not_sent(tmp_path: Path) -> None:
    """They press “no more” while the server still says later; the other reader has theirs."""
    home = tmp_path / "h"
    await make(home)
    async with post_office() as server:
        server.rcpt = lambda _: "451 come again"
        await run(home, server, SUNDAY)
        async with ledger_of(home, SUNDAY + 1000) as ledger:
            await ledger.write([Draft(body=MemberSet(member="cook", facts={"digest": "none"}))])
        server.rcpt = lambda _: None
        await run(home, server, SUNDAY + DAY)
        assert [one.to for one in server.taken] == ["teen@example.org"]
    assert await said(home) == [("teen", "2026-W47", "sent")]


async def test_cut_off_between_the_log_and_the_mailbox_nothing_is_noted_twice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The log has the outcome, and the mailbox does not know that it has."""
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        with monkeypatch.context() as cut:

            async def gone(*_: object) -> None:
                raise KeyboardInterrupt

            cut.setattr(MailFile, "note", gone)
            with pytest.raises(KeyboardInterrupt):
                await run(home, server, SUNDAY)
        assert await said(home) == [("cook", "2026-W47", "sent")]
        await run(home, server, SUNDAY + 1000)
        assert len(server.taken) == 1
    assert await said(home) == [("cook", "2026-W47", "sent")]


async def test_a_copy_put_back_waits_and_sends_nothing_twice(tmp_path: Path) -> None:
    """The log of before the digest is put back; the mailbox beside it still knows."""
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    before = (home / "log.db").read_bytes()
    async with post_office() as server:
        await run(home, server, SUNDAY)
        for extra in home.glob("log.db-*"):
            extra.unlink()
        (home / "log.db").write_bytes(before)
        assert await run(home, server, SUNDAY + 1000) == SUNDAY + 1000 + WAIT
        assert len(server.taken) == 1
        # it waits a day, and what the mailbox knows is said to the log again
        assert await run(home, server, SUNDAY + 1000 + WAIT) is None
        assert len(server.taken) == 1
    assert await said(home) == [("cook", "2026-W47", "sent")]


async def test_another_machine_with_the_log_alone_sends_nothing_again(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        await run(home, server, SUNDAY)
        (home / BOX).unlink()
        assert await run(home, server, SUNDAY + 1000) == SUNDAY + 1000 + WAIT
        assert await run(home, server, SUNDAY + 2000, word=True) is None
        assert len(server.taken) == 1
        await run(home, server, SUNDAY + WEEK)
        assert len(server.names()) == len(server.taken) == 2
    assert await said(home) == [("cook", "2026-W47", "sent"), ("cook", "2026-W48", "sent")]


async def test_log_and_mailbox_of_before_are_one_message_to_a_mailbox(tmp_path: Path) -> None:
    """All of it put back: the name is the same, so a reader's mailbox shows one."""
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    before = (home / "log.db").read_bytes()
    async with post_office() as server:
        await run(home, server, SUNDAY)
        for extra in (*home.glob("log.db-*"), home / BOX):
            extra.unlink()
        (home / "log.db").write_bytes(before)
        await run(home, server, SUNDAY + 1000)
        assert len(server.taken) == 2
        assert len(server.names()) == 1


async def test_a_clock_years_ahead_for_a_day_costs_no_week_after_it(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        await run(home, server, SUNDAY)
        await run(home, server, SUNDAY + 60 * WEEK)  # the clock was wrong
        sent = len(server.taken)
        for week in range(1, 5):
            await run(home, server, SUNDAY + week * WEEK)
        assert len(server.taken) == sent + 4
        assert len(server.names()) == len(server.taken)


async def test_a_reader_set_by_a_clock_years_ahead_has_the_latest(tmp_path: Path) -> None:
    """Their choice counts from a day to come: they are not left without until then."""
    home = tmp_path / "h"
    await make(home, now=SUNDAY + 150 * WEEK, readers=["cook"])
    async with post_office() as server:
        await run(home, server, SUNDAY)
        await run(home, server, SUNDAY + WEEK)
        assert len(server.names()) == len(server.taken) == 2
    assert await said(home) == [("cook", "2026-W47", "sent"), ("cook", "2026-W48", "sent")]


async def test_a_clock_that_goes_back_sends_nothing_again(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        for now in (SUNDAY, SUNDAY - 9 * WEEK, SUNDAY, SUNDAY + 1000):
            await run(home, server, now)
        assert len(server.taken) == 1


async def test_a_year_through_every_change_of_the_clock(tmp_path: Path) -> None:
    """Sunday 01:30 in New York, which comes twice in November: looked at every nine hours."""
    home, start = tmp_path / "h", at("2025-12-29T00:00:00-05:00")
    await make(home, now=start, readers=["cook"])
    clock = Fixed(start)
    async with (
        post_office() as server,
        open_box(home, clock) as box,
        assemble.open_home(home, clock, writing=True) as ledger,
    ):
        body = StoreSet(store="", facts={"digest": "Sunday 01:30"})
        await ledger.write([Draft(body=body)], meta={"timezone": "America/New_York"})
        ledger.household = msgspec.structs.replace(ledger.household, timezone="America/New_York")
        office = Office(ledger, box, TABLES, server.mail(), CountedIds())
        while clock.ms < start + 53 * WEEK:
            if await settle(office, clock.ms):
                await bring_out(box, server.mail(), clock)
                await note(ledger, box, clock.ms)
            clock.ms += 9 * DAY // 24
        assert len(server.names()) == len(server.taken) == 53
        days = [one.message["Date"].datetime.date() for one in server.taken]
        assert all((later - day).days in (6, 7, 8) for day, later in pairwise(days))


async def test_the_mailbox_of_another_household_is_left_alone(tmp_path: Path) -> None:
    await make(tmp_path / "h", readers=["cook"])
    async with post_office() as server:
        await run(tmp_path / "h", server, SUNDAY)
        clock, ids = Fixed(JOINED), CountedIds()
        ids.household()
        other = await assemble.make_home(tmp_path / "o", "Other", "Europe/London", [], clock, ids)
        await other.close()
        (tmp_path / "o" / BOX).write_bytes((tmp_path / "h" / BOX).read_bytes())
        with pytest.raises(TornFile, match="another household"):
            await run(tmp_path / "o", server, SUNDAY)


async def test_the_households_own_hour_and_zone(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with ledger_of(home, JOINED) as ledger:
        assert str(hour_for(ledger.book)) == "Sunday 18:00"
        body = StoreSet(store="", facts={"digest": "Friday 07:30"})
        await ledger.write([Draft(body=body)], meta={"timezone": "Pacific/Auckland"})
        assert str(hour_for(ledger.book)) == "Friday 07:30"
    friday = at("2026-11-20T07:30:00+13:00")
    async with post_office() as server:
        await run(home, server, friday - 1)
        assert server.taken == []
        await run(home, server, friday)
        assert len(server.taken) == 1
        # the household moves to London before the same Friday morning comes there
        async with ledger_of(home, friday + 1) as ledger:
            moved = MemberSet(member="cook", facts={"role": "moved"})
            await ledger.write([Draft(body=moved)], meta={"timezone": "Europe/London"})
        await run(home, server, at("2026-11-20T07:30:00+00:00"))
        assert len(server.taken) == 1
        await run(home, server, at("2026-11-27T07:30:00+00:00"))
        assert len(server.names()) == len(server.taken) == 2


async def test_what_cannot_wait_is_told_once_a_day_to_who_wants_it(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home)
    noon = at("2026-11-19T12:00:00+00:00")
    async with ledger_of(home, noon) as ledger:
        bodies: list[Body] = [
            MemberSet(member="cook", facts={"digest": "urgent"}),
            StoreSet(store="chest", facts={"kind": "freezer"}),
            Measured(store="chest", celsius_milli=-9_000),
        ]
        for body in bodies:
            await ledger.write([Draft(body=body)])
    async with post_office() as server:
        for hours in (0, 1, 2, 11):
            await run(home, server, noon + hours * DAY // 24)
        assert [one.to for one in server.taken] == ["cook@example.org"]
        assert "chest is too warm: -9.0 °C (16 °F)" in server.taken[0].message["Subject"]
        assert "Thawed: what stood above 40 F" in " ".join(server.taken[0].part("plain").split())
        async with ledger_of(home, noon + DAY) as ledger:
            await ledger.write([Draft(body=Measured(store="chest", celsius_milli=-8_000))])
        await run(home, server, noon + DAY)
        assert len(server.names()) == len(server.taken) == 2


async def test_the_day_of_held_food_is_told_once_and_not_every_day(tmp_path: Path) -> None:
    """Looked at from two days before its day to three days after it, and with a machine asleep."""
    for name, hours in (("awake", range(-48, 72, 6)), ("asleep", range(12, 72, 6))):
        home, day = tmp_path / name, at("2026-11-19T00:00:00+00:00")
        await make(home, now=day - 3 * DAY, readers=["cook"])
        async with ledger_of(home, day - 3 * DAY + 1000) as ledger:
            kraut = Received(food="sauerkraut", amount=amount(18, "lb"), store="kitchen")
            (made, *_) = await ledger.write(
                [
                    Draft(body=kraut),
                    Draft(body=MemberSet(member="cook", facts={"digest": "urgent"})),
                ]
            )
            held = Held(lot=f"{made.record.name}:0", until="2026-11-19", reason="crock")
            await ledger.write([Draft(body=held)])
        async with post_office() as server:
            for hour in hours:
                await run(home, server, day + hour * DAY // 24)
            (told,) = server.taken
        assert "Held to 19 Nov 2026: 18 lb sauerkraut" in told.message["Subject"]
        assert "girnel release LOT" in told.part("plain")
