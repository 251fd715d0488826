"""The service for tests: an app over a household in memory, with a paired device for every role.

What asks it goes through the app itself, without a port; the real one is in `test_http_serve`.
"""

import hashlib
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

import httpx
import msgspec
from litestar import Litestar
from msgspec import Struct

from events import codec
from events.kinds import GRAIN, Amount, Body, Measured, Received, Stamp, StoreSet
from events.record import Record
from service import access, assemble
from service.access import Access, Role
from service.clock import CountedIds, Fixed, RandomIds
from service.http.app import make_app
from service.http.state import Before, Serving
from service.ledger import Ledger
from service.settings import Settings

NOW = 1_790_000_000_000
"""2026-09-21 14:13:20 UTC"""

ROLES: tuple[Role, ...] = ("keeper", "member", "reader", "sensor")

LOCAL = "local-token-of-this-home"


class Served(Struct):
    """A service, and who may ask it."""

    app: Litestar
    ledger: Ledger
    access: Access
    clock: Fixed
    tokens: dict[str, str]
    """role to token"""
    devices: dict[str, str]
    """role to the device that is paired in it"""

    @property
    def before(self) -> Before:
        before: Before = self.app.state.before
        return before

    def client(self, role: str | None = "member", **headers: str) -> httpx.AsyncClient:
        """Whoever asks in a role; None: without a token."""
        shown = {} if role is None else {"Authorization": f"Bearer {self.tokens[role]}"}
        return httpx.AsyncClient(
            transport=httpx.ASGITransport(app=self.app, raise_app_exceptions=False),  # type: ignore[arg-type]
            base_url="http://localhost",
            headers={**shown, **headers},
        )

    async def ask(
        self, method: str, path: str, role: str | None = "member", **more: Any
    ) -> httpx.Response:
        headers = more.pop("headers", {})
        async with self.client(role, **headers) as client:
            return await client.request(method, path, **more)

    async def push(self, *records: Record, role: str = "member") -> Any:
        """Push records as JSON; the receipts."""
        body = b"[" + b",".join(codec.encode(record) for record in records) + b"]"
        answer = await self.ask(
            "POST", "/v1/events", role, content=body, headers={"Content-Type": "application/json"}
        )
        assert answer.status_code == 200, answer.text
        return answer.json()

    def said(self, seq: int, body: Body | None = None, role: str = "member") -> Record:
        """What the device of a role says."""
        return said(self.devices[role], seq, body)


def said(device: str, seq: int, body: Body | None = None) -> Record:
    return Record(
        household="household01",
        device=device,
        seq=seq,
        stamp=Stamp(NOW, seq),
        at="2026-09-21T15:00:00+01:00",
        offset=60,
        body=body or StoreSet(store="barn", facts={"kind": "outbuilding"}),
        typed="15:00",
    )


def beans(jars: int = 12) -> Received:
    amount = Amount(unit="jar", n=jars * GRAIN)
    return Received(food="green beans", form="home-canned", amount=amount, store="barn")


def warmth() -> Measured:
    return Measured(store="barn", celsius_milli=4200)


@asynccontextmanager
async def serving(home: Path, serving: Serving | None = None) -> AsyncIterator[Served]:
    """Hollow Lane, served: a device a role."""
    clock = Fixed(NOW)
    ledger = await assemble.make_passing("Hollow Lane", "Europe/London", [], clock, CountedIds())
    doors = access.at(home, clock, RandomIds())
    try:
        app = make_app(ledger, doors, Settings(home=home, now_ms=NOW), serving)
        tokens: dict[str, str] = {"local": LOCAL}
        devices: dict[str, str] = {}
        with patch("service.access.hashlib.scrypt", _quick):
            for role in ROLES:
                made = await doors.redeem((await doors.pair(role=role, name=f"the {role}")).code)
                tokens[role], devices[role] = made.token, made.holder.device
        yield Served(app, ledger, doors, clock, tokens, devices)
    finally:
        doors.close()
        await ledger.close()


def _quick(code: bytes, *, salt: bytes, **_: int) -> bytes:
    """In place of a hash that is slow on purpose."""
    return hashlib.sha256(salt + code).digest()


def problem(answer: httpx.Response) -> dict[str, Any]:
    """The problem that an answer is; it has the one shape (RFC 9457)."""
    assert answer.headers["content-type"] == "application/problem+json", answer.text
    told: dict[str, Any] = msgspec.json.decode(answer.content)
    assert set(told) == {"type", "title", "status", "detail"}, told
    assert told["status"] == answer.status_code >= 400
    assert all(isinstance(told[part], str) and told[part] for part in ("type", "title", "detail"))
    return told
