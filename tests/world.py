"""A household in one process: the service's app, and replicas that reach it by ways of their own."""

from collections.abc import AsyncIterator, Iterable, Sequence
from contextlib import asynccontextmanager, closing
from pathlib import Path

import httpx

from events.book import Book
from events.kinds import Body
from events.record import Entry
from service import access, assemble
from service.access import Access, Role
from service.clock import CountedIds, Fixed
from service.drafts import Draft
from service.http.app import make_app
from service.ledger import Ledger
from service.settings import Settings
from service.storage.outbox import Outbox, ReplicaStore
from service.sync.client import Client
from service.sync.pairing import Joined
from service.sync.replica import Replica
from service.sync.ticket import Ticket
from tests.replica import MemoryReplica
from tests.wire import BadWay, Fault

NOW = 1_790_000_000_000
URL = "http://hub.local:8470"


class Home:
    """A device that mirrors the household's log, with a way to the service of its own."""

    def __init__(self, world: "World", joined: Joined, store: ReplicaStore, way: BadWay) -> None:
        self.world = world
        self.store = store
        self.way = way
        self.clock = world.clock
        """the device's own; a wrong one is another than the world's"""
        self.pair(joined)

    def pair(self, joined: Joined) -> None:
        self.joined = joined
        self.household = Ticket(url=URL, joined=joined).household
        self.client = Client(URL, joined.token, transport=self.way)
        self.replica = Replica(self.opening, self.client, self.world.clock)

    @asynccontextmanager
    async def opening(self, writing: bool) -> AsyncIterator[Outbox]:
        yield self.store

    async def ledger(self) -> Ledger:
        ledger = Ledger(self.store, Book(), self.clock, self.household)
        await ledger.load()
        return ledger

    async def does(self, *bodies: Body) -> list[Entry]:
        """Log one deed here, with or without a way to the service."""
        return await (await self.ledger()).write([Draft(body=body) for body in bodies])

    async def book(self) -> Book:
        return (await self.ledger()).book


class World:
    """The service with its log, and who may."""

    def __init__(self, hub: Ledger, who_may: Access, clock: Fixed) -> None:
        self.hub = hub
        self.who_may = who_may
        self.clock = clock
        self.app = make_app(hub, who_may, Settings(home=Path("/nowhere"), now_ms=clock.ms))

    def way(self, faults: Iterable[Fault] = ()) -> BadWay:
        service = httpx.ASGITransport(self.app)  # type: ignore[arg-type]
        return BadWay(service, faults)

    async def paired(
        self, name: str = "tablet", role: Role = "member", formerly: str | None = None
    ) -> Joined:
        code = await self.who_may.pair(role=role, name=name, formerly=formerly)
        async with Client(URL, transport=self.way()) as client:
            return await client.join(code.code)

    async def home(
        self, name: str = "tablet", faults: Sequence[Fault] = (), role: Role = "member"
    ) -> Home:
        """A new replica that has not asked for anything yet."""
        joined = await self.paired(name, role)
        store = MemoryReplica()
        await store.note(Ticket(url=URL, joined=joined).meta())
        return Home(self, joined, store, self.way(faults))


@asynccontextmanager
async def world(folder: Path) -> AsyncIterator[World]:
    """A household at its service; `folder` holds who may."""
    clock = Fixed(NOW)
    hub = await assemble.make_passing("Hollow Lane", "Europe/London", ["cook"], clock, CountedIds())
    with closing(access.at(folder, clock, CountedIds())) as who_may:
        async with hub:
            yield World(hub, who_may, clock)
