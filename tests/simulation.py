"""A household's devices and its service in one process, by the dice of a seed: the same seed, the same day.

Devices log, ask, are cut off, end in the middle, are set back from a copy, and their clocks jump; the
service ends in the middle too. Messages are lost, doubled, late, and arrive in another order. All that
is real but the wire and the disk: records go over as the bytes that HTTP would carry, and what a
disk has taken it keeps. `run` says what it found wrong, with its seed.

    python -m tests.simulation 2000          # as many histories, each with its own seed
    python -m tests.simulation 1 --seed 417  # that one again
"""

import argparse
import asyncio
import copy
import time
from collections.abc import AsyncIterator, Callable, Mapping, Sequence
from contextlib import asynccontextmanager, suppress
from random import Random
from unittest.mock import patch

import msgspec

from events import merkle
from events.book import Book
from events.kinds import (
    GRAIN,
    Amount,
    Body,
    Consumed,
    Counted,
    Draw,
    Moved,
    Received,
    Repacked,
    StoreSet,
    Voided,
    Yield,
)
from service.access import Holder
from service.clock import Fixed
from service.drafts import Draft, Household, Receipt
from service.errors import GirnelError, LogChanged, Unreachable
from service.ledger import Ledger
from service.storage.memory import MemoryStore
from service.storage.outbox import Outbox
from service.storage.store import Item, Outcome
from service.sync import exchange, messages
from service.sync.messages import Cursor, OtherLog
from service.sync.replica import Pulled, PulledAsides, Replica
from tests.replica import MemoryReplica

NOW = 1_790_000_000_000
STORES = ("barn", "hall", "cellar")
FAULTS = ("lost", "unanswered", "twice", "late")
FAR = (-3_600_000, -60_000, 60_000, 700_000, 86_400_000, 70 * 365 * 86_400_000)
"""How far a clock may jump, milliseconds."""


class Ended(BaseException):
    """A process that ended here: what was in its memory is gone."""


class Wrong(AssertionError):
    """Something that must hold did not."""


class Disk(MemoryStore):
    """The service's disk; its process may end just before or just after a write."""

    def __init__(self, dice: Random) -> None:
        super().__init__()
        self._dice = dice
        self.risk = 0.0

    async def append(  # type: ignore[explicit-override]
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        if self._dice.random() < self.risk:
            raise Ended
        done = await super().append(items, received, meta)
        if self._dice.random() < self.risk:
            raise Ended
        return done


class Hub:
    """The service: ends and starts, and never forgets what it has acknowledged."""

    def __init__(self, dice: Random) -> None:
        self.disk = Disk(dice)
        self.clock = Fixed(NOW)
        self.household = Household(id="house", name="Lane", timezone="Europe/London", device="hub")
        self.ledger = self._ledger()

    def _ledger(self) -> Ledger:
        return Ledger(self.disk, Book(), self.clock, self.household)

    async def start(self) -> None:
        """Start anew, with what is on the disk."""
        risk, self.disk.risk = self.disk.risk, 0.0
        self.ledger = self._ledger()
        await self.ledger.load()
        self.disk.risk = risk

    async def surviving(self, work: Callable[[], object]) -> None:
        """Whatever ends it, it is started again."""
        try:
            await work()  # type: ignore[misc]
        except Ended:
            await self.start()
            raise Unreachable("It ended.") from None

    @property
    def here(self) -> Cursor:
        return Cursor(self.household.id, 1, self.ledger.position)

    async def push(self, body: bytes, holder: Holder) -> bytes:
        judged = exchange.judge(messages.read_push(body), holder)
        answer = b""

        async def work() -> None:
            nonlocal answer
            receipts = await self.ledger.accept(judged.allowed, holder.device)
            answer = messages.write_receipts(judged.receipts(receipts))

        await self.surviving(work)
        return answer

    async def pull(self, after: str | None, limit: int) -> bytes:
        try:
            begun = exchange.begin(messages.cursor(after) if after else None, self.here)
        except OtherLog:
            raise LogChanged("another log") from None
        rows = await self.ledger.page(begun, limit)
        aside = len(self.ledger.set_aside)
        return messages.write_page(exchange.page(rows, begun, self.here, aside))


class Line:
    """A device's way to the service, as bad as its dice have it."""

    def __init__(self, hub: Hub, holder: Holder, dice: Random) -> None:
        self._hub = hub
        self._holder = holder
        self._dice = dice
        self._late: list[bytes] = []
        self.cut = False
        self.bad = 0.3
        self.heard: dict[str, str] = {}
        """what the service said of each record that it has"""

    async def _fault(self) -> str:
        fault = self._dice.choice(FAULTS) if self._dice.random() < self.bad else ""
        if self.cut or fault == "lost":
            raise Unreachable("no way there")
        if self._late and self._dice.random() < 0.5:
            await self._arrive()
        return fault

    async def _arrive(self) -> None:
        """One of those that are late arrives, in no order."""
        late = self._late.pop(self._dice.randrange(len(self._late)))
        with suppress(Unreachable):
            await self._hub.push(late, self._holder)

    async def mend(self) -> None:
        """From here on it is good, and nothing is on its way any more."""
        self.bad, self.cut = 0.0, False
        while self._late:
            await self._arrive()

    async def push(self, contents: Sequence[bytes]) -> list[Receipt]:
        body = b"[" + b",".join(contents) + b"]"
        fault = await self._fault()
        if fault == "late":
            self._late.append(body)
            raise Unreachable("no answer yet")
        answer = await self._hub.push(body, self._holder)
        if fault == "twice":
            answer = await self._hub.push(body, self._holder)
        if fault == "unanswered":
            raise Unreachable("the line went dead")
        receipts = msgspec.json.decode(answer, type=list[Receipt])
        self.heard.update({r.name: r.state for r in receipts if r.state in ("new", "known")})
        return receipts

    async def pull(self, after: Cursor, limit: int) -> Pulled:
        asked = str(after) if after.position else None
        if await self._fault() in ("unanswered", "late"):
            raise Unreachable("the line went dead")
        return msgspec.json.decode(await self._hub.pull(asked, limit), type=Pulled)

    async def asides(self, after: str) -> PulledAsides:
        if await self._fault() in ("unanswered", "late"):
            raise Unreachable("the line went dead")
        page = messages.aside_page(self._hub.ledger.set_aside, after)
        return msgspec.json.decode(messages.write_asides(page), type=PulledAsides)

    async def news(self, after: Cursor) -> AsyncIterator[None]:
        raise AssertionError("no device here follows the news")
        yield


class Device:
    """A replica: its disk, and a process that may end at any opening of it."""

    def __init__(self, name: str, hub: Hub, dice: Random) -> None:
        self.name = name
        self.hub = hub
        self.dice = dice
        self.disk = MemoryReplica()
        self.clock = Fixed(NOW)
        self.risk = 0.0
        self.line = Line(hub, Holder(device=name, role="member", member=None, name=name), dice)
        self.household = Household(
            id=hub.household.id, name="Lane", timezone="Europe/London", device=name
        )
        self.said: dict[str, bytes] = {}
        """what a person was told is kept, by name; the last content where a copy was put back"""
        self.copy = copy.deepcopy(self.disk)

    @asynccontextmanager
    async def opening(self, writing: bool) -> AsyncIterator[Outbox]:
        if self.dice.random() < self.risk:
            raise Ended
        yield self.disk
        if writing and self.dice.random() < self.risk:
            raise Ended

    async def begin(self) -> None:
        meta = {**self.household.meta(), "service": "hub", "log": self.household.id, "epoch": "1"}
        await self.disk.note(meta)
        self.copy = copy.deepcopy(self.disk)

    async def ledger(self) -> Ledger:
        ledger = Ledger(self.disk, Book(), self.clock, self.household)
        await ledger.load()
        return ledger

    async def does(self, body: Body) -> None:
        entries = await (await self.ledger()).write([Draft(body=body)])
        rows = {row.content for row in await self.disk.page(0, 10_000)}
        for entry in entries:
            content = next(c for c in rows if _named(c, entry.record.name))
            self.said[entry.record.name] = content

    async def sync(self) -> None:
        with suppress(Unreachable, Ended):
            replica = Replica(self.opening, self.line, self.clock)
            await replica.once(refused=self.dice.random() < 0.5)

    async def set_back(self, known: set[bytes]) -> None:
        """Its disk is replaced by a copy: what was logged since, and sent to nobody, is gone."""
        self.disk = self.copy
        self.copy = copy.deepcopy(self.disk)
        kept = {row.content for row in await self.disk.page(0, 10_000)} | known
        self.said = {name: c for name, c in self.said.items() if c in kept}


def _named(content: bytes, name: str) -> bool:
    device, _, seq = name.rpartition(":")
    return b'"device":"%b"' % device.encode() in content and (
        b'"seq":%b,' % seq.encode() in content
    )


class History:
    """One history, by one seed."""

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self.dice = Random(seed)
        self.hub = Hub(self.dice)
        names = ("cook", "teen", "barn")[: self.dice.choice((2, 2, 3))]
        self.devices = [Device(name, self.hub, self.dice) for name in names]
        self.lots: list[str] = []
        self.records: list[str] = []
        self.log: list[bytes] = []

    async def run(self) -> None:
        await self.hub.start()
        for device in self.devices:
            await device.begin()
        await self._hub_does(Received(food="beans", amount=_jars(12), store="barn"))
        for _ in range(self.dice.randrange(10, 36)):
            await self._step()
        await self._mend()
        await self._check()

    # -- what happens ------------------------------------------------------------------------------

    async def _step(self) -> None:
        dice = self.dice
        for clock in (self.hub.clock, *(device.clock for device in self.devices)):
            clock.ms += dice.randrange(0, 40_000)
        device = dice.choice(self.devices)
        match dice.choices(
            ("does", "hub does", "sync", "cut", "ends", "clock", "copy", "back", "hub ends"),
            (32, 6, 36, 4, 4, 3, 6, 6, 3),
        )[0]:
            case "does":
                body = self._body()
                await device.does(body)
                self._note(device.name, list(device.said)[-1])
            case "hub does":
                await self._hub_does(self._body())
            case "sync":
                device.risk = 0.1 if dice.random() < 0.3 else 0.0
                self.hub.disk.risk = 0.2 if dice.random() < 0.2 else 0.0
                await device.sync()
                self.hub.disk.risk = device.risk = 0.0
                await self._acknowledged()
            case "cut":
                device.line.cut = not device.line.cut
            case "clock":
                dice.choice([device.clock, device.clock, self.hub.clock]).ms += dice.choice(FAR)
            case "copy":
                device.copy = copy.deepcopy(device.disk)
            case "back":
                await device.set_back(self._known())
            case _:
                await self.hub.start()

    async def _hub_does(self, body: Body) -> None:
        (entry,) = await self.hub.ledger.write([Draft(body=body)])
        self._note("hub", entry.record.name)

    def _note(self, who: str, name: str) -> None:
        self.records.append(name)
        self.lots.append(f"{name}:0")

    def _body(self) -> Body:
        dice, n = self.dice, self.dice.randrange(0, 7)
        lot, store = dice.choice(self.lots[:1] * 3 + self.lots), dice.choice(STORES)
        match dice.randrange(7):
            case 0 | 1:
                return Consumed(lot=lot, amount=_jars(n), store=store)
            case 2:
                return Moved(lot=lot, amount=_jars(n), store=store, to=dice.choice(STORES))
            case 3:
                return Counted(lot=lot, amount=_jars(n), store=store)
            case 4:
                draw = Draw(lot=lot, amount=_jars(n), store=store)
                return Repacked(draws=(draw,), yields=(Yield(food="beans", amount=_jars(n)),))
            case 5:
                return Voided(record=dice.choice(self.records))
            case _:
                if n % 2:
                    return StoreSet(store=store, facts={"kind": dice.choice(("room", "cellar"))})
                return Received(food="oats", amount=_jars(n), store=store)

    # -- what must hold ------------------------------------------------------------------------------

    def _known(self) -> set[bytes]:
        """Every content that the service has, in the log or beside it."""
        return {row.content for row in self.hub.disk._rows} | {
            aside.content for aside in self.hub.disk._asides.values()
        }

    async def _acknowledged(self) -> None:
        """What was acknowledged is in the log; the log grows and is never another."""
        log = [row.content for row in self.hub.disk._rows]
        self._must(log[: len(self.log)] == self.log, "the log was rewritten")
        self.log = log
        names = {f"{device}:{seq}" for device, seq in self.hub.disk._positions}
        for device in self.devices:
            gone = device.line.heard.keys() - names
            self._must(not gone, f"acknowledged and gone: {gone}")

    async def _mend(self) -> None:
        for device in self.devices:
            await device.line.mend()
        for _ in range(4):
            for device in self.devices:
                replica = Replica(device.opening, device.line, device.clock)
                await replica.once()

    async def _check(self) -> None:
        await self._acknowledged()
        hub = self.hub.ledger
        fresh = Ledger(self.hub.disk, Book(), self.hub.clock, self.hub.household)
        await fresh.load()
        state = fresh.book.state_hash()
        self._must(hub.book.state_hash() == state, "the book as it grew is not the log's")
        rows = await self.hub.disk.page(0, 10_000)
        self._must([r.position for r in rows] == list(range(1, len(rows) + 1)), "gaps")
        names = [entry.record.name for entry in hub.entries]
        self._must(len(set(names)) == len(names), "a name is there twice")
        known = self._known()
        for device in self.devices:
            for name, content in device.said.items():
                self._must(content in known, f"{device.name} lost {name}")
            left = set(await device.disk.counts())
            self._must(left <= {"aside"}, f"{device.name} is left with {left}")
            self._must(await device.disk.page(0, 10_000) == rows, f"{device.name}: another log")
            book = (await device.ledger()).book
            self._must(book.state_hash() == state, f"{device.name}: another state")
        shuffled = list(fresh.entries)
        self.dice.shuffle(shuffled)
        other = Book()
        other.twins = dict(fresh.book.twins)
        other.add(shuffled)
        self._must(other.state_hash() == state, "in another order it is another state")
        self._must(len(merkle.root(row.content for row in rows)) == 32, "no root")

    def _must(self, holds: bool, wrong: str) -> None:
        if not holds:
            raise Wrong(wrong)


def _jars(n: int) -> Amount:
    return Amount(unit="jar", n=n * GRAIN)


def run(seed: int) -> None:
    """One history. Raises Wrong, with the seed."""
    try:
        with patch("service.sync.replica.PUSH", 3), patch("service.sync.replica.PULL", 4):
            asyncio.run(History(seed).run())
    except (Wrong, GirnelError) as wrong:
        raise Wrong(f"seed {seed}: {wrong}") from wrong


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("histories", type=int)
    parser.add_argument("--seed", type=int, default=0)
    args = parser.parse_args()
    begun = time.perf_counter()
    for seed in range(args.seed, args.seed + args.histories):
        run(seed)
    took = time.perf_counter() - begun
    print(f"{args.histories} histories in {took:.1f} s ({args.histories / took * 60:.0f} a minute)")


if __name__ == "__main__":
    main()
