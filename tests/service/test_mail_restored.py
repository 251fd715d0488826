"""A log that was set back: mail waits a day, for every other device, or for a keeper's word."""

from pathlib import Path

from service import access, assemble
from service.clock import Clock, CountedIds, Fixed, RandomIds
from service.jobs.heard import MINUTES, WAIT, waits_until
from service.jobs.household import BOX, WORD, ask_devices, household_jobs, open_box
from tests.post import Server, post_office
from tests.service.test_mail_processes import sends
from tests.service.test_mail_work import SUNDAY, WEEK, make, run

MINUTE = 60_000
BACK = SUNDAY + 1000
"""When it is found that the log was set back."""


def log_of(home: Path) -> bytes:
    return (home / "log.db").read_bytes()


def put_back(home: Path, log: bytes) -> None:
    for extra in home.glob("log.db-*"):
        extra.unlink()
    (home / "log.db").write_bytes(log)


async def set_back(
    home: Path, server: Server, names: tuple[str, ...], found: int = BACK
) -> dict[str, str]:
    """A household whose week was sent, and whose log is that of before; its devices' tokens."""
    await make(home, readers=["cook"])
    before = log_of(home)
    tokens = {}
    doors = access.at(home, Fixed(SUNDAY - WEEK), RandomIds())
    for name in names:
        code = await doors.pair(name=name)
        made = await doors.redeem(code.code)
        tokens[name] = made.token
    doors.close()
    await run(home, server, SUNDAY)
    put_back(home, before)
    assert await run(home, server, found) == found + WAIT
    assert len(server.taken) == 1
    return tokens


async def hear(home: Path, clock: Clock, *tokens: str) -> None:
    """Those devices ask the service something."""
    doors = access.at(home, clock, RandomIds())
    for token in tokens:
        assert await doors.who(token) is not None
    doors.close()


async def asked(home: Path, now: int) -> int | None:
    """Until when mail waits, once it was looked who has been heard."""
    clock = Fixed(now)
    async with (
        open_box(home, clock) as box,
        assemble.open_home(home, clock, writing=True) as ledger,
    ):
        doors = access.at(home, clock, RandomIds())
        await ask_devices(box, doors, ledger, now)
        doors.close()
        return await waits_until(box, now)


async def test_once_every_device_was_heard_mail_goes_out(tmp_path: Path) -> None:
    home = tmp_path / "h"
    async with post_office() as server:
        tokens = await set_back(home, server, ("phone", "tablet"))
        await hear(home, Fixed(BACK + MINUTE), tokens["phone"])
        assert await asked(home, BACK + 2 * MINUTE) == BACK + WAIT  # the tablet may know more
        await hear(home, Fixed(BACK + 3 * MINUTE), tokens["tablet"])
        now = BACK + 4 * MINUTE
        assert await asked(home, now) == now + MINUTES
        assert await asked(home, now + MINUTE) == now + MINUTES  # it is not put off again
        assert await asked(home, now + MINUTES) is None


async def test_a_device_that_was_heard_before_the_log_was_set_back_is_not_enough(
    tmp_path: Path,
) -> None:
    home = tmp_path / "h"
    async with post_office() as server:
        tokens = await set_back(home, server, ("phone",))
        await hear(home, Fixed(BACK - MINUTE), tokens["phone"])
        assert await asked(home, BACK + MINUTE) == BACK + WAIT


async def test_a_retired_device_is_not_waited_for(tmp_path: Path) -> None:
    home = tmp_path / "h"
    async with post_office() as server:
        tokens = await set_back(home, server, ("phone", "lost"))
        await hear(home, Fixed(BACK + MINUTE), tokens["phone"])
        assert await asked(home, BACK + 2 * MINUTE) == BACK + WAIT
        doors = access.at(home, Fixed(BACK + 3 * MINUTE), RandomIds())
        await doors.retire(tokens["lost"].partition(".")[0])
        doors.close()
        assert await asked(home, BACK + 4 * MINUTE) == BACK + 4 * MINUTE + MINUTES


async def test_a_household_without_another_device_waits_its_day(tmp_path: Path) -> None:
    home = tmp_path / "h"
    async with post_office() as server:
        await set_back(home, server, ())
        assert await asked(home, BACK + MINUTE) == BACK + WAIT


async def test_the_console_heeds_the_devices_too_and_says_what_is_waited_for(
    tmp_path: Path,
) -> None:
    home = tmp_path / "h"
    async with post_office() as server:
        tokens = await set_back(home, server, ("phone",))
        code, told = await sends(home, server, BACK + MINUTE)
        assert code == 1
        assert "mail waits until 2026-11-23T18:00:01+00:00, or until every other device" in told
        await hear(home, Fixed(BACK + 2 * MINUTE), tokens["phone"])
        assert (await sends(home, server, BACK + 3 * MINUTE))[0] == 1
        assert await sends(home, server, BACK + 5 * MINUTE) == (0, "Nothing is due.")
        assert len(server.taken) == 1


async def test_a_served_household_goes_on_by_itself(tmp_path: Path) -> None:
    """Found minutes before the next week is due: that goes out soon, and not a day late."""
    home, due = tmp_path / "h", SUNDAY + WEEK
    async with post_office() as server:
        tokens = await set_back(home, server, ("phone",), found=due - 3 * MINUTE)
        clock = Fixed(due - 2 * MINUTE)
        doors = access.at(home, clock, RandomIds())
        async with (
            assemble.open_home(home, clock, writing=True) as ledger,
            household_jobs(home, ledger, clock, server.mail(), doors, CountedIds()) as jobs,
        ):
            (post,) = [job for job in jobs if job.name == "mail"]
            for minute, sent in enumerate((1, 1, 1, 2)):
                clock.ms = due + (minute - 2) * MINUTE
                if minute == 1:
                    assert await doors.who(tokens["phone"]) is not None
                await post.run()
                assert len(server.taken) == sent, minute
        doors.close()


async def test_a_keepers_word_reaches_whoever_has_the_mail_in_hand(tmp_path: Path) -> None:
    """Beside a running service: it sends, and a word in the home tells it to go on."""
    home = tmp_path / "h"
    async with post_office() as server:
        await set_back(home, server, ())
        clock = Fixed(BACK + WEEK)
        (home / BOX).unlink()  # known to be set back only now, with the word already given
        async with (
            assemble.open_home(home, clock, writing=True) as ledger,
            household_jobs(home, ledger, clock, server.mail(), None, CountedIds()) as jobs,
        ):
            (post,) = [job for job in jobs if job.name == "mail"]
            assert await sends(home, server, clock.ms, "--go-on") == (
                0,
                "Another process sends the mail of this home: what waits goes out in a minute.",
            )
            await post.run()
            assert not (home / WORD).exists()
            assert len(server.taken) == 2


async def test_a_word_given_before_it_was_known_that_mail_has_to_wait(tmp_path: Path) -> None:
    """The keeper who puts a copy back says so in the same breath."""
    home = tmp_path / "h"
    async with post_office() as server:
        await make(home, readers=["cook"])
        before = log_of(home)
        await run(home, server, SUNDAY)
        put_back(home, before)
        assert (await sends(home, server, SUNDAY + WEEK))[0] == 1
        put_back(home, before)
        assert await sends(home, server, SUNDAY + WEEK, "--go-on") == (0, "1 sent.")
        assert len(server.taken) == len(server.names()) == 2
