"""How a replica begins: the service's book taken up, and its own held beside the service's.

The log itself came in by a pull. A snapshot spares folding it; what came out is compared with the
service in one call. Rules: a snapshot is taken whole or not at all, and only over a log that is here
already; one that does not fit is thrown away and the log folded, and that is said; whatever breaks
off leaves a home that goes on with the next round.
"""

from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from typing import IO, Protocol, TypeAlias

import msgspec
from msgspec import Struct

from service.errors import GirnelError, Unreachable
from service.storage.outbox import Mirror
from service.sync.messages import cursor
from service.sync.replica import Replica, here
from service.sync.snapshot import Reading
from service.sync.standing import Stand

TRIES = 3
"""How often both are held beside each other, while the log grows in between."""

Opening: TypeAlias = Callable[[bool], AbstractAsyncContextManager[Mirror]]


class Home(Protocol):
    """A replica's home, as far as it begins with a book."""

    @property
    def opening(self) -> Opening:
        """Opens the store, for writing where that is said."""
        ...

    @property
    def program(self) -> str:
        """Names the program that works the book out."""
        ...

    async def has_book(self) -> bool:
        """Whether this program has put a book by here."""
        ...

    async def stand(self) -> Stand:
        """Work the mirror's book out up to its last entry, put it by, and say how both stand."""
        ...

    def passing(self) -> IO[bytes]:
        """A file that is gone once it is closed."""
        ...


class Hub(Protocol):
    """What is asked of the household's service beside records."""

    async def snapshot(self, program: str, to: IO[bytes]) -> bool:
        """Have the snapshot written to a file; False where there is none for that program."""
        ...

    async def stand(self) -> Stand:
        """How the service's log and book stand."""
        ...


class Begun(Struct, frozen=True, kw_only=True):
    """How a beginning went."""

    snapshot: bool
    """whether the book is the service's, taken up"""
    checked: bool
    """whether log and book were held beside the service's and are the same"""
    said: str | None = None
    """a sentence, where there is something to say"""
    wrong: bool = False
    """whether somebody has to look at it"""


async def begin(home: Home, replica: Replica, service: Hub) -> Begun:
    """Begin with the log that was pulled. Raises an Unsent where the service cannot be asked."""
    taken, said = False, None
    if not await home.has_book():
        taken, said = await _take_up(home, replica, service)
    mine = theirs = None
    for turn in range(TRIES):
        if turn:
            await replica.once(refused=False)
        theirs, (mine, fits) = await service.stand(), await _stand(home)
        if not fits:
            taken, said = False, THROWN_AWAY
        if mine.cursor == theirs.cursor:
            break
    else:
        return Begun(snapshot=taken, checked=False, said=GROWS)
    if mine.root != theirs.root:
        return Begun(snapshot=taken, checked=False, said=OTHER_ENTRIES, wrong=True)
    if mine.program != theirs.program:
        return Begun(snapshot=taken, checked=True, said=OTHER_PROGRAM)
    if mine.state != theirs.state and taken:
        async with home.opening(True) as store:
            await store.forget_book()
        mine, taken, said = await home.stand(), False, THROWN_AWAY
    if mine.state != theirs.state:
        return Begun(snapshot=taken, checked=False, said=OTHER_STATE, wrong=True)
    return Begun(snapshot=taken, checked=True, said=said)


async def _stand(home: Home) -> tuple[Stand, bool]:
    """How it stands here; whether what was put by could be read. If not, it was thrown away."""
    try:
        return await home.stand(), True
    except msgspec.MsgspecError:
        async with home.opening(True) as store:
            await store.forget_book()
        return await home.stand(), False


async def _take_up(home: Home, replica: Replica, service: Hub) -> tuple[bool, str | None]:
    """Take the service's book up; else whether there is something to say of it."""
    with home.passing() as file:
        if not await service.snapshot(home.program, file):
            return False, None
        file.seek(0)
        try:
            reading = Reading(file)
            if reading.head.program != home.program:
                return False, None
            if not await _reaches(home, reading):
                await replica.once(refused=False)
            if not await _reaches(home, reading):
                return False, UNFIT
            async with home.opening(True) as store:
                await store.take_over(reading.head.form, reading.parts())
        except Unreachable as wrong:
            return False, f"{wrong.sentence} {FOLDED}"
        except GirnelError:
            return False, UNFIT
    return True, None


async def _reaches(home: Home, reading: Reading) -> bool:
    """Whether the log here is the snapshot's, up to its position at least."""
    try:
        asked = cursor(reading.head.cursor)
    except ValueError:
        return False
    async with home.opening(False) as store:
        at = await here(store)
    return (asked.log, asked.epoch) == (at.log, at.epoch) and asked.position <= at.position


FOLDED = "The book was worked out from the log."
UNFIT = f"The service's snapshot does not fit the log here and was not taken. {FOLDED}"
THROWN_AWAY = (
    f"The service's snapshot made another book than its log does, and was thrown away. {FOLDED}"
)
GROWS = "The log grows just now, so that it was not held beside the service's; the next sync does."
OTHER_PROGRAM = "The log is the service's. The book was not compared: another version of the program runs there."
OTHER_ENTRIES = (
    "The log here is not the service's, though it was copied entry by entry: "
    "girnel sync --rebuild fetches it anew; if that says the same, look at this machine's disk."
)
OTHER_STATE = (
    "The log here is the service's, and its book comes out otherwise than there: end the service and "
    "start it anew; girnel doctor in its home says whether its file is sound."
)
