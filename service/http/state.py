"""What every route has before it, and what was said of how the service runs."""

import asyncio
from typing import Any, cast

from litestar import Request
from msgspec import Struct

from service.access import Access, Holder
from service.clock import Clock
from service.gather import Gather
from service.http.limits import Buckets, Limits
from service.ledger import Ledger
from service.settings import Settings
from service.sync.messages import FIRST_EPOCH, Cursor
from service.sync.standing import Standing

SNAPSHOT = "snapshot.gz"
"""The file in a home that holds the snapshot for a new replica, while the service runs."""


class Serving(Struct, frozen=True, kw_only=True):
    """How the service runs."""

    hosts: frozenset[str] | None = None
    """names under which it may be asked for; None: any. On loopback a page elsewhere could else
    reach it under a name of its own"""
    local_token: str | None = None
    """what a console in the same home shows, to write as this device"""
    limits: Limits = Limits()
    heartbeat_s: float = 15.0
    """seconds of quiet on a stream before a sign of life"""
    body_s: float = 30.0
    """seconds that a body may take to arrive"""


class Before:
    """What a route has before it; `app.state.before`."""

    def __init__(
        self, ledger: Ledger, access: Access, settings: Settings, serving: Serving
    ) -> None:
        self.ledger = ledger
        self.access = access
        self.settings = settings
        self.serving = serving
        self.clock: Clock = settings.clock()
        self.gather = Gather(ledger)
        self.standing = Standing(ledger, settings.home / SNAPSHOT)
        self.closing = asyncio.Event()
        limits, seconds = serving.limits, _seconds
        self.asked = Buckets(limits.each_second, limits.at_once, seconds)
        self.wrong = Buckets(limits.wrong_each_second, limits.wrong_at_once, seconds)

    def here(self) -> Cursor:
        """Which log this is, its epoch, and its last position."""
        return Cursor(self.ledger.household.id, FIRST_EPOCH, self.ledger.position)


def _seconds() -> float:
    return asyncio.get_running_loop().time()


def before(request: Request[Any, Any, Any]) -> Before:
    return cast("Before", request.app.state.before)


def holder(request: Request[Any, Any, Any]) -> Holder:
    """Who asks; the guard has put it there."""
    return cast("Holder", request.scope["holder"])  # type: ignore[typeddict-item]
