"""The service under load, beside the floor that each figure stands on, in the same run.

Floors: an empty GET for what the server itself costs, raw sqlite3 for what the disk costs. What is
pushed is looked at, stamped, folded and on disk before it is answered. Memory and start are those
of a process that serves an empty household.
"""

import asyncio
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import httpx
import msgspec
import pytest

from events import codec
from service import access, assemble
from service.clock import CountedIds, Fixed, RandomIds, System
from service.gather import Gather
from service.storage.store import Item
from tests.bench.test_append import NOW, append_raw, raw_database, record
from tests.load import drive, request
from tests.running import Running, made, running

pytestmark = pytest.mark.bench

CONNECTIONS = 16
BATCH = 100
BATCHES = 25


def said(device: str, count: int) -> list[bytes]:
    """A lot of beans and what was taken of it, by a device in its own household."""
    found = []
    for seq in range(1, count + 1):
        one = record(seq)
        body = one.body if seq == 1 else msgspec.structs.replace(one.body, lot=f"{device}:1:0")
        found.append(codec.encode(msgspec.structs.replace(one, device=device, seq=seq, body=body)))
    return found


class Load:
    """A service with a paired device a connection."""

    def __init__(self, one: Running, tokens: Sequence[str], household: str) -> None:
        self.one = one
        self.port = int(one.url.rpartition(":")[2])
        self.tokens = tokens
        self.household = household

    def own(self, token: str, count: int) -> list[bytes]:
        device = token.partition(".")[0]
        return [
            content.replace(b'"household01"', b'"%s"' % self.household.encode())
            for content in said(device, count)
        ]


@pytest.fixture
def load(tmp_path: Path) -> Iterator[Load]:
    home = made(tmp_path / "home")

    async def pair() -> list[str]:
        doors = access.at(home, System(), RandomIds())
        codes = [await doors.pair() for _ in range(CONNECTIONS)]
        tokens = [(await doors.redeem(code.code)).token for code in codes]
        doors.close()
        return tokens

    async def whose() -> str:
        async with assemble.open_home(home, System(), writing=False) as ledger:
            return ledger.household.id

    with running(home) as one:
        yield Load(one, asyncio.run(pair()), asyncio.run(whose()))


def told(capsys: pytest.CaptureFixture[str], line: str) -> None:
    with capsys.disabled():
        print(f"\n{line}")


def raw_each_second(path: Path, contents: Sequence[bytes], size: int) -> float:
    """What raw sqlite3 does of the same, in batches of that size."""
    raw = raw_database(path / "raw.db")
    items = [Item("cook", n, content, "cook") for n, content in enumerate(contents, 1)]
    begun = time.perf_counter()
    for n in range(0, len(items), size):
        append_raw(raw, items[n : n + size], n + 1)
    seconds = time.perf_counter() - begun
    raw.close()
    return len(items) / seconds


def test_pushes_of_a_hundred_then_pulls(
    load: Load, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = [load.own(token, BATCH * BATCHES) for token in load.tokens]
    pushes = [
        [
            request("POST", "/v1/events", token, b"[" + b",".join(mine[n : n + BATCH]) + b"]")
            for n in range(0, len(mine), BATCH)
        ]
        for token, mine in zip(load.tokens, own, strict=True)
    ]
    pushed = drive(load.port, pushes)
    floor = raw_each_second(tmp_path, own[0], BATCH)
    rate = pushed.each_second * BATCH
    told(capsys, f"pushes of {BATCH}, {CONNECTIONS} connections: {rate:,.0f} records/s, p50"
                 f" {pushed.p50:.1f} p99 {pushed.p99:.1f} ms; raw sqlite3 {floor:,.0f}/s; aim 50,000")  # fmt: skip
    token = load.tokens[0]
    page = request("GET", "/v1/events?limit=500", token)
    pulled = drive(load.port, [[page] * 60] * CONNECTIONS)
    told(capsys, f"pulls of 500, {CONNECTIONS} connections: {pulled.each_second * 500:,.0f} records/s,"
                 f" p50 {pulled.p50:.1f} p99 {pulled.p99:.1f} ms; aim 400,000")  # fmt: skip
    end = load.one.get("/v1/events?limit=1000").json()
    while end["more"]:
        end = load.one.get(f"/v1/events?limit=1000&after={end['next']}").json()
    empty = drive(load.port, [[request("GET", "/health", token)] * 2000])
    nothing = drive(load.port, [[request("GET", f"/v1/events?after={end['next']}", token)] * 2000])
    told(capsys, f"a round with nothing new, 1 connection: p50 {nothing.p50:.2f} ms,"
                 f" p99 {nothing.p99:.2f} ms; aim 1 ms")  # fmt: skip
    told(capsys, f"an empty GET, 1 connection: p50 {empty.p50:.2f} ms, p99 {empty.p99:.2f} ms")
    assert pulled.each_second * 500 >= 2 * floor
    assert nothing.p50 <= 2.5 * empty.p50
    assert rate >= floor / 10


def test_single_pushes_as_a_share_of_an_empty_get(
    load: Load, capsys: pytest.CaptureFixture[str]
) -> None:
    empty = drive(load.port, [[request("GET", "/health", "x")] * 300] * CONNECTIONS)
    pushes = [
        [request("POST", "/v1/events", token, b"[" + one + b"]") for one in load.own(token, 200)]
        for token in load.tokens
    ]
    pushed = drive(load.port, pushes)
    share = pushed.each_second / empty.each_second
    told(capsys, f"single pushes, {CONNECTIONS} connections: {pushed.each_second:,.0f}/s, p50"
                 f" {pushed.p50:.1f} p99 {pushed.p99:.1f} ms: {share:.0%} of an empty GET"
                 f" ({empty.each_second:,.0f}/s)")  # fmt: skip
    assert share >= 0.1


async def test_many_writers_of_single_records_in_process(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    writers, count = 64, 150
    own = {f"d{w}": said(f"d{w}", count) for w in range(writers)}
    figures = {}
    for gathered in (False, True):
        with TemporaryDirectory(dir=tmp_path) as home:
            ledger = await assemble.make_home(
                Path(home), "H", "Europe/London", [], Fixed(NOW + 10_000_000), CountedIds()
            )
            door = Gather(ledger) if gathered else ledger

            async def write(device: str, door: Gather = door) -> None:  # type: ignore[assignment]
                for content in own[device]:
                    await door.accept([content], device)

            begun = time.perf_counter()
            await asyncio.gather(*(write(device) for device in own))
            figures[gathered] = writers * count / (time.perf_counter() - begun)
            await ledger.close()
    told(capsys, f"{writers} writers of single records: {figures[True]:,.0f}/s, each by itself"
                 f" {figures[False]:,.0f}/s; aim 30,000")  # fmt: skip
    assert figures[True] >= 2 * figures[False]


def test_memory_and_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = made(tmp_path / "home")
    starts, kilobytes = [], 0
    for _ in range(3):
        begun = time.perf_counter()
        with running(home) as one:
            assert httpx.get(f"{one.url}/health").status_code == 200
            starts.append(time.perf_counter() - begun)
            kilobytes = int(
                subprocess.run(
                    ["ps", "-o", "rss=", "-p", str(one.process.pid)],
                    capture_output=True, text=True, check=True,
                ).stdout
            )  # fmt: skip
            one.end()
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import litestar, uvicorn"], check=True)
    floor = time.perf_counter() - begun
    told(capsys, f"idle: {kilobytes / 1024:.0f} MB (aim 80); first answer after"
                 f" {min(starts):.2f} to {max(starts):.2f} s (aim 1), to import the framework {floor:.2f} s")  # fmt: skip
    assert kilobytes < 80 * 1024
    assert min(starts) < 5 * floor
