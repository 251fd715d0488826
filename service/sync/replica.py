"""The replica's side of the exchange: what waits goes out, what is new comes in.

Neither wire nor disk is here: a `Wire` asks the service, an `Outbox` keeps what was said, and is
opened only while something is read or written, so that deeds are done meanwhile. Rules: a record is
sent until the service has said of it by name what became of it; an answer that does not fit what
was asked changes nothing; whatever goes wrong, the next round goes on from what is on disk.
"""

from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import AbstractAsyncContextManager, suppress
from typing import Protocol, TypeAlias

from msgspec import Raw, Struct
from msgspec.structs import replace

from events import codec
from service.clock import Clock
from service.drafts import Receipt, Taken
from service.errors import GirnelError, LogChanged, Unreachable, Unsent
from service.storage.outbox import Count, Outbox, Placed, Said, State, Waiting
from service.storage.store import Aside, Item
from service.sync.messages import Cursor, cursor

PUSH = 500
"""Records that are sent at a time."""

PUSH_BYTES = 1_000_000
"""Bytes of them, as far as one record is not more by itself."""

PULL = 1000
"""Entries that are asked for at a time."""

CONTACT_MS = 60_000
"""When the service answered last is kept to the minute, where there is nothing else to write."""


class Sent(Struct, frozen=True, kw_only=True):
    """An entry as the service sends it; `record` is the stored bytes, `received` Unix ms."""

    position: int
    received: int
    sent_by: str
    record: Raw


class Pulled(Struct, frozen=True, kw_only=True):
    """Entries past a cursor, oldest first."""

    next: str
    """the cursor to go on from"""
    entries: list[Sent]
    more: bool = False
    """whether there is more already"""
    aside: int = 0
    """how many contents the service has set aside"""


class SentAside(Struct, frozen=True, kw_only=True):
    """A content that the service has set aside, since its name has another one."""

    received: int
    sent_by: str
    record: Raw


class PulledAsides(Struct, frozen=True, kw_only=True):
    """Some of what the service has set aside."""

    next: str
    """the mark to go on from"""
    set_aside: list[SentAside]
    more: bool = False


class Wire(Protocol):
    """The household's service. Everything raises an `Unsent` where it does not do its part."""

    async def push(self, contents: Sequence[bytes]) -> list[Receipt]:
        """Send records; a receipt for each, in order."""
        ...

    async def pull(self, after: Cursor, limit: int) -> Pulled:
        """Ask for what came after."""
        ...

    async def asides(self, after: str) -> PulledAsides:
        """Ask for what was set aside, past a mark; "" begins."""
        ...

    def news(self, after: Cursor) -> AsyncIterator[None]:
        """Yields whenever the service has something past the cursor, as far as it says so."""
        ...


Opening: TypeAlias = Callable[[bool], AbstractAsyncContextManager[Outbox]]
"""Opens the replica's store, for writing where that is said."""


class Tally(Struct, frozen=True, kw_only=True):
    """What one round came to."""

    sent: int = 0
    """records of which the service has said that they are in its log"""
    received: int = 0
    """entries that are new here, other than those sent"""
    left: dict[State, Count] = {}
    """what is in the outbox still"""


class Replica:
    """One home that mirrors the log of a service."""

    def __init__(self, opening: Opening, wire: Wire, clock: Clock) -> None:
        self._opening = opening
        self._wire = wire
        self._clock = clock

    async def once(self, *, refused: bool = True) -> Tally:
        """Send what waits, then take in what is new; what it came to.

        `refused`: send again also what the service would not have. Raises an Unsent where the
        service cannot be asked; what was done until then stays done.
        """
        try:
            sent = await self._push("waiting")
            if refused:
                sent += await self._push("refused")
                await self._push("aside")  # so that the service knows of it too
            received = await self._pull()
        except Unsent as wrong:
            with suppress(GirnelError):  # what went wrong first is what is told
                await self._note({"failure": wrong.sentence, "failed": str(self._clock.now_ms())})
            raise
        left = await self._contact()
        return Tally(sent=sent, received=received, left=left)

    async def rebuild(self) -> Tally:
        """Fill the mirror anew from the service's log; what only this home has goes out after."""
        async with self._opening(True) as store:
            meta = await store.meta()
            await store.start_over(own(meta))
            await store.note({"aside": "", "checked": ""})
        received = await self._pull()
        tally = await self.once()
        return replace(tally, received=received + tally.received)

    # -- out ---------------------------------------------------------------------------------------

    async def _push(self, state: State) -> int:
        after, sent = 0, 0
        while True:
            async with self._opening(False) as store:
                batch = _fitting(await store.outbox([state], after, PUSH))
            if not batch:
                return sent
            receipts = await self._wire.push([one.item.content for one in batch])
            names = [f"{one.item.device}:{one.item.seq}" for one in batch]
            if [receipt.name for receipt in receipts] != names:
                raise Unreachable(
                    "The service's answer was to something else than what was sent; "
                    "it is sent again with the next girnel sync."
                )
            said = [_said(*one) for one in zip(batch, receipts, strict=True)]
            async with self._opening(True) as store:
                await store.said(said)
            sent += sum(one.state == "sent" for one in said)
            after = batch[-1].number

    # -- in ----------------------------------------------------------------------------------------

    async def _pull(self) -> int:
        async with self._opening(False) as store:
            acknowledged = await _names(store)
            begun = await here(store)
        at, received = begun, 0
        while True:
            pulled = await self._wire.pull(at, PULL)
            nxt = _cursor(pulled.next)
            if (nxt.log, nxt.epoch) != (at.log, at.epoch):
                raise LogChanged(CHANGED)
            placed = [_placed(entry) for entry in pulled.entries]
            own = sum((p.item.device, p.item.seq) in acknowledged for p in placed)
            if not placed:
                break
            async with self._opening(True) as store:
                fresh = await store.mirror(placed)
                at = await here(store)
            received += max(0, fresh - own)
            if not pulled.more or not fresh:
                break
        await self._look_for(acknowledged)
        await self._pull_asides(pulled.aside)
        return received

    async def _pull_asides(self, count: int) -> None:
        """What the service has set aside has no position: it is asked for when there is more of it."""
        async with self._opening(False) as store:
            known = (await store.meta()).get("aside", "0")
        if known == str(count):
            return
        mark, more = "", True
        while more:
            pulled = await self._wire.asides(mark)
            asides = [_aside(one) for one in pulled.set_aside]
            async with self._opening(True) as store:
                await store.know_aside(asides)
            more = pulled.more and pulled.next > mark
            mark = pulled.next
        await self._note({"aside": str(count)})

    async def _look_for(self, acknowledged: set[tuple[str, int]]) -> None:
        """What the service had taken and does not have at its end is sent once more."""
        async with self._opening(False) as store:
            gone = [
                Said(one.item.device, one.item.seq, "waiting")
                for one in await store.outbox(["sent"], limit=-1)
                if (one.item.device, one.item.seq) in acknowledged
            ]
        if gone:
            async with self._opening(True) as store:
                await store.said(gone)

    # -- what is kept of it --------------------------------------------------------------------------

    async def _contact(self) -> dict[State, Count]:
        async with self._opening(False) as store:
            left, meta = await store.counts(), await store.meta()
        now = self._clock.now_ms()
        last = int(meta.get("contact", "0"))
        if now - last >= CONTACT_MS or meta.get("failure") or meta.get("unwhole"):
            await self._note({"contact": str(now), "failure": "", "failed": "", "unwhole": ""})
        return left

    async def _note(self, meta: dict[str, str]) -> None:
        async with self._opening(True) as store:
            await store.note(meta)


CHANGED = (
    "The service has another log than the one that this home follows: it was put back from a copy, "
    "or is another household's. Nothing here was changed. If it is this household's: "
    "girnel sync --rebuild fills this home from it and sends what only this home has."
)


async def here(store: Outbox) -> Cursor:
    """How far the log of the service was read."""
    meta = await store.meta()
    return Cursor(meta["log"], int(meta["epoch"]), await store.mirrored())


def own(meta: dict[str, str]) -> list[str]:
    """The devices whose records this home sends: its own, and those it was before."""
    return [meta["device"], *meta.get("formerly", "").split()]


def _fitting(waiting: Sequence[Waiting]) -> list[Waiting]:
    """As many as go into one batch, at least one."""
    batch: list[Waiting] = []
    size = 0
    for one in waiting:
        size += len(one.item.content)
        if batch and size > PUSH_BYTES:
            break
        batch.append(one)
    return batch


def _said(one: Waiting, receipt: Receipt) -> Said:
    if one.state == "aside":  # whatever is said of it, its name has another content here
        return Said(one.item.device, one.item.seq, "aside", one.reason)
    state: State = receipt.state if receipt.state in ("aside", "refused") else "sent"
    return Said(one.item.device, one.item.seq, state, receipt.reason)


async def _names(store: Outbox) -> set[tuple[str, int]]:
    """Records that the service has, by name."""
    return {(w.item.device, w.item.seq) for w in await store.outbox(["sent"], limit=-1)}


def _cursor(text: str) -> Cursor:
    try:
        return cursor(text)
    except ValueError:
        raise Unreachable(UNREAD) from None


def _placed(entry: Sent) -> Placed:
    """An entry as it is stored. Unreachable where it is none: the answer was damaged on the way."""
    return Placed(entry.position, entry.received, _item(entry.record, entry.sent_by))


def _aside(one: SentAside) -> Aside:
    item = _item(one.record, one.sent_by)
    digest = codec.digest(item.content)
    return Aside(item.device, item.seq, digest, one.received, item.sent_by, item.content)


def _item(sent: Raw, sent_by: str) -> Item:
    content = bytes(sent)
    try:
        record, stored = codec.take(content)
    except codec.Refused:
        raise Unreachable(UNREAD) from None
    if stored != content:
        raise Unreachable(UNREAD)
    return Taken(record, content, sent_by).item()


UNREAD = "The service's answer could not be read; was it cut short? Say girnel sync again."
