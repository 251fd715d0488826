"""Real processes that send mail, killed where it hurts: each reader has the week once in the mailbox.

What is counted is what a mailbox shows: messages by their Message-ID. Where a program was cut off
after a server had the message and before it could write that down, the same message goes out again;
nothing that speaks SMTP can know better.
"""

import asyncio
import os
import random
import signal
import sys
from pathlib import Path

from tests.post import Server, post_office
from tests.service.test_mail_work import SUNDAY, WEEK, make, said

ROOT = Path(__file__).parents[2]

HOUR = 3_600_000


async def girnel(home: Path, server: Server, now: int, *more: str) -> asyncio.subprocess.Process:
    """`girnel digest --send` at that moment, in a process of its own."""
    from service.clock import instant

    env = {name: value for name, value in os.environ.items() if not name.startswith("GIRNEL_")}
    env |= {
        "GIRNEL_HOME": str(home),
        "GIRNEL_NOW": instant(now, 0),
        "GIRNEL_MAIL_SERVER": f"127.0.0.1:{server.port}",
        "GIRNEL_MAIL_FROM": "larder@example.org",
        "GIRNEL_MAIL_SECURITY": "none",
        "PYTHONPATH": str(ROOT),
    }
    return await asyncio.create_subprocess_exec(
        sys.executable, "-m", "service.console", "digest", "--send", *more,
        env=env, stdout=asyncio.subprocess.PIPE, stderr=asyncio.subprocess.PIPE,
    )  # fmt: skip


async def sends(home: Path, server: Server, now: int, *more: str) -> tuple[int | None, str]:
    process = await girnel(home, server, now, *more)
    out, err = await process.communicate()
    return process.returncode, " ".join((out + err).decode().split())


async def test_sent_from_the_machines_own_timetable(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home)
    async with post_office() as server:
        assert await sends(home, server, SUNDAY - 1000) == (0, "Nothing is due.")
        assert await sends(home, server, SUNDAY) == (0, "2 sent.")
        assert await sends(home, server, SUNDAY + 1000) == (0, "Nothing is due.")
        assert len(server.taken) == 2
    assert [outcome for *_, outcome in await said(home)] == ["sent", "sent"]


async def test_killed_after_the_server_had_it_and_before_it_was_noted(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home)
    async with post_office() as server:
        had = asyncio.Event()

        async def stand_still() -> None:
            had.set()
            await asyncio.sleep(60)

        server.before_answer = stand_still
        process = await girnel(home, server, SUNDAY)
        await asyncio.wait_for(had.wait(), 30)
        process.kill()
        await process.communicate()
        server.before_answer = None
        # nobody knows of the first reader's, and the other's goes out at once
        code, told = await sends(home, server, SUNDAY + 1000)
        assert (code, told) == (0, "1 sent.")
        assert [outcome for *_, outcome in await said(home)] == ["outcome unknown", "sent"]
        assert await sends(home, server, SUNDAY + 2 * HOUR) == (0, "1 sent.")
        assert await sends(home, server, SUNDAY + 9 * HOUR) == (0, "Nothing is due.")
        assert len(server.names()) == 2
        assert len(server.taken) == 3
        one, again = [taken for taken in server.taken if taken.name == server.taken[0].name]
        assert one.content == again.content
    assert [outcome for *_, outcome in await said(home)] == ["outcome unknown", "sent", "sent"]


async def test_killed_before_the_server_had_anything(tmp_path: Path) -> None:
    """Cut off while the server thinks about the reader: nothing was sent, and nothing is unknown."""
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        process: list[asyncio.subprocess.Process] = []

        def kill(_: str) -> None:
            process[0].kill()

        server.rcpt = kill
        process.append(await girnel(home, server, SUNDAY))
        await process[0].communicate()
        assert process[0].returncode == -signal.SIGKILL
        server.rcpt = lambda _: None
        assert await sends(home, server, SUNDAY + 1000) == (0, "1 sent.")
        assert len(server.taken) == 1
    assert [outcome for *_, outcome in await said(home)] == ["sent"]


async def test_two_processes_at_once(tmp_path: Path) -> None:
    home = tmp_path / "h"
    await make(home)
    async with post_office() as server:
        both = await asyncio.gather(*(sends(home, server, SUNDAY) for _ in range(2)))
        assert sorted(code for code, _ in both if code is not None) == [0, 0]
        assert sorted(told for _, told in both) == ["2 sent.", "Nothing is due."]
        assert len(server.taken) == len(server.names()) == 2


async def test_a_second_one_while_the_server_takes_its_time(tmp_path: Path) -> None:
    """It says who sends, and touches nothing; a deed of the household is written meanwhile."""
    home = tmp_path / "h"
    await make(home, readers=["cook"])
    async with post_office() as server:
        had, go = asyncio.Event(), asyncio.Event()

        async def wait() -> None:
            had.set()
            await go.wait()

        server.before_answer = wait
        first = await girnel(home, server, SUNDAY)
        await asyncio.wait_for(had.wait(), 30)
        code, told = await sends(home, server, SUNDAY)
        assert code == 2
        assert "which sends it: nothing is to be done here" in told
        env = os.environ | {"GIRNEL_HOME": str(home), "PYTHONPATH": str(ROOT)}
        deed = await asyncio.create_subprocess_exec(
            sys.executable, "-m", "service.console", "member", "add", "guest", env=env
        )
        assert await deed.wait() == 0
        go.set()
        out, _ = await first.communicate()
        assert out.decode().strip() == "1 sent."
        assert len(server.taken) == 1


async def test_a_storm_of_restarts(tmp_path: Path) -> None:
    """Killed at any moment, again and again, week after week: each week is in each mailbox once."""
    home, chance = tmp_path / "h", random.Random(5)
    await make(home)
    now, kills = SUNDAY - HOUR, 0
    async with post_office() as server:
        for _ in range(4):
            now += HOUR
            for _ in range(5):
                process = await girnel(home, server, now)
                try:
                    await asyncio.wait_for(process.wait(), chance.uniform(0.1, 1.2))
                except TimeoutError:
                    process.kill()
                    kills += 1
                await process.communicate()
                now += chance.choice((1000, HOUR // 2))
            while (await sends(home, server, now))[1] != "Nothing is due.":
                now += 2 * HOUR
            now += WEEK - (now - SUNDAY) % WEEK - HOUR
        assert kills >= 5
        assert len(server.names()) == 8, [one.name for one in server.taken]
        weeks = {(one.to, str(one.message["Subject"])) for one in server.taken}
        assert len(weeks) == 8
    sent = {(reader, week) for reader, week, outcome in await said(home) if outcome == "sent"}
    assert len(sent) == 8
