"""A replica's store that forgets: the proof that the port is small, and fast enough to try much.

It keeps every rule of `service.storage.outbox` but the disk.
"""

from collections.abc import Collection, Mapping, Sequence
from hashlib import sha256

from msgspec.structs import replace

from service.errors import StoreError
from service.storage.memory import MemoryStore
from service.storage.outbox import ASIDE, READ, Count, Placed, Said, State, Waiting, gap
from service.storage.store import Aside, Heard, Item, Outcome, Row, gaps


class MemoryReplica:
    """A mirror in a memory store, and an outbox in a dict by name."""

    def __init__(self) -> None:
        self._log = MemoryStore()
        self._last = 0
        self._number = 0
        self._out: dict[tuple[str, int], Waiting] = {}
        self._set_aside: list[Aside] = []

    # -- as the ledger sees it -----------------------------------------------------------------------

    async def append(
        self, items: Sequence[Item], received: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        outcomes = [await self._one(item, received) for item in items]
        await self.note(meta or {})
        return outcomes

    async def _one(self, item: Item, received: int) -> Outcome:
        name = (item.device, item.seq)
        rows = {(i.device, i.seq): (p, i.content) for p, i in await self._named()}
        if name not in rows:
            self._number += 1
            self._out[name] = Waiting(self._number, item, received, "waiting")
            return Outcome(len(rows) + 1, "new")
        position, content = rows[name]
        if content == item.content:
            return Outcome(position, "known")
        digest = sha256(item.content).digest()
        aside = Aside(*name, digest, received, item.sent_by, item.content)
        if (*name, digest) not in {(a.device, a.seq, a.digest) for a in self._set_aside}:
            self._set_aside.append(aside)
        return Outcome(position, "aside")

    async def _named(self) -> list[tuple[int, Item]]:
        named = [(p, Item(*name, row.content, row.sent_by)) for name, p in self._log._positions.items()
                 for row in [self._log._rows[p - 1]]]  # fmt: skip
        named += [(self._last + n, one.item) for n, one in enumerate(self._booked(), 1)]
        return named

    def _booked(self) -> list[Waiting]:
        return [one for one in self._sorted() if one.state in READ]

    def _sorted(self) -> list[Waiting]:
        return sorted(self._out.values(), key=lambda one: one.number)

    async def page(self, after: int, limit: int) -> list[Row]:
        rows = await self._log.page(0, self._last)
        rows += [
            Row(self._last + n, one.written, one.item.sent_by, one.item.content)
            for n, one in enumerate(self._booked(), 1)
        ]
        return rows[after : after + limit]

    async def meta(self) -> dict[str, str]:
        return await self._log.meta()

    async def devices(self) -> dict[str, Heard]:
        seqs: dict[str, list[int]] = {}
        for _, item in sorted(await self._named(), key=lambda one: (one[1].device, one[1].seq)):
            seqs.setdefault(item.device, []).append(item.seq)
        return {device: Heard(own[-1], gaps(own)) for device, own in seqs.items()}

    async def asides(self) -> list[Aside]:
        found = list(self._set_aside)
        for one in self._out.values():
            if one.state == "aside":
                i = one.item
                digest = sha256(i.content).digest()
                found.append(Aside(i.device, i.seq, digest, one.written, i.sent_by, i.content))
        return sorted(found, key=lambda aside: (aside.device, aside.seq, aside.digest))

    async def close(self) -> None:
        """Nothing to let go of."""

    # -- the outbox and the mirror ---------------------------------------------------------------------

    async def outbox(
        self, states: Collection[State], after: int = 0, limit: int = 1000
    ) -> list[Waiting]:
        found = [w for w in self._sorted() if w.state in states and w.number > after]
        return found if limit < 0 else found[:limit]

    async def counts(self) -> dict[State, Count]:
        found: dict[State, Count] = {}
        for one in self._out.values():
            had = found.get(one.state, Count(0, one.written))
            found[one.state] = Count(had.number + 1, min(had.since, one.written))
        return found

    async def mirrored(self) -> int:
        return self._last

    async def note(self, meta: Mapping[str, str]) -> None:
        await self._log.append([], 0, meta)

    async def said(self, told: Sequence[Said]) -> None:
        for one in told:
            name = (one.device, one.seq)
            if name in self._out:
                self._out[name] = replace(self._out[name], state=one.state, reason=one.reason)

    async def mirror(self, placed: Sequence[Placed]) -> int:
        fresh = [one for one in placed if one.position > self._last]
        for position, one in enumerate(fresh, self._last + 1):
            if one.position != position:
                raise StoreError(gap(position - 1, one.position))
        for one in fresh:
            await self._log.append([one.item], one.received)
            name = (one.item.device, one.item.seq)
            if name in self._out:
                if self._out[name].item.content == one.item.content:
                    del self._out[name]
                else:
                    self._out[name] = replace(self._out[name], state="aside", reason=ASIDE)
        self._last += len(fresh)
        return len(fresh)

    async def know_aside(self, asides: Sequence[Aside]) -> None:
        known = {(a.device, a.seq, a.digest) for a in self._set_aside}
        self._set_aside += [a for a in asides if (a.device, a.seq, a.digest) not in known]

    async def start_over(self, own: Collection[str]) -> None:
        names = {p: name for name, p in self._log._positions.items()}
        for position, row in enumerate(await self._log.page(0, self._last), 1):
            name = names[position]
            self._number += 1
            state: State = "waiting" if name[0] in own else "kept"
            item = Item(*name, row.content, row.sent_by)
            self._out[name] = Waiting(self._number, item, row.received, state)
        for name, one in self._out.items():
            if one.state == "sent":
                self._out[name] = replace(one, state="waiting")
        meta = await self._log.meta()
        self._log, self._last = MemoryStore(), 0
        await self.note(meta)
