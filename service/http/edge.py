"""What stands around the app: the name it is asked for under, slow senders, the line in the journal.

It wraps the app as a plain function, so that it also sees what no route answers. Rules: nothing
passes that asks under a foreign name; a body that does not come is not waited for.
"""

import asyncio
import sys
from typing import TextIO

from litestar.types import ASGIApp, Message, Receive, ReceiveMessage, Scope, Send

from service.http import journal
from service.http.problems import PROBLEM, Problem
from service.http.state import Before

HEADERS = ((b"x-content-type-options", b"nosniff"), (b"referrer-policy", b"no-referrer"))


class Edge:
    """An app with its edge."""

    def __init__(self, app: ASGIApp, before: Before, to: TextIO = sys.stderr) -> None:
        self._app = app
        self._before = before
        self._to = to

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if str(scope["type"]) != "http":
            await self._app(scope, receive, send)
            return
        loop = asyncio.get_running_loop()
        begun = loop.time()
        status = 0

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message["headers"] = [*message.get("headers", ()), *HEADERS]
            await send(message)

        try:
            if (wrong := self._foreign(scope)) is not None:
                await _answer(wrong, sending)
            else:
                await self._app(scope, _patient(receive, self._before.serving.body_s), sending)
        finally:
            self._write(scope, status, (loop.time() - begun) * 1000)

    def _foreign(self, scope: Scope) -> Problem | None:
        """A problem where it is asked for under a name that is not its own."""
        hosts = self._before.serving.hosts
        if hosts is None:
            return None
        named = [value for name, value in scope["headers"] if name == b"host"]
        host = named[0].decode("latin-1") if len(named) == 1 else ""
        if bare(host) in hosts:
            return None
        return Problem(421, "wrong-host", f"Ask for it as {' or '.join(sorted(hosts))}.")

    def _write(self, scope: Scope, status: int, ms: float) -> None:
        holder = scope.get("holder")
        journal.request(
            self._to,
            now_ms=self._before.clock.now_ms(),
            method=str(scope["method"])[:10],  # type: ignore[typeddict-item]
            route=str(scope.get("path_template") or "-"),
            status=status,
            ms=ms,
            device=getattr(holder, "device", None),
        )


def bare(host: str) -> str:
    """A Host header without its port."""
    name, colon, port = host.rpartition(":")
    return (name if colon and port.isdigit() else host).lower()


def _patient(receive: Receive, seconds: float) -> Receive:
    """The same, but a body has so many seconds to arrive in."""
    loop = asyncio.get_running_loop()
    end = loop.time() + seconds
    whole = False

    async def receiving() -> ReceiveMessage:
        nonlocal whole
        if whole:
            return await receive()
        try:
            async with asyncio.timeout_at(end):
                message = await receive()
        except TimeoutError:
            raise Problem(
                408, "too-slow", f"The body did not come within {seconds:g} seconds.",
                {"Connection": "close"},
            ) from None  # fmt: skip
        whole = message["type"] != "http.request" or not message.get("more_body")
        return message

    return receiving


async def _answer(problem: Problem, send: Send) -> None:
    body = problem.body()
    headers = [
        (b"content-type", PROBLEM.encode()),
        (b"content-length", str(len(body)).encode()),
    ]
    await send({"type": "http.response.start", "status": problem.status, "headers": headers})
    await send({"type": "http.response.body", "body": body, "more_body": False})
