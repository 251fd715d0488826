"""Connections that say nothing, heads that do not end: let go of, while others are answered."""

import asyncio
import contextlib
import signal
import socket
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from service.http import running
from service.http.patience import HEAD
from service.http.running import Place
from tests.serving import serving

GET = b"GET /health HTTP/1.1\r\nHost: localhost\r\n"


@contextlib.asynccontextmanager
async def listening(home: Path) -> AsyncIterator[int]:
    async with serving(home) as served:
        line = running.listen(Place(port=0))
        ready = asyncio.Event()
        task = asyncio.create_task(running.run(served.app, Place(), line, ready.set))
        await ready.wait()
        yield line.getsockname()[1]
        signal.raise_signal(signal.SIGINT)
        await task


@pytest.fixture
async def port(tmp_path: Path) -> AsyncIterator[int]:
    """A service on a real port in this process."""
    async with listening(tmp_path) as number:
        yield number


@pytest.fixture
async def quick(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[int]:
    """One that looks round five times a second."""
    monkeypatch.setattr(running, "HEAD_S", 0.2)
    async with listening(tmp_path) as number:
        yield number


async def told(reader: asyncio.StreamReader, seconds: float = 5) -> bytes:
    """All that is said until the other side closes."""
    with contextlib.suppress(ConnectionResetError):
        return await asyncio.wait_for(reader.read(), seconds)
    return b"reset"


@pytest.mark.parametrize("begun", [b"", b"GET /hea", GET, GET + b"X: "])
async def test_who_does_not_go_on_is_let_go(quick: int, begun: bytes) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", quick)
    writer.write(begun)
    assert await told(reader) == b""
    writer.close()


async def test_who_sends_half_a_second_request_is_let_go_too(quick: int) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", quick)
    writer.write(GET + b"\r\n")
    assert (await reader.readuntil(b'{"status":"ok"}')).startswith(b"HTTP/1.1 200")
    writer.write(GET)
    assert await told(reader) == b""
    writer.close()


async def test_who_rests_between_two_requests_is_not(quick: int) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", quick)
    for _ in range(2):
        writer.write(GET + b"\r\n")
        assert (await reader.readuntil(b'{"status":"ok"}')).startswith(b"HTTP/1.1 200")
        await asyncio.sleep(0.8)
    writer.close()


async def test_a_head_that_does_not_end_is_not_held(port: int) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(GET)
    sent = 0
    with contextlib.suppress(ConnectionError):
        while sent < 50 * HEAD and not reader.at_eof():
            writer.write(b"X-%d: %b\r\n" % (sent, b"a" * 1000))
            await writer.drain()
            await asyncio.sleep(0.001)
            sent += 1000
    assert sent < 10 * HEAD
    writer.close()


async def test_what_is_said_of_it_is_a_problem(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.setblocking(False)
        loop = asyncio.get_running_loop()
        await loop.sock_sendall(line, GET + b"X: " + b"a" * HEAD)
        answer = await asyncio.wait_for(loop.sock_recv(line, 10_000), 5)
    assert answer.startswith(b"HTTP/1.1 431 ")
    assert b"application/problem+json" in answer
    assert b'"status":431' in answer


async def test_a_long_question_and_a_body_are_no_long_head(port: int) -> None:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(b"POST /v1/join HTTP/1.1\r\nHost: localhost\r\nContent-Length: 200000\r\n")
    writer.write(b"Content-Type: application/json\r\nX: " + b"a" * 9000 + b"\r\n\r\n")
    for _ in range(200):
        writer.write(b"x" * 1000)
        await writer.drain()
    assert (await reader.readline()).startswith(b"HTTP/1.1 413 ")
    writer.close()
