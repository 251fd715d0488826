"""A load client: many connections that each send their next request when the last is answered.

It reads no more of an answer than its length, so that the server is what is measured.
"""

import asyncio
import time
from collections.abc import Iterator, Sequence

import uvloop
from msgspec import Struct


class Figures(Struct, frozen=True):
    """What a run came to; times in milliseconds."""

    requests: int
    seconds: float
    p50: float
    p99: float

    @property
    def each_second(self) -> float:
        return self.requests / self.seconds


def request(method: str, path: str, token: str, body: bytes = b"") -> bytes:
    """A request as it goes over the wire."""
    head = (
        f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer {token}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body


def drive(port: int, connections: Sequence[Sequence[bytes]]) -> Figures:
    """Each connection sends its requests, one after the other; all at once."""
    times: list[float] = []

    async def all_of_them() -> float:
        opened = [await asyncio.open_connection("127.0.0.1", port) for _ in connections]
        begun = time.perf_counter()
        await asyncio.gather(
            *(
                _send(r, w, iter(own), times)
                for (r, w), own in zip(opened, connections, strict=True)
            )
        )
        ended = time.perf_counter()
        for _, writer in opened:
            writer.close()
        return ended - begun

    with asyncio.Runner(loop_factory=uvloop.new_event_loop) as runner:
        seconds = runner.run(all_of_them())
    times.sort()
    return Figures(
        len(times), seconds, times[len(times) // 2] * 1000, times[int(len(times) * 0.99)] * 1000
    )


async def _send(
    reader: asyncio.StreamReader,
    writer: asyncio.StreamWriter,
    requests: Iterator[bytes],
    times: list[float],
) -> None:
    for one in requests:
        begun = time.perf_counter()
        writer.write(one)
        head = await reader.readuntil(b"\r\n\r\n")
        if not head.startswith(b"HTTP/1.1 200"):
            raise AssertionError(head + await reader.read(500))
        at = head.lower().index(b"content-length:")
        length = int(head[at + 15 : head.index(b"\r\n", at)])
        await reader.readexactly(length)
        times.append(time.perf_counter() - begun)
