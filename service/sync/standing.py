"""How a log and its book stand, to be held beside another's: one hash for each, at one position.

Two homes that hold the same entries have one root; two whose program makes the same of them have one
state. Rules: both hashes are of one moment; what is reckoned here changes nothing.
"""

import asyncio
from pathlib import Path

from msgspec import Struct

from events import merkle
from service.checkpoints import Checkpoints
from service.errors import StoreError
from service.ledger import Ledger
from service.storage.shelf import Still
from service.sync import snapshot
from service.sync.messages import Cursor, cursor
from service.sync.snapshot import Head

FRESH = 1_000
"""Entries by which a snapshot may lag: whoever takes it up reads them on."""

PAGE = 5_000

HERE = "this process"
"""Names the program where no book is put by."""


class Stand(Struct, frozen=True, kw_only=True):
    """How a log and its book stand."""

    cursor: str
    """the log, its epoch, the position of the newest entry"""
    root: str
    """of the Merkle tree over all entries (RFC 9162), as hex"""
    state: str
    """SHA-256 over every state of the book, as hex"""
    program: str
    """names the program that worked the book out: another one may make another state of the same log"""


def stand(still: Still, log: Cursor, program: str) -> Stand | None:
    """How it stands as of what was put by; None where this program put nothing by."""
    book = still.book(program)
    if book is None:
        return None
    upto = book.thin.upto
    return Stand(
        cursor=str(Cursor(log.log, log.epoch, upto)),
        root=merkle.root(still.contents(upto)).hex(),
        state=book.state_hash(),
        program=program,
    )


class Standing:
    """How the service's log stands, and its snapshot, for whoever asks: each reckoned once a position."""

    def __init__(self, ledger: Ledger, file: Path) -> None:
        self._ledger = ledger
        self._file = file
        self._turn = asyncio.Lock()
        self._stand: tuple[tuple[int, int], Stand] | None = None
        self._head: Head | None = None

    async def stand(self, log: Cursor) -> Stand:
        """How it stands now. `log`: which log this is."""
        async with self._turn:
            mark = (self._ledger.position, len(self._ledger.set_aside))
            if self._stand is None or self._stand[0] != mark:
                self._stand = (mark, await self._reckoned(log))
            return self._stand[1]

    async def _reckoned(self, log: Cursor) -> Stand:
        await self._ledger.put_by()
        shelf = self._ledger.shelf
        found = None if shelf is None else await asyncio.to_thread(_still_stand, shelf, log)
        return found or await live(self._ledger, log, shelf.code if shelf else HERE)

    async def snapshot(self, log: Cursor, program: str | None) -> Path | None:
        """A file that holds the snapshot; None where there is none, or none for that program."""
        async with self._turn:
            shelf = self._ledger.shelf
            if shelf is None or (program is not None and program != shelf.code):
                return None
            if self._head is None or log.position - cursor(self._head.cursor).position > FRESH:
                await self._ledger.put_by()
                self._head = await asyncio.to_thread(_written, shelf, log, self._file)
            return None if self._head is None else self._file

    def close(self) -> None:
        """Let go of the file."""
        self._head = None
        self._file.unlink(missing_ok=True)


def _still_stand(shelf: Checkpoints, log: Cursor) -> Stand | None:
    still = shelf.still()
    try:
        return stand(still, log, shelf.code)
    finally:
        still.close()


def _written(shelf: Checkpoints, log: Cursor, file: Path) -> Head | None:
    still = shelf.still()
    passing = file.with_suffix(".new")
    try:
        with passing.open("wb") as to:
            head = snapshot.write(still, log, to)
        passing.replace(file)
    except OSError as wrong:
        raise StoreError(f"{file} cannot be written ({wrong.strerror}).") from None
    finally:
        still.close()
        passing.unlink(missing_ok=True)
    return head


async def live(ledger: Ledger, log: Cursor, program: str) -> Stand:
    """Of a log that is kept in this process alone."""
    upto, state = ledger.position, ledger.book.state_hash()
    contents: list[bytes] = []
    while len(contents) < upto:
        rows = await ledger.page(len(contents), min(PAGE, upto - len(contents)))
        contents += [row.content for row in rows]
    here = Cursor(log.log, log.epoch, upto)
    return Stand(cursor=str(here), root=merkle.root(contents).hex(), state=state, program=program)
