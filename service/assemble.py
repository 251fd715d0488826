"""Where the parts are put together: the only file that names a concrete store.

A home is a directory with one household's log in it. To look takes no lock and may be done while
another process writes; to write takes the home for this process.
"""

from collections.abc import AsyncIterator, Mapping, Sequence
from contextlib import asynccontextmanager
from functools import cache, partial
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO

import events
from events.book import Book
from events.kinds import DeviceSet, MemberSet
from service.checkpoints import FEW, Checkpoints
from service.clock import Clock, Ids, zone
from service.drafts import Draft, Household
from service.errors import HomeTaken, HomeUnwritable, NoHome, StoreError, TornFile, WrongUse
from service.ledger import Ledger
from service.storage import sqlite
from service.storage.memory import MemoryStore
from service.storage.outbox import MirrorStore
from service.storage.outbox_sqlite import SqliteReplica
from service.storage.shelf import PutBy
from service.storage.sqlite_snapshot import SqliteStill
from service.storage.store import Store
from service.sync import beside
from service.sync.messages import Cursor
from service.sync.standing import Stand, live, stand

LOG = "log.db"
"""The file in a home that holds the log."""

SERVICE = "service"
"""What is known of a log that mirrors a service's: where that is."""


@asynccontextmanager
async def open_home(
    home: Path,
    clock: Clock,
    *,
    writing: bool,
    wait_s: float = sqlite.WAIT_S,
    alone: bool = False,
) -> AsyncIterator[Ledger]:
    """The household's ledger with its book, open until the block ends.

    Beside a running service it writes through that, unless it has to write `alone`.
    Raises NoHome, HomeInUse (another process writes, still after `wait_s` seconds), HomeUnwritable,
    or a StoreError.
    """
    path = home / LOG
    if not path.is_file():
        raise NoHome(
            f"There is no household in {home}. To make one: "
            'girnel init "its name" --timezone Europe/London; or name another with --home.'
        )
    served = beside.answering(home) if writing and not alone else None
    if writing and served is None:
        store = await sqlite.open_writing(path, wait_s=wait_s)
    else:
        store = await sqlite.open_reading(path)
    try:
        meta = await store.meta()
        kept = SqliteReplica(store) if SERVICE in meta else store
        household = Household.of(meta)
        if household is None:
            raise TornFile(f"{path} names no household: girnel init was cut off; say it again.")
        shelf = Checkpoints(kept, program(), writing=writing)
        made = Ledger if served is None else partial(beside.Beside, served)
        ledger = made(kept, Book(), clock, household, shelf)
        await ledger.load()
        try:
            yield ledger
        finally:
            await ledger.close()
    finally:
        await store.close()


@cache
def program() -> str:
    """Names the program that works the book out: another one's checkpoints are not taken up."""
    found = sha256()
    for path in sorted(Path(events.__file__).parent.rglob("*.py")):
        found.update(path.read_bytes())
    return found.hexdigest()


async def make_home(
    home: Path, name: str, timezone: str, members: Sequence[str], clock: Clock, ids: Ids
) -> Ledger:
    """A new household with its first device and its members, in one append; close the ledger.

    Raises HomeTaken where there is a household already. What `init` left when it was cut off is
    taken over.
    """
    household = _household(name, timezone, ids)
    _make_directory(home)
    store = await sqlite.open_writing(home / LOG, create=True)
    try:
        _refuse_taken(Household.of(await store.meta()), home)
        return await _begun(store, clock, household, members)
    except BaseException:
        await store.close()
        raise


async def make_passing(
    name: str, timezone: str, members: Sequence[str], clock: Clock, ids: Ids
) -> Ledger:
    """A household that is gone when the program ends, for a demo."""
    return await _begun(MemoryStore(), clock, _household(name, timezone, ids), members)


@asynccontextmanager
async def open_replica(
    home: Path, writing: bool, wait_s: float = sqlite.WAIT_S
) -> AsyncIterator[MirrorStore]:
    """The store of a home that mirrors a service's log, open until the block ends; no book."""
    path = home / LOG
    opening = sqlite.open_writing(path, wait_s=wait_s) if writing else sqlite.open_reading(path)
    store = SqliteReplica(await opening)
    try:
        yield store
    finally:
        await store.close()


class MirrorHome:
    """A replica's home as far as its mirror goes: the book of what the service has placed."""

    def __init__(self, home: Path, clock: Clock) -> None:
        self._home = home
        self._clock = clock
        self.opening = partial(open_replica, home)
        self.program = program()

    async def has_book(self) -> bool:
        """Whether this program has put a book by here."""
        found = self._put_by()
        return found is not None and found.program == self.program

    async def put_by(self) -> None:
        """Put the mirror's book by, where it has grown; what waits is read behind it each time."""
        async with open_replica(self._home, writing=False) as store:
            last = await store.mirrored()
        found = self._put_by()
        if found is None or found.program != self.program or last - found.upto >= FEW:
            async with self._folded():
                pass

    async def stand(self) -> Stand:
        """Work the mirror's book out up to its last entry, put it by, and say how both stand."""
        async with self._folded() as (ledger, log):
            await ledger.put_by()
            if not ledger.position:
                return await live(ledger, log, self.program)
        still = SqliteStill(self._home / LOG)
        try:
            found = stand(still, log, self.program)
        finally:
            still.close()
        if found is None:
            raise StoreError(f"The book of {self._home / LOG} could not be put by; say it again.")
        return found

    def passing(self) -> IO[bytes]:
        """A file that is gone once it is closed."""
        return TemporaryFile(dir=self._home)

    def _put_by(self) -> PutBy | None:
        still = SqliteStill(self._home / LOG)
        try:
            return still.put_by()
        finally:
            still.close()

    @asynccontextmanager
    async def _folded(self) -> AsyncIterator[tuple[Ledger, Cursor]]:
        """The mirror's ledger with its book, put by when the block ends."""
        store = await sqlite.open_writing(self._home / LOG)
        try:
            meta = await store.meta()
            household = Household.of(meta)
            if household is None:
                raise TornFile(f"{self._home / LOG} names no household: girnel join was cut off.")
            shelf = Checkpoints(store, self.program, writing=True)
            ledger = Ledger(store, Book(), self._clock, household, shelf)
            await ledger.load()
            try:
                yield ledger, Cursor(meta["log"], int(meta["epoch"]), ledger.position)
            finally:
                await ledger.close()
        finally:
            await store.close()


async def make_replica(home: Path, facts: Mapping[str, str]) -> None:
    """A home that mirrors a service's log; one that does already goes on under its new name.

    `facts`: whose log it is, where the service is. Raises HomeTaken where the home keeps a log of
    its own, or one of another household.
    """
    _make_directory(home)
    store = await sqlite.open_writing(home / LOG, create=True)
    try:
        old = await store.meta()
        _refuse_own(old, home)
        if (known := Household.of(old)) is not None and known.id != facts["id"]:
            _refuse_taken(known, home)
        before = [old["device"], *old.get("formerly", "").split()] if known else []
        formerly = [device for device in before if device != facts["device"]]
        await SqliteReplica(store).note({**facts, "formerly": " ".join(formerly)})
    finally:
        await store.close()


async def renew_replica(home: Path, facts: Mapping[str, str]) -> None:
    """A mirror begun anew where the log is gone, or damaged; what is damaged is put beside it."""
    damaged = home / f"{LOG}.damaged"
    count = 1
    while damaged.exists():
        count += 1
        damaged = home / f"{LOG}.damaged-{count}"
    for end in ("", "-wal", "-shm"):
        part = home / f"{LOG}{end}"
        if part.exists():
            part.rename(f"{damaged}{end}")
    await make_replica(home, facts)


async def may_follow(home: Path) -> None:
    """The directory for a replica, made where there is none. HomeTaken where a log is kept there."""
    _make_directory(home)
    if (home / LOG).is_file():
        store = await sqlite.open_reading(home / LOG)
        try:
            _refuse_own(await store.meta(), home)
        finally:
            await store.close()


def _refuse_own(meta: Mapping[str, str], home: Path) -> None:
    if SERVICE not in meta:
        _refuse_taken(Household.of(meta), home)


def _make_directory(home: Path) -> None:
    try:
        home.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise HomeUnwritable(
            f"The directory {home} cannot be made ({wrong.strerror}); name another with --home."
        ) from None


def _refuse_taken(household: Household | None, home: Path) -> None:
    if household is not None:
        raise HomeTaken(
            f'There is a household in {home} already ("{household.name}"); '
            "name another directory with --home."
        )


HOME_DEVICE = "the home computer"
"""What the device that keeps the log is called until the household calls it otherwise: every other
device reads that name too."""


def _household(name: str, timezone: str, ids: Ids) -> Household:
    if not name.strip():
        raise WrongUse('A household needs a name: girnel init "Hollow Lane".')
    zone(timezone)
    return Household(
        id=ids.household(), name=" ".join(name.split()), timezone=timezone, device=ids.device()
    )


async def _begun(
    store: Store, clock: Clock, household: Household, members: Sequence[str]
) -> Ledger:
    ledger = Ledger(store, Book(), clock, household)
    device = DeviceSet(device=household.device, facts={"name": HOME_DEVICE})
    drafts = [Draft(body=device)]
    drafts += [Draft(body=MemberSet(member=m, facts={})) for m in dict.fromkeys(members)]
    await ledger.write(drafts, meta=household.meta())
    return ledger
