"""The service under load by wrk, beside the floors that each figure stands on, in the same run.

Floors: uvicorn alone and an empty GET of litestar for what a server costs, raw sqlite3 for what the
disk costs, the ledger in this process for what looking at records and folding them costs. What is
pushed is let in by its token, looked at, stamped, on disk and folded before it is answered. The aims
are for a machine that does nothing else, and no test hangs on them: each hangs on its ratio. Needs
wrk; run with `uv run pytest -m bench -s tests/bench/test_serve.py`.
"""

import asyncio
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import httpx
import msgspec
import pytest
from msgspec import Struct

from events import codec
from service import access, assemble
from service.clock import CountedIds, Fixed, RandomIds, System
from service.gather import Gather
from service.storage.store import Item
from tests.bench import bare
from tests.bench.test_append import NOW, append_raw, raw_database, record
from tests.running import Running, made, running

pytestmark = pytest.mark.bench

CONNECTIONS = 16
BATCH = 100
SECONDS = 4
PUSHES = 150
"""Pushes of a hundred that each connection has ready: more than it gets rid of."""
SINGLES = 4000
PAGE = "SELECT position, received, sent_by, content FROM entries WHERE position > ? LIMIT ?"
HERE = Path(__file__).parent


class Figures(Struct, frozen=True):
    """What wrk told of a run; times in milliseconds."""

    requests: int
    seconds: float
    wrong: int
    p50: float
    p99: float

    @property
    def rate(self) -> float:
        return self.requests / self.seconds

    def __str__(self) -> str:  # type: ignore[explicit-override]
        return f"p50 {self.p50:.2f} p99 {self.p99:.2f} ms"


def wrk(url: str, connections: int, *more: str, folder: Path | None = None) -> Figures:
    """Drive a server; a thread a connection where each has bodies of its own."""
    threads = connections if folder else 1
    command = ["wrk", f"-t{threads}", f"-c{connections}", f"-d{SECONDS}s", "--timeout", "20s", *more,
               "-s", str(HERE / "serve.lua"), url, "--", *([str(folder)] if folder else [])]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    figures = msgspec.json.decode(done.stdout.splitlines()[-1], type=Figures)
    assert figures.wrong == 0, done.stdout
    return figures


def said(device: str, count: int) -> list[bytes]:
    """Lots of beans, a new one each thirty records, and what was taken of them, by one device."""
    found = []
    for seq in range(1, count + 1):
        first = seq - (seq - 1) % 30
        one = record(1 if seq == first else seq)
        body = one.body if seq == first else msgspec.structs.replace(one.body, lot=f"{device}:{first}:0")  # fmt: skip
        found.append(codec.encode(msgspec.structs.replace(one, device=device, seq=seq, body=body)))
    return found


class Load:
    """A service with a paired device a connection."""

    def __init__(self, one: Running, tokens: Sequence[str], household: str) -> None:
        self.one = one
        self.tokens = tokens
        self.household = household

    def own(self, token: str, count: int) -> list[bytes]:
        device = token.partition(".")[0]
        return [
            content.replace(b'"household01"', b'"%s"' % self.household.encode())
            for content in said(device, count)
        ]

    def bodies(self, folder: Path, pushes: int, size: int) -> Path:
        """A file a connection: its token, then its pushes."""
        folder.mkdir()
        for number, token in enumerate(self.tokens):
            own = self.own(token, pushes * size)
            lines = [b"[" + b",".join(own[n : n + size]) + b"]" for n in range(0, len(own), size)]
            (folder / str(number)).write_bytes(b"\n".join([token.encode(), *lines]))
        return folder

    def end(self) -> str:
        """The cursor of the last entry."""
        page = self.one.get("/v1/events?limit=1000").json()
        while page["more"]:
            page = self.one.get(f"/v1/events?limit=1000&after={page['next']}").json()
        return str(page["next"])

    def auth(self, number: int = 0) -> tuple[str, str]:
        return ("-H", f"Authorization: Bearer {self.tokens[number]}")


@pytest.fixture
def load(tmp_path: Path) -> Iterator[Load]:
    if shutil.which("wrk") is None:
        if os.environ.get("GIRNEL_CI"):
            pytest.fail("wrk is not here")
        pytest.skip("wrk is not here")
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


@contextmanager
def floor(kind: str) -> Iterator[str]:
    with subprocess.Popen(
        [sys.executable, bare.__file__, kind], stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stdout is not None
            yield f"http://127.0.0.1:{int(process.stdout.readline())}/"
        finally:
            process.kill()


def told(capsys: pytest.CaptureFixture[str], *lines: str) -> None:
    with capsys.disabled():
        print("", *lines, sep="\n")


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


def raw_read_each_second(path: Path, size: int) -> float:
    """What raw sqlite3 reads of that, in pages."""
    raw = sqlite3.connect(path / "raw.db")
    begun, position, rows = time.perf_counter(), 0, 0
    while page := raw.execute(PAGE, (position, size)).fetchall():
        position = page[-1][0]
        rows += len(page)
    seconds = time.perf_counter() - begun
    raw.close()
    return rows / seconds


async def accepted_each_second(home: Path, contents: Sequence[bytes], size: int) -> float:
    """What the ledger takes in by itself, in this process, in batches of that size."""
    ledger = await assemble.make_home(home, "H", "Europe/London", [], Fixed(NOW), CountedIds())
    begun = time.perf_counter()
    for n in range(0, len(contents), size):
        await ledger.accept(contents[n : n + size], "cook")
    seconds = time.perf_counter() - begun
    await ledger.close()
    return len(contents) / seconds


def test_pushes_of_a_hundred_then_pulls(
    load: Load, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"{load.one.url}/v1/events"
    folder = load.bodies(tmp_path / "pushes", PUSHES, BATCH)
    before = int(load.end().rpartition(".")[2])
    pushed = wrk(url, CONNECTIONS, folder=folder)
    taken = int(load.end().rpartition(".")[2]) - before
    assert taken < CONNECTIONS * PUSHES * BATCH, "all was pushed before the time was up"
    assert taken >= pushed.requests * BATCH
    rate = taken / pushed.seconds
    contents = said("cook", 20_000)
    raw = raw_each_second(tmp_path, contents, BATCH)
    ledger = asyncio.run(accepted_each_second(tmp_path / "own", contents, BATCH))
    told(capsys, f"pushes of {BATCH}, {CONNECTIONS} connections: {rate:,.0f} records/s, {pushed};"
         f" aim 50,000. The ledger by itself {ledger:,.0f}/s ({rate / ledger:.2f} of it),"
         f" raw sqlite3 {raw:,.0f}/s ({rate / raw:.2f} of it)")  # fmt: skip
    pulled = wrk(f"{url}?limit=500", CONNECTIONS, *load.auth())
    with floor("alone") as url:
        alone = wrk(url, CONNECTIONS)
    read = raw_read_each_second(tmp_path, 500)
    told(capsys, f"pulls of 500, {CONNECTIONS} connections: {pulled.rate * 500:,.0f} records/s,"
         f" {pulled}; aim 400,000. Raw sqlite3 reads {read:,.0f}/s ({pulled.rate * 500 / read:.2f}"
         f" of it); {pulled.rate:,.0f} answers/s, uvicorn alone {alone.rate:,.0f} empty ones")  # fmt: skip
    assert rate >= ledger / 3
    assert rate >= raw / 20
    assert pulled.rate * 500 >= read / 20
    assert pulled.rate * 500 >= 4 * rate


def test_a_round_with_nothing_new(load: Load, capsys: pytest.CaptureFixture[str]) -> None:
    nothing = wrk(f"{load.one.url}/v1/events?after={load.end()}", 1, *load.auth())
    with floor("litestar") as url:
        empty = wrk(url, 1)
    with floor("alone") as url:
        alone = wrk(url, 1)
    told(capsys, f"a round with nothing new, 1 connection: {nothing}; aim 1 ms."
         f" An empty GET of litestar {empty} ({nothing.p50 / empty.p50:.1f} times it),"
         f" uvicorn alone {alone} ({nothing.p50 / alone.p50:.1f} times it)")  # fmt: skip
    assert nothing.p50 <= 5 * empty.p50


def test_single_pushes_as_a_share_of_an_empty_get(
    load: Load, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = load.bodies(tmp_path / "pushes", SINGLES, 1)
    pushed = wrk(f"{load.one.url}/v1/events", CONNECTIONS, folder=folder)
    assert pushed.requests < CONNECTIONS * SINGLES, "all was pushed before the time was up"
    health = wrk(f"{load.one.url}/health", CONNECTIONS)
    with floor("litestar") as url:
        empty = wrk(url, CONNECTIONS)
    told(capsys, f"single pushes, {CONNECTIONS} connections: {pushed.rate:,.0f}/s, {pushed}:"
         f" {pushed.rate / health.rate:.0%} of an empty GET here ({health.rate:,.0f}/s),"
         f" {pushed.rate / empty.rate:.0%} of one of litestar alone ({empty.rate:,.0f}/s)")  # fmt: skip
    assert pushed.rate >= 0.1 * health.rate


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
    raw = raw_each_second(tmp_path, said("cook", writers * count), writers)
    told(capsys, f"{writers} writers of single records: {figures[True]:,.0f}/s, each by itself"
         f" {figures[False]:,.0f}/s; aim 30,000. Raw sqlite3 in {writers}s {raw:,.0f}/s"
         f" ({figures[True] / raw:.2f} of it)")  # fmt: skip
    assert figures[True] >= 2 * figures[False]


def test_memory_and_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = made(tmp_path / "home")
    starts, kilobytes, floors = [], 0, []
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
        floors.append(time.perf_counter() - begun)
    told(capsys, f"idle: {kilobytes / 1024:.0f} MB (aim 80); first answer after"
         f" {min(starts):.2f} to {max(starts):.2f} s (aim 1), to import the framework"
         f" {min(floors):.2f} s ({min(starts) / min(floors):.1f} times it)")  # fmt: skip
    assert kilobytes < 80 * 1024
    assert min(starts) < 4 * min(floors)
