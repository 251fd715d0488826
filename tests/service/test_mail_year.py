"""A year of mail in twelve zones, through the file and a mail server: none missing, none twice.

Twelve households, each with an hour that the clock's changes leave out or repeat where there are any,
on a machine that looks at odd times. With eight readers each, as in `.ci/run`, that is 5,088 weeks;
the ordinary run has one reader each. Nothing here has to outlive the machine, so the disk is not waited for.
"""

import os
import random
from collections import Counter
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import msgspec
import pytest

from events.kinds import StoreSet
from service import assemble
from service.clock import CountedIds, Fixed
from service.drafts import Draft
from service.jobs.due import due_in, hour_of, week_of
from service.jobs.heard import note
from service.jobs.household import bring_out, open_box
from service.jobs.work import DAY, Office, settle
from tests.post import post_office
from tests.service.test_due import TWELVE
from tests.service.test_mail_work import TABLES, make

READERS = tuple(f"reader-{n}" for n in range(8 if "GIRNEL_CI" in os.environ else 1))
HOURS = ("Sunday 02:30", "Sunday 01:30", "Sunday 00:00", "Saturday 23:30")
WEEKS = 53
HOUR = DAY // 24


@pytest.mark.parametrize("number", range(12), ids=TWELVE)
async def test_a_year_of_weeks(number: int, tmp_path: Path) -> None:
    zone, chance = TWELVE[number], random.Random(number)
    hour = HOURS[number % 4]
    monday = datetime(2025, 12, 29, tzinfo=ZoneInfo(zone))
    start = round(monday.timestamp() * 1000)
    clock = Fixed(start)
    await make(tmp_path / "h", now=start, readers=READERS)
    async with (
        post_office() as server,
        open_box(tmp_path / "h", clock) as box,
        assemble.open_home(tmp_path / "h", clock, writing=True) as ledger,
    ):
        await box._run(lambda: box._raw.execute("PRAGMA synchronous = OFF"))
        body = StoreSet(store="", facts={"digest": hour})
        await ledger.write([Draft(body=body)], meta={"timezone": zone})
        ledger.household = msgspec.structs.replace(ledger.household, timezone=zone)
        office = Office(ledger, box, TABLES, server.mail(), CountedIds())
        while clock.ms < start + WEEKS * 7 * DAY:
            if await settle(office, clock.ms):
                await bring_out(box, server.mail(), clock)
                await note(ledger, box, clock.ms)
            clock.ms += chance.choice((HOUR, 9 * HOUR, 40 * HOUR))
        await settle(office, clock.ms)
        await bring_out(box, server.mail(), clock)
        letters = await box.letters(most=10_000)
    weeks = [week_of(monday.date() + timedelta(days=7 * k)) for k in range(WEEKS)]
    assert all(due_in(week, hour_of(hour), ZoneInfo(zone)).ms <= clock.ms for week in weeks)
    wanted = Counter((reader, week) for reader in READERS for week in weeks)
    assert Counter(one.key for one in letters if one.state == "sent") == wanted
    assert len(server.taken) == len(server.names()) == len(wanted) == 53 * len(READERS)
    assert {one.message["Message-ID"] for one in server.taken} == {
        one.message_id for one in letters
    }
