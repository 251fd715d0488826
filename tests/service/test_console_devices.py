"""Devices at the console: the list, what one is called, retiring one, beside a service too."""

import asyncio
from contextlib import closing
from pathlib import Path

import pytest

from service import access, assemble
from service.access import Redeemed
from service.clock import RandomIds, moment
from service.console.devices import AT_ONCE_S
from service.settings import Settings
from tests.console import NOW, Console


def paired(home: Path, name: str) -> Redeemed:
    async def pair() -> Redeemed:
        clock = Settings(home=home, now_ms=moment(NOW)).clock()
        with closing(access.at(home, clock, RandomIds())) as who_may:
            return await who_may.redeem((await who_may.pair(name=name)).code)

    return asyncio.run(pair())


def still_in(home: Path, token: str) -> bool:
    async def ask() -> bool:
        clock = Settings(home=home, now_ms=moment(NOW)).clock()
        with closing(access.at(home, clock, RandomIds())) as who_may:
            return await who_may.who(token) is not None

    return asyncio.run(ask())


def test_a_household_begins_with_the_device_that_keeps_its_log(lane: Console) -> None:
    (one,) = lane.json("devices")
    assert (one["role"], one["here"], one["retired"]) == ("keeper", True, False)
    assert "the home computer" in lane.does("devices")
    assert not (lane.home / access.FILE).exists()


def test_a_paired_device_is_listed_named_and_retired(lane: Console) -> None:
    made = paired(lane.home, "barn tablet")
    device = made.holder.device
    listed = {one["device"]: one for one in lane.json("devices")}
    assert listed[device]["name"] == "barn tablet"
    assert listed[device]["heard"] == moment(NOW)
    assert "Sun 22 Nov 10:00" in lane.does("devices", "barn")
    assert lane.does("devices", "barn", "--name", "barn slate") == f"{device} is called barn slate."
    assert lane.does("devices", "Barn Slate", "--retire").startswith("barn slate is retired")
    assert not still_in(lane.home, made.token)
    (one,) = lane.json("devices", device)
    assert (one["name"], one["retired"]) == ("barn slate", True)
    exported = lane.log().decode()
    assert '"name":"barn slate"' in exported
    assert '"retired":"yes"' in exported


def test_a_device_that_has_logged_and_was_never_paired_is_named_in_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    console = Console(tmp_path / "home", monkeypatch, capsys)
    console.does("demo", "--home", str(console.home))
    said = console.does("devices")
    assert "teen-phone the teen's phone, not paired, 1 record of it not here yet" in said
    console.does("devices", "teen-phone", "--name", "the old phone")
    assert console.json("devices", "the old")[0]["device"] == "teen-phone"


def test_which_device_is_meant_has_to_be_plain(lane: Console) -> None:
    paired(lane.home, "barn tablet")
    paired(lane.home, "barn scales")
    assert "may be" in lane.refuses("devices", "barn", "--retire", code=1)
    assert "No device" in lane.refuses("devices", "cellar", "--retire")
    assert "Which device" in lane.refuses("devices", "--retire")
    assert "keeps the log" in lane.refuses("devices", "the home computer", "--retire")
    assert "empty" in lane.refuses("devices", "barn tablet", "--name", " ")


def test_beside_a_program_that_holds_the_log_a_device_is_retired_at_once(lane: Console) -> None:
    made = paired(lane.home, "lost phone")
    device = made.holder.device

    async def while_held() -> None:
        clock = Settings(home=lane.home, now_ms=moment(NOW)).clock()
        async with assemble.open_home(lane.home, clock, writing=True) as ledger:
            await asyncio.to_thread(lane.run, "devices", "lost", "--retire")
            assert "retired" not in ledger.book.settings.devices.get(device, {})
            with closing(access.at(lane.home, clock, RandomIds())) as who_may:
                assert await who_may.who(made.token) is None
                assert await who_may.announce(ledger) == 1
            assert ledger.book.settings.devices[device]["retired"] == "yes"

    asyncio.run(while_held())
    assert AT_ONCE_S < 1
    assert lane.err == ""
