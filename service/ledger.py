"""The one door to a household's log: records come in here, and the book is what they come to.

`write` is for what people do at this device, `accept` for what other devices send. Both give back
what became of each record once it is on disk. The ledger judges no record by what it says; a clock
that is off is answered with a `redated`, and a wild stamp is not adopted. Rules: one append at a
time; the book has what the store has, also after an append that failed.
"""

import asyncio
import gc
from collections.abc import Awaitable, Callable, Iterable, Mapping, Sequence
from typing import TypeVar

import msgspec

from events import codec, edtf, redating
from events.book import Book
from events.kinds import Redated
from events.record import FORMAT, Entry, Record, Unread, UnreadEntry
from service.checkpoints import Checkpoints
from service.clock import Clock, instant
from service.drafts import Draft, Household, Pen, Receipt, Taken
from service.errors import GirnelError, HomeInUse, TornFile, WrongUse
from service.storage.store import Aside, Outcome, Row, Store, know_twin

PAGE = 5000
"""Records read at a time: past some hundreds a larger page is no faster."""

SEGMENT = 20_000
"""Records folded between two checkpoints, where a long log is read anew."""

T = TypeVar("T")


class _Owner(msgspec.Struct, frozen=True):
    household: str


class Ledger:
    """A household's log, open. Make one with `assemble`, and close it."""

    def __init__(
        self,
        store: Store,
        book: Book,
        clock: Clock,
        household: Household,
        shelf: Checkpoints | None = None,
    ) -> None:
        self.book = book
        self.household = household
        self.set_aside: list[Aside] = []
        """other contents that came under a name which has one already, by name and digest"""
        self._store = store
        self._clock = clock
        self._turn = asyncio.Lock()
        self._news = asyncio.Event()
        self._failed = False
        self._shelf = shelf

    async def __aenter__(self) -> "Ledger":
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.close()

    @property
    def shelf(self) -> Checkpoints | None:
        """Where the book is put by; None where it is in this process alone."""
        return self._shelf

    @property
    def entries(self) -> list[Entry]:
        """The entries by position."""
        return self.book.entries

    async def page(self, after: int, limit: int) -> list[Row]:
        """Stored records after a position, oldest first, byte for byte."""
        return await self._store.page(after, limit)

    @property
    def position(self) -> int:
        """The position of the newest entry; 0 in an empty log."""
        return self.book.thin.upto

    async def news(self, after: int) -> None:
        """Wait until the log has an entry past a position."""
        while self.position <= after:
            await self._news.wait()

    @property
    def next_seq(self) -> int:
        """The counter that the next record written here will have."""
        counter = self.book.thin.heard.devices.get(self.household.device)
        return 1 if counter is None else counter.highest + 1

    async def load(self) -> None:
        """Take up the book where it was put by, and read on from there; else the whole log.

        Without the garbage collector: nothing is garbage.
        """
        collecting = gc.isenabled()
        gc.disable()
        try:
            if self._shelf is not None:
                self.book = self._shelf.take_up()
            await self._catch_up()
        finally:
            if collecting:
                gc.enable()

    async def refresh(self) -> None:
        """Take in what another process has written since."""
        async with self._turn:
            await self._catch_up()

    async def put_by(self) -> None:
        """Put the book by in between, so that the start after a crash is short."""

        async def turn() -> None:
            if self._shelf is not None:
                await self._shelf.put_by(self.book)

        await self._in_turn(turn)

    async def close(self) -> None:
        """Wait for what is being written, then let go of the store."""
        async with self._turn:
            if self._shelf is not None:
                await self._shelf.close(self.book)
            await self._store.close()

    # -- what comes in -------------------------------------------------------------------------

    async def write(
        self,
        drafts: Sequence[Draft],
        deed: bool = True,
        meta: Mapping[str, str] | None = None,
        first: int | None = None,
    ) -> list[Entry]:
        """Write what somebody here says, as one deed if it is more than one record.

        All are on disk when this returns, or none is. `meta` is what to know about the log itself;
        `first` the counter that the first record has to get, where they name one another. Raises
        WrongUse where a record cannot be told in its form, HomeInUse where `first` is taken.
        """

        async def turn() -> list[Entry]:
            if first is not None and first != self.next_seq:
                raise HomeInUse(OVERTAKEN)
            return await self._write(drafts, deed, meta)

        return await self._in_turn(turn)

    async def accept(
        self, contents: Sequence[bytes], sent_by: str | Sequence[str]
    ) -> list[Receipt]:
        """Take in records from another device, or each from its own; a receipt for each, in order.

        What is new is on disk when this returns. What was here already changes nothing.
        """
        senders = [sent_by] * len(contents) if isinstance(sent_by, str) else sent_by
        return await self._in_turn(lambda: self._accept(contents, senders))

    async def _in_turn(self, work: Callable[[], Awaitable[T]]) -> T:
        """One append to its end: whoever stops waiting for it does not stop it halfway."""

        async def turn() -> T:
            async with self._turn:
                if self._failed:
                    await self._catch_up()
                    self._failed = False
                return await work()

        return await asyncio.shield(asyncio.ensure_future(turn()))

    async def _write(
        self, drafts: Sequence[Draft], deed: bool, meta: Mapping[str, str] | None
    ) -> list[Entry]:
        now = self._clock.now_ms()
        pen = self._pen(now)
        together = pen.seq + 1 if deed and len(drafts) > 1 else None
        written = [self._record(draft, pen, now, together) for draft in drafts]
        redated = self._redate((t.record for t in written), pen, redating.behind)
        await self._append([*written, *redated], pen.now, meta)
        found = [self.book.entry(t.record.name) for t in written]
        return [entry for entry in found if entry is not None]

    async def _accept(self, contents: Sequence[bytes], senders: Sequence[str]) -> list[Receipt]:
        pen = self._pen(self._clock.now_ms())
        read = [self._read(*one) for one in zip(contents, senders, strict=True)]
        taken = [one for one in read if isinstance(one, Taken)]
        fresh = self._fresh(taken)
        own = self.household.device
        for record in fresh:
            pen.hear(record.stamp)
        names = (t.named for t in taken)
        pen.seq = max(pen.seq, 0, *(seq for device, seq in names if device == own))
        others = (record for record in fresh if record.device != own)
        redated = self._redate(others, pen, lambda record: redating.judge(record, pen.now))
        outcomes = iter(await self._append([*taken, *redated], pen.now))
        return [_receipt(one, next(outcomes)) if isinstance(one, Taken) else one for one in read]

    async def _append(
        self, taken: Sequence[Taken], now: int, meta: Mapping[str, str] | None = None
    ) -> list[Outcome]:
        items = [t.item() for t in taken]
        try:
            outcomes = await self._store.append(items, now, meta)
        except GirnelError:
            self._failed = True  # it may be on disk after all; the next append looks first
            raise
        self._add(
            (Row(outcome.position, now, t.sent_by, t.content), t.record)
            for t, outcome in zip(taken, outcomes, strict=True)
            if outcome.state == "new"
        )
        self._know_aside(
            Aside(i.device, i.seq, codec.digest(i.content), now, i.sent_by, i.content)
            for i, outcome in zip(items, outcomes, strict=True)
            if outcome.state == "aside"
        )
        if self._shelf is not None:
            await self._shelf.appended(self.book)
        return outcomes

    # -- records ---------------------------------------------------------------------------------

    def _pen(self, now: int) -> Pen:
        """A clock that stands before what was seen already is wrong, and is not judged by."""
        newest = self.book.thin.newest
        return Pen(self.next_seq - 1, newest, max(now, newest.ms))

    def _record(self, draft: Draft, pen: Pen, now: int, deed: int | None) -> Taken:
        """A record of this device, looked at as strictly as one from outside."""
        offset = self._clock.offset(now, self.household.timezone)
        record = Record(
            v=FORMAT,
            household=self.household.id,
            device=self.household.device,
            seq=pen.name(),
            stamp=pen.stamp(),
            at=instant(now, offset) if draft.at is None else draft.at,
            offset=offset,
            typed=draft.at if draft.typed is None else draft.typed,
            by=draft.by,
            deed=deed,
            source=draft.source,
            explains=draft.explains,
            note=draft.note,
            body=draft.body,
        )
        try:
            read, content = codec.take(codec.encode(record))
            edtf.span(record.at, record.offset)
        except ValueError as wrong:
            raise WrongUse(str(wrong)) from None
        return Taken(read, content, self.household.device)

    def _read(self, content: bytes, sent_by: str) -> Taken | Receipt:
        """A record from outside, or why it cannot go into this log."""
        name = ""
        try:
            record, stored = codec.take(content)
            name = record.name
            if isinstance(record, Unread):
                household = msgspec.json.decode(stored, type=_Owner).household
            else:
                household = record.household
                edtf.span(record.at, record.offset)
        except ValueError as wrong:
            return Receipt(state="refused", name=name, reason=str(wrong))
        if household != self.household.id:
            reason = f"Record {name} is of another household ({household})."
            return Receipt(state="refused", name=name, reason=reason)
        return Taken(record, stored, sent_by)

    def _fresh(self, taken: Iterable[Taken]) -> list[Record]:
        """The readable ones that the log does not have."""
        fresh: dict[str, Record] = {}
        known = self.book.thin.heard.has
        for record in (t.record for t in taken):
            if isinstance(record, Record) and not known(record.device, record.seq):
                fresh.setdefault(record.name, record)
        return list(fresh.values())

    def _redate(
        self,
        records: Iterable[Record | Unread],
        pen: Pen,
        judge: Callable[[Record], redating.Off | None],
    ) -> list[Taken]:
        """A `redated` for each whose clock was off.

        A stamp is always given, its own where that is sound: it says that a clock was off.
        """
        written = []
        for record in records:
            if not isinstance(record, Record) or (off := judge(record)) is None:
                continue
            given = pen.stamp() if off.stamp else record.stamp
            at = offset = None
            if off.moment is not None:
                offset = self._clock.offset(off.moment, self.household.timezone)
                at = instant(off.moment, offset)
            body = Redated(record=record.name, at=at, offset=offset, stamp=given)
            written.append(self._record(Draft(body=body), pen, pen.now, None))
        return written

    # -- the book has what the store has -----------------------------------------------------------

    async def _catch_up(self) -> None:
        """Take in what the store has past the last position that the book has."""
        read: list[tuple[Row, Record | Unread]] = []
        position = self.position
        while rows := await self._store.page(position, PAGE):
            for row in rows:
                position += 1
                if row.position != position:
                    raise TornFile(f"Entry {position} of the log is missing: {RESTORE}")
                read.append((row, _decoded(row)))
            if self._shelf is not None and len(read) >= SEGMENT:
                self._add(read)
                await self._shelf.appended(self.book)
                read = []
        asides = await self._store.asides()
        self._add(read)
        self._know_aside(asides)

    def _add(self, rows: Iterable[tuple[Row, Record | Unread]]) -> None:
        entries = [_entry(row, record) for row, record in rows]
        if entries:
            self.book.add(entries)
            self._news.set()
            self._news = asyncio.Event()

    def _know_aside(self, asides: Iterable[Aside]) -> None:
        known = {(aside.device, aside.seq, aside.digest): aside for aside in self.set_aside}
        for aside in asides:
            known.setdefault((aside.device, aside.seq, aside.digest), aside)
            know_twin(self.book.twins, f"{aside.device}:{aside.seq}", aside.digest.hex())
        self.set_aside = [known[name] for name in sorted(known)]


OVERTAKEN = (
    "Something else was written here at the same moment, so nothing of this was: say it again."
)
RESTORE = "the file is damaged. Put back a copy of it; nothing was changed."


def _entry(row: Row, record: Record | Unread) -> Entry | UnreadEntry:
    position, received, sent_by = row.position, row.received, row.sent_by
    if isinstance(record, Unread):
        return UnreadEntry(position=position, received=received, sent_by=sent_by, unread=record)
    return Entry(position=position, received=received, sent_by=sent_by, record=record)


def _decoded(row: Row) -> Record | Unread:
    try:
        return codec.decode(row.content)
    except codec.Refused:
        raise TornFile(f"Entry {row.position} of the log cannot be read: {RESTORE}") from None


def _receipt(taken: Taken, outcome: Outcome) -> Receipt:
    name = taken.record.name
    reason = None
    if outcome.state == "aside":
        reason = (
            f"Another record is called {name} already. This one was set aside; "
            "the device was set back from a copy, and has to be named anew."
        )
    return Receipt(state=outcome.state, name=name, position=outcome.position, reason=reason)
