"""A console beside a running service: for whoever types, nothing changes."""

import json
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from service import assemble
from service.clock import System
from service.drafts import Draft
from service.errors import HomeInUse
from service.sync import beside
from tests.running import Running, girnel, made, running
from tests.serving import beans


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running(made(tmp_path_factory.mktemp("beside") / "home")) as running_one:
        yield running_one


def does(home: Path, *words: str) -> str:
    done = girnel(home, *words)
    assert (done.returncode, done.stderr) == (0, ""), (words, done.stderr)
    return done.stdout


def test_a_deed_is_written_by_the_service_and_told_back_as_ever(one: Running) -> None:
    told = does(one.home, "bring-in", "12 jars", "beans", "--in", "barn")
    assert "undo" in told
    (row,) = json.loads(does(one.home, "on-hand", "--json"))
    assert (row["food"], row["amount"]["value"]) == ("beans", "12")
    assert one.get("/v1/on-hand").json() == [row]
    assert "11" in does(one.home, "take", "1", "beans", "--in", "barn")
    assert does(one.home, "trail", "beans").count("\n") >= 3


def test_a_deed_whose_records_name_one_another(one: Running) -> None:
    bring = ("bring-in", "6 jars", "beets", "--form", "home-canned", "--in", "barn")
    lot = json.loads(does(one.home, *bring, "--json"))["lot"]
    told = does(one.home, "look", lot, "--in", "barn", "--unsealed", "2")
    hold = one.get("/v1/events?limit=1000").json()["entries"][-1]["record"]
    assert hold["body"]["kind"] == "held"
    assert f"{hold['device']}:{hold['seq']}" in " ".join(told.split())


def test_what_the_service_will_not_write_is_said_in_the_same_sentence(one: Running) -> None:
    before = one.get("/v1/events").json()["next"]
    done = girnel(one.home, "take", "1", "swedes", "--in", "barn")
    assert done.returncode == 2
    assert "swedes" in done.stderr
    assert one.get("/v1/events").json()["next"] == before


async def test_a_name_that_was_taken_meanwhile_is_not_taken_twice(one: Running) -> None:
    async with assemble.open_home(one.home, System(), writing=True) as ledger:
        assert isinstance(ledger, beside.Beside)
        promised = ledger.next_seq
        async with assemble.open_home(one.home, System(), writing=True) as other:
            (entry,) = await other.write([Draft(body=beans(1))])
        assert entry.record.seq == promised
        with pytest.raises(HomeInUse, match="say it again"):
            await ledger.write([Draft(body=beans(2))])
        await ledger.refresh()
        (entry,) = await ledger.write([Draft(body=beans(3))])
        assert entry.record.seq == promised + 1


async def test_many_consoles_at_once_are_all_heard(one: Running) -> None:
    before = one.get("/v1/events").json()["next"]
    failed: list[str] = []

    def type_it(number: int) -> None:
        done = girnel(one.home, "bring-in", f"{number} jars", f"jam {number}", "--in", "barn")
        if done.returncode:
            failed.append(done.stderr)

    threads = [threading.Thread(target=type_it, args=(number,)) for number in range(1, 4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    entries = one.get(f"/v1/events?after={before}").json()["entries"]
    assert sorted(e["record"]["body"]["food"] for e in entries) == ["jam 1", "jam 2", "jam 3"]


async def test_what_a_killed_service_left_is_not_taken_for_one(tmp_path: Path) -> None:
    home = made(tmp_path / "home")
    assert beside.answering(home) is None
    (home / beside.FILE).write_bytes(b"{")
    assert beside.answering(home) is None
    with socket.socket(socket.AF_UNIX) as left:
        left.bind(str(home / "serving.sock"))
        said = {"socket": str(home / "serving.sock"), "token": "x", "url": "http://x", "process": 1}
        (home / beside.FILE).write_text(json.dumps(said))
        assert beside.answering(home) is None
    async with assemble.open_home(home, System(), writing=True) as ledger:
        assert not isinstance(ledger, beside.Beside)
        assert await ledger.write([Draft(body=beans())])
