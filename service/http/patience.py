"""How long a connection is waited for, and how much of a request's head is held.

The server has neither bound: a head that never ends would stay in memory, and a connection that says
nothing would stay open. What comes after the head is bounded by `edge` and by each route. Rule:
nothing here reads what is sent.
"""

from typing import Any

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from service.http.problems import PROBLEM, Problem

HEAD = 64 * 1024
"""Bytes of a request's head, about: a token and a long question are a thousandth of it."""

HEAD_S = 10
"""Seconds between two looks at who is waited for; at the second look a connection is let go."""


class Bounded(HttpToolsProtocol):
    """A connection whose heads have a bound."""

    _in_head = False
    _held = 0

    def on_message_begin(self) -> None:  # type: ignore[explicit-override]
        self._in_head, self._held = True, 0
        super().on_message_begin()

    def on_headers_complete(self) -> None:  # type: ignore[explicit-override]
        self._in_head = False
        super().on_headers_complete()

    def data_received(self, data: bytes) -> None:  # type: ignore[explicit-override]
        super().data_received(data)
        if self._in_head:
            self._held += len(data)
            if self._held > HEAD and not self.transport.is_closing():
                self.transport.write(TOO_LONG)
                self.transport.close()


class Patience:
    """The connections of a server that are waited for: nothing of a request came, or half of a head."""

    def __init__(self) -> None:
        self._seen: dict[Any, object] = {}

    def look(self, connections: set[Any]) -> None:
        """Let go of those that were waited for at the last look too, and have not moved on since."""
        waiting = {one: one.cycle for one in connections if _waits(one)}
        for one, cycle in waiting.items():
            if one in self._seen and self._seen[one] is cycle:
                one.transport.close()
        self._seen = waiting


def _waits(one: Any) -> bool:
    """Whether it is for the other side to go on. Between two requests the server itself counts."""
    between = one.timeout_keep_alive_task is not None
    return not between and (one.cycle is None or one.cycle.response_complete)


def _too_long() -> bytes:
    body = Problem(431, "too-much", f"A request's head has {HEAD} bytes at the most.").body()
    head = (
        f"HTTP/1.1 431 Request Header Fields Too Large\r\ncontent-type: {PROBLEM}\r\n"
        f"content-length: {len(body)}\r\nconnection: close\r\n\r\n"
    )
    return head.encode() + body


TOO_LONG = _too_long()
